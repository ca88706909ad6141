//go:build !linux

package file

// Exchange lets two names change places, in three steps.
func Exchange(a, b string) error { return exchangeByThree(a, b) }
