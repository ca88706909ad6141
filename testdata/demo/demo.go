// Package demo holds an invented call, as text and as sound: two receivers
// behind a splitter, two faults, the second of which shows only after the
// first repair. Job, address, times and figures are made up.
package demo

import "embed"

// Text is the call, one phrase a line, each dated with an RFC 3339 time.
//
//go:embed call.txt
var Text string

// Sound holds sound/LINE.wav for every spoken line of Text, LINE being its
// two-digit number from 01, and sound/yes.wav and sound/no.wav for answers.
//
//go:embed sound/*.wav
var Sound embed.FS
