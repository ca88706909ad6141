//go:build !novoice && !linux

package sound

// quietALSA has nothing to quieten: ALSA is Linux's alone.
func quietALSA() {}
