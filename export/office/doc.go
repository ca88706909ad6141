// Package office brings the records of a team together: the jobs of many
// journals in one PostgreSQL database, or in Parquet files, and out of the
// database again what quality, pay and the odds are reckoned from.
//
// Nothing is judged here. The rows of a job come from [quality.NewVisited] and
// [pay.NewWork], the same values that figures from one journal come from;
// what is read back is those values again.
//
// The tables are described in export/FORMATS.md.
package office
