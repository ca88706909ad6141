//go:build !race

package review

const raceDetector = false
