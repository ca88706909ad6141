// Package capture turns sound into phrases: sources of 16 kHz mono sound,
// the split of speech from silence, offline recognition with scores, and
// answers spoken back. It knows nothing of what a phrase means.
package capture
