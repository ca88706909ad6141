// Package day makes the record of one day: the jobs that were worked on, the
// times, the miles, what was used up, and what was left open and for whom. The
// times are those of diagnose/visit, what is left open that of each job's
// closeout and diagnosis; nothing is reckoned a second way.
package day
