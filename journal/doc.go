// Package journal keeps entries: one SQLite file, append-only, each record
// chained to the one before it by SHA-256.
package journal
