// Package phoneme tells which phonemes a stretch of sound is made of, from what the
// encoder of the second listener makes of it, and how well sentences fit them:
//
//	p := phoneme.Of(hidden)                  // once for a stretch
//	free := p.Free()                        // log P of the likeliest phonemes, whatever they say
//	own := p.Sentences(list)                // log P of each sentence's phonemes
//
// The decoder of that listener weighs what English sentences are like with what is heard;
// this knows sounds only, so that a sentence of the trade is as likely to it as any other. It is
// one layer over five frames of the encoder, trained by connectionist temporal
// classification (A. Graves et al., ICML 2006) on invented phrases by voices that
// take no part in any measurement (`make phonemes`).
package phoneme
