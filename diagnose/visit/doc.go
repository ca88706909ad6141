// Package visit turns the time marks of jobs into time: a job is a set of
// visits, a visit a row of intervals (travel, on site, a break), and a day the
// union of the intervals of all jobs, with what nothing marks as gaps. Pay,
// quality, the closeout and the review page all reckon from it.
//
// It is pure: records or marks in, intervals out. It knows no rates and no
// policy: what an interval is worth is for pay to say.
package visit
