//go:build race

package review

// raceDetector slows everything down many times.
const raceDetector = true
