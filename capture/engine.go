//go:build !novoice && linux

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
type engine struct {
	ps    *C.ps_decoder_t
	heard bool // it has decoded sound
}

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

// pointers is C memory for so many pointers, all nil: where Go stores a pointer its
// collector looks at the old one, and what malloc gives may hold the address of a Go
// object that is no longer there ("found pointer to free object").
func pointers(n int) unsafe.Pointer {
	return C.calloc(C.size_t(n+1), C.size_t(unsafe.Sizeof(uintptr(0))))
}

func openEngine(options []string) (*engine, error) {
	argv := make([]*C.char, 0, len(options)+1)
	for _, o := range append([]string{"capture"}, options...) {
		argv = append(argv, C.CString(o))
	}
	// The array itself must not be Go memory that holds C pointers across
	// the call's own stores, so it lives in C too.
	block := pointers(len(argv))
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

// learn takes words over from another engine, with all their pronunciations.
func (e *engine) learn(words []string, from *engine) error {
	for _, word := range words {
		for name, phones := range from.ways(word) {
			if e.hasWord(name) {
				break
			}
			if err := e.addWord(name, phones); err != nil {
				return err
			}
		}
	}
	return nil
}

// pronunciation is the sounds of a word; "" where it is not known.
func (e *engine) pronunciation(word string) (phones string) {
	_ = with(word, "", func(w, _ *C.char) bool {
		p := C.cap_pronunciation(e.ps, w)
		defer C.free(unsafe.Pointer(p))
		if p != nil {
			phones = C.GoString(p)
		}
		return true
	})
	return phones
}

// compile compiles a speech grammar, as the library does: a rule is copied
// wherever it is used.
func (e *engine) compile(jsgf string) (network, error) {
	var c C.cap_network_t
	defer func() { C.cap_free_network(&c) }()
	err := with(jsgf, "", func(j, _ *C.char) bool { return C.cap_compile_jsgf(e.ps, j, &c) >= 0 })
	if err != nil {
		return network{}, err
	}
	n := network{states: int(c.n_states), start: int(c.start), final: int(c.final), arcs: make([]arc, c.n_arcs)}
	for i := range n.arcs {
		triple := unsafe.Slice(c.arcs, 3*int(c.n_arcs))[3*i:]
		n.arcs[i] = arc{int(triple[0]), int(triple[1]), int(triple[2])}
	}
	for _, w := range unsafe.Slice(c.words, int(c.n_words)) {
		n.words = append(n.words, C.GoString(w))
	}
	return n, nil
}

// setNetwork makes a network with its costs a search of that name.
func (e *engine) setNetwork(name string, n network) error {
	arcs := C.malloc(C.size_t(3*len(n.arcs)+1) * C.sizeof_int)
	words := pointers(len(n.words))
	costs := C.malloc(C.size_t(len(n.words)+1) * C.sizeof_double)
	copy(unsafe.Slice((*float64)(costs), len(n.words)), n.costs)
	list := unsafe.Slice((**C.char)(words), len(n.words))
	defer func() {
		for _, w := range list {
			C.free(unsafe.Pointer(w))
		}
		C.free(words)
		C.free(arcs)
		C.free(costs)
	}()
	for i, w := range n.words {
		list[i] = C.CString(w)
	}
	flat := unsafe.Slice((*C.int)(arcs), 3*len(n.arcs))
	for i, a := range n.arcs {
		flat[3*i], flat[3*i+1], flat[3*i+2] = C.int(a.from), C.int(a.to), C.int(a.word)
	}
	c := C.cap_network_t{
		n_states: C.int(n.states), start: C.int(n.start), final: C.int(n.final),
		n_arcs: C.int(len(n.arcs)), arcs: (*C.int)(arcs), n_words: C.int(len(n.words)), words: (**C.char)(words),
		costs: (*C.double)(costs),
	}
	return with(name, "", func(name, _ *C.char) bool { return C.cap_set_network(e.ps, name, &c) >= 0 })
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

func (e *engine) unset(name string) error {
	return with(name, "", func(n, _ *C.char) bool { return C.cap_unset(e.ps, n) >= 0 })
}

func (e *engine) setFloat(option string, v float64) error {
	return with(option, "", func(o, _ *C.char) bool { return C.cap_set_float(e.ps, o, C.double(v)) == 0 })
}

// decode decodes the whole of the samples from a clean state with the named
// search.
func (e *engine) decode(name string, samples []int16) (decoded, error) {
	return e.hear(name, samples, nil, nil)
}

// score is decode of an engine that writes the scores down.
func (e *engine) score(name string, samples []int16, l *scoreLog) error {
	link, dir := C.CString(l.link()), C.CString(l.dir)
	defer C.free(unsafe.Pointer(link))
	defer C.free(unsafe.Pointer(dir))
	_, err := e.hear(name, samples, link, dir)
	return err
}

// hear is decode, or score where there is what cap_decode removes.
func (e *engine) hear(name string, samples []int16, opened, folder *C.char) (decoded, error) {
	if len(samples) == 0 {
		return decoded{}, nil
	}
	e.heard = true
	return found(name, func(name *C.char, out *C.ps_result_t) bool {
		return C.cap_decode(e.ps, name, (*C.int16)(unsafe.Pointer(&samples[0])), C.size_t(len(samples)), opened, folder, out) == 0
	})
}

// decodeScores decodes with the named search what another engine of the same
// acoustic model scored, or is scoring. Not for an engine that has decoded sound: the
// library (5prealpha) then writes past the end of one of its lists.
func (e *engine) decodeScores(name string, l *scoreLog) (decoded, error) {
	if e.heard {
		return decoded{}, errors.New("recognise: a decoder of sound cannot take scores")
	}
	return found(name, func(name *C.char, out *C.ps_result_t) bool {
		return C.cap_decode_scores(e.ps, name, l.scores, out) == 0
	})
}

// found is what a decode with the named search gives.
func found(name string, decode func(name *C.char, out *C.ps_result_t) bool) (decoded, error) {
	cname := C.CString(name)
	defer C.free(unsafe.Pointer(cname))
	var out C.ps_result_t
	err := guarded(func() bool { return decode(cname, &out) })
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
	return d, nil
}
