// Package phone makes the technician's phone the microphone, the ear and the
// screen of a machine that stays in the van: a page on the local network that
// the phone's own browser opens.
//
// A Station is the whole of it. It is a capture.Source, so that the listener
// does not know a phone from a microphone, and a place where answers go.
//
// Nothing is lost when the link is. The page numbers its sound in frames and
// keeps each until it is told that the frame is safe: that everything said in
// it was heard, and its entries are in the journal. After a break it sends what
// is missing; a frame that came before is dropped here. The package keeps no
// sound on the disk, and concludes nothing.
package phone
