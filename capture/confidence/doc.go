// Package confidence turns what the listeners make of an utterance into one
// calibrated figure, the probability that what would be stored is what was
// said, and a decision by what mistakes cost.
//
//	p := table.Posterior(evidence)    // right, misheard, not for the tool
//	costs.Decide(p)                   // take, ask or ignore, whichever is cheapest
//
// A multinomial logistic regression over some figures of both listeners gives
// the posterior; its coefficients are in table.toml, which `make confidence`
// makes, with the material, the number of utterances and the date. Nothing here
// knows words or sounds: figures in, figures out.
package confidence
