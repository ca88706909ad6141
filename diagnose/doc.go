// Package diagnose turns entries into conclusions: the signal path, verdicts,
// brackets, contradictions, expected levels, suspects with their odds, the
// next point to measure, and the plan of the call. It is pure: records in,
// value out; no database, no clock, no files.
//
// # From records to a Call
//
// Replay rebuilds the path as a tree from the dish to every receiver. Path
// phrases hold for the whole call, whenever they were said; what nobody said
// is filled in by the usual order of elements and marked as assumed. Parts
// put in or taken out are in the tree with the version Absent for the readings
// taken without them. Every reading is placed on the tree with its round and
// the versions of the elements then.
//
// A meter at the dish side of an element sees everything before it; at the
// receiver side the element as well. Behind a receiver is its dish side, the
// end of the jumper.
//
// # From a Call to a Diagnosis
//
// Two ways of reasoning stand side by side. The plain logic is always shown:
// a bracket runs from the pass nearest the receiver to the fail nearest the
// dish beyond it, and where several branches fail, minimal hitting sets (Reiter
// 1987) tell what one fault could explain. Infer weighs all readings with the
// loss model and gives suspects, their odds and the next point.
//
// The plan and its phase come from the entries alone. Explain, Answer and
// CustomerExplanation put a diagnosis into words for the screen, for the ear
// and for the customer.
//
// # What it does not do
//
// It does not decide what is stored, ask questions, or know what time it is:
// an interval is measured between entries. It certifies nothing about mains
// outlets or grounding. A speech or typing error is the grammar's and the
// journal's business; a correction has been applied before a record arrives.
package diagnose
