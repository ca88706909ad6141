// Package hear is the second listener: a small neural recogniser (Moonshine
// "tiny", English, 26 million parameters, MIT) that hears the same stretch of
// sound beside the first one, and errs elsewhere.
//
//	n, err := hear.Open(hear.Folder())        // ErrMissing: set-up did not fetch it
//	s, err := n.Encode(samples)               // once for a stretch
//	text, err := s.Free(ctx)                  // what it writes down by itself
//	best, err := s.Search(ctx, graph, 6)      // the likeliest sentences of a grammar
//	at, err := s.Score(ctx, "wall plate pass") // log P(sentence | sound)
//	p := phoneme.Of(s.Hidden())              // the phonemes that it hears, of any sentence
//
// Its probabilities count more than its text: Search goes through the tokens
// that a Graph of words allows next, and gives the likeliest sentences with
// their log-probabilities, however they are spelt ("minus 41", "Minus
// forty-one."). It knows nothing of what a sentence means.
//
// The weights and ONNX Runtime, the library that runs them, are files of a
// folder that Install fills; the library is opened by its path at run
// time. Without them Open says so, and everything else works.
package hear
