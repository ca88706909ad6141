// Package segment cuts the stretches of speech out of a sound, learns the noise
// around them, and turns it down.
package segment
