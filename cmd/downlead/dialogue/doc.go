// Package dialogue is one conversation about one job: a phrase comes in, is
// understood, kept, and answered. Typing, listening, importing and reviewing
// all go through it, so that a phrase means the same whichever way it came.
//
// Nothing waits outside the journal. A phrase that raises a question is stored
// at once, unconfirmed, and its answer is stored as a correction of it: if the
// power goes in between, the phrase is still there, counts for nothing, and is
// shown in the review.
package dialogue
