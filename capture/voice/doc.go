// Package voice speaks answers and plays the tones that stand for them.
package voice
