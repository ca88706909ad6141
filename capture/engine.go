//go:build !novoice

package capture

// #cgo pkg-config: pocketsphinx sphinxbase
// #include <stdlib.h>
// #include "engine.h"
import "C"

import (
	"errors"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"unsafe"
)

// engine is one decoder of the library. It is not safe for concurrent use;
// whoever holds it locks.
type engine struct{ ps *C.ps_decoder_t }

// guarded runs one call of the library and, when it fails, returns what the
// library said about it. The message lives in the thread, hence the lock.
func guarded(call func() bool) error {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	if call() {
		return nil
	}
	text := C.GoString(C.cap_error())
	if text == "" {
		return errors.New("the recogniser gave no reason")
	}
	return errors.New(tidy(text))
}

// tidy cuts the place in the library's source from its messages, and what it
// says more than once.
func tidy(text string) string {
	var parts []string
	for p := range strings.SplitSeq(text, "; ") {
		if _, rest, ok := strings.Cut(p, ", line "); ok {
			if _, said, ok := strings.Cut(rest, ": "); ok {
				p = said
			}
		}
		if p = strings.TrimSpace(strings.ToValidUTF8(p, "?")); p != "" && !slices.Contains(parts, p) {
			parts = append(parts, p)
		}
	}
	return strings.Join(parts[:min(len(parts), 2)], "; ")
}

func openEngine(options []string) (*engine, error) {
	argv := make([]*C.char, 0, len(options)+1)
	for _, o := range append([]string{"capture"}, options...) {
		argv = append(argv, C.CString(o))
	}
	// The array itself must not be Go memory that holds C pointers across
	// the call's own stores, so it lives in C too.
	block := C.malloc(C.size_t(len(argv)) * C.size_t(unsafe.Sizeof(argv[0])))
	copy(unsafe.Slice((**C.char)(block), len(argv)), argv)
	defer func() {
		for _, a := range argv {
			C.free(unsafe.Pointer(a))
		}
		C.free(block)
	}()
	e := &engine{}
	err := guarded(func() bool {
		e.ps = C.cap_open(C.int(len(argv)), (**C.char)(block))
		return e.ps != nil
	})
	if err != nil {
		return nil, err
	}
	return e, nil
}

func (e *engine) close() {
	if e.ps != nil {
		C.cap_close(e.ps)
		e.ps = nil
	}
}

// with runs a call that takes up to two strings.
func with(a, b string, call func(a, b *C.char) bool) error {
	ca, cb := C.CString(a), C.CString(b)
	defer C.free(unsafe.Pointer(ca))
	defer C.free(unsafe.Pointer(cb))
	return guarded(func() bool { return call(ca, cb) })
}

func (e *engine) addWord(word, phones string) error {
	return with(word, phones, func(w, p *C.char) bool { return C.cap_add_word(e.ps, w, p) >= 0 })
}

func (e *engine) hasWord(word string) bool {
	return with(word, "", func(w, _ *C.char) bool { return C.cap_has_word(e.ps, w) != 0 }) == nil
}

func (e *engine) setGrammar(name, jsgf string) error {
	return with(name, jsgf, func(n, j *C.char) bool { return C.cap_set_jsgf(e.ps, n, j) >= 0 })
}

func (e *engine) setPhones(name, path string) error {
	return with(name, path, func(n, p *C.char) bool { return C.cap_set_allphone(e.ps, n, p) >= 0 })
}

func (e *engine) setLanguage(name, path string) error {
	return with(name, path, func(n, p *C.char) bool { return C.cap_set_lm(e.ps, n, p) >= 0 })
}

func (e *engine) setKeyphrase(name, phrase string, threshold float64) error {
	return with(name, phrase, func(n, p *C.char) bool {
		return C.cap_set_keyphrase(e.ps, n, p, C.double(threshold)) >= 0
	})
}

// accepts tells whether text is a sentence of the named grammar.
func (e *engine) accepts(name, text string) bool {
	return with(name, text, func(n, t *C.char) bool { return C.cap_accepts(e.ps, n, t) != 0 }) == nil
}

func (e *engine) unset(name string) error {
	return with(name, "", func(n, _ *C.char) bool { return C.cap_unset(e.ps, n) >= 0 })
}

func (e *engine) setFloat(option string, v float64) error {
	return with(option, "", func(o, _ *C.char) bool { return C.cap_set_float(e.ps, o, C.double(v)) == 0 })
}

// decode decodes the whole of the samples from a clean state with the named
// search, and lists up to rivals other texts.
func (e *engine) decode(name string, samples []int16, rivals int) (decoded, error) {
	if len(samples) == 0 {
		return decoded{}, nil
	}
	cname := C.CString(name)
	defer C.free(unsafe.Pointer(cname))
	var out C.ps_result_t
	err := guarded(func() bool {
		return C.cap_decode(e.ps, cname, (*C.int16)(unsafe.Pointer(&samples[0])), C.size_t(len(samples)), C.int(rivals), &out) == 0
	})
	defer C.cap_free(&out)
	if err != nil {
		return decoded{}, fmt.Errorf("recognise: %w", err)
	}
	d := decoded{frames: int(out.frames), score: int(out.score)}
	if out.text != nil {
		d.text = C.GoString(out.text)
	}
	for _, w := range unsafe.Slice(out.words, out.n_words) {
		d.words = append(d.words, decodedWord{
			text: C.GoString(w.word), first: int(w.first), last: int(w.last), acoustic: int(w.acoustic),
		})
	}
	for _, r := range unsafe.Slice(out.rivals, out.n_rivals) {
		d.rivals = append(d.rivals, rival{text: C.GoString(r.text), score: int(r.score)})
	}
	return d, nil
}
