// Package capture turns sound into phrases: sources of 16 kHz mono sound
// (capture/sound), the split of speech from silence (capture/segment), offline
// recognition with scores, and answers spoken back (capture/voice). It knows nothing of what a phrase means: the speech grammar,
// the pronunciations and what counts as a different meaning are handed in.
//
// The way of one phrase:
//
//	src, err := sound.OpenFile("memo.wav")            // or OpenMicrophone
//	rec, err := capture.NewRecogniser(capture.Config{
//		JSGF:           jsgf,                          // one public rule
//		Pronunciations: "diplexer D AY P L EH K S ER", // one word a line
//		Meaning:        meaning,                       // text to a key; nil: the text itself
//		Rivals:         rivals,                        // text to what it may have been instead
//	})
//	for u, err := range capture.Listen(ctx, src, rec, capture.ListenConfig{}) {
//		if errors.Is(err, sound.ErrDeviceLost) { … say so; the loop goes on … }
//		if err != nil { … the end … }
//		outcome := limits.Decide(u.Scores) // limits := capture.DefaultThresholds()
//		if outcome == capture.Accept && limits.Doubt(u.Scores) {
//			if e, err := rec.Confirm(ctx, u); err == nil && !limits.Borne(u.Scores, e) {
//				outcome = capture.Ask
//			}
//		}
//		switch outcome {
//		case capture.Accept: … // parse, store, answer
//		case capture.Ask:    … // "did you say …?"
//		case capture.Ignore:   // not a phrase
//		}
//	}
//
// A sound.Source gives 16 kHz mono samples until io.EOF. The microphone's callback
// copies into a ring made beforehand and returns: it allocates nothing, waits
// for nothing, and counts what it had to drop. While an answer is spoken the
// microphone is deaf (half duplex) and gives digital silence, so that places
// in the sound stay places in time.
//
// Where a phrase ends is a matter of its words (ListenConfig.Endpoints): the
// beginning of a statement waits for the rest, and the silence between is cut out.
//
// A segment.Segmenter cuts out the stretches of speech, with the noise before them, whose
// blows and whose steady part are turned down.
// ListenConfig.Ahead decodes a stretch while the silence that may end it lasts.
// A Recogniser scores the sounds of a whole stretch once, and beside that, from
// those scores, decodes it against the grammar and against plain phones; the
// difference of the two says whether it was a phrase of the grammar at all. What
// it may have been instead is compared by the same scores, in milliseconds.
// Scores are never turned into
// a yes inside the package: Thresholds.Decide is a function of the caller's
// configuration.
//
// Recorded memos go through Import instead of Listen: in parallel, in order,
// and resumable. CheckSound judges a microphone. voice.Voice speaks answers and
// plays tones; give it sound.Microphone.Deafen, and the tool does not hear itself.
// Recogniser.Free hears the words of a note roughly, Recogniser.Spot finds a
// wake phrase.
//
// Places are samples of the sound: the clock of the sound device, which may
// drift from the wall clock by seconds a day.
//
// The recogniser is libpocketsphinx; nothing outside this package touches it.
//
// Built with -tags novoice the package needs no recogniser library;
// NewRecogniser then returns ErrNoRecogniser, which says what to install.
package capture
