// Package talk reads what people say in their own words: clause by clause, each
// by its meaning and in any usual order. It runs where the speech grammar does
// not take a phrase. Every token must become part of an entry: what is left
// over makes the phrase one that was not understood.
//
// talk.go goes from clause to clause. A clause is what a meter showed (shown.go,
// figure.go, shownnext.go) at a place (place.go, standing.go), what was done (done.go) to a part (object.go)
// and how (circumstance.go, move.go, material.go), what was seen (seen.go, seennext.go, harmed.go),
// noticed (symptom.go) or checked (check.go), a correction (correct.go), a time
// (told.go), how the path goes (path.go, pathtold.go, inserted.go, rooms.go), the dish's setting (setting.go), or
// what stands around these (around.go). What is said of any of them and is no part
// of it stays in its remark (remark.go).
package talk
