package phoneme

import (
	_ "embed"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas32"
)

// Sizes of the layer: numbers a frame of the encoder, frames that are looked at on
// either side of one, units, and what it tells apart, the blank first.
const (
	Width   = 288
	beside  = 2
	units   = 192
	classes = 40
)

// Class is one of the 39 phonemes of the CMU pronouncing dictionary, 1 to 39; 0 is
// none, the blank.
type Class uint8

// names are the phonemes by their numbers.
var names = sync.OnceValue(func() map[string]Class {
	out := map[string]Class{}
	for i, name := range strings.Fields("AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W Y Z ZH") {
		out[name] = Class(i + 1)
	}
	return out
})

// Parse reads a pronunciation as dictionaries write it, "D IH SH".
func Parse(pronunciation string) ([]Class, error) {
	var out []Class
	for name := range strings.FieldsSeq(pronunciation) {
		p, ok := names()[name]
		if !ok {
			return nil, fmt.Errorf("pronunciation %q: no phoneme %q", pronunciation, name)
		}
		out = append(out, p)
	}
	return out, nil
}

//go:embed phoneme.bin
var weights []byte

// layer holds the weights: of the units by input, of the classes by unit.
type layer struct {
	in, inBias, out, outBias []float32
}

// loaded is the layer. Its file holds bfloat16 numbers, the upper halves of float32.
var loaded = sync.OnceValue(func() layer {
	rest := weights
	take := func(n int) []float32 {
		out := make([]float32, n)
		for i := range out {
			out[i] = math.Float32frombits(uint32(binary.LittleEndian.Uint16(rest[2*i:])) << 16)
		}
		rest = rest[2*n:]
		return out
	}
	return layer{take((2*beside + 1) * Width * units), take(units), take(units * classes), take(classes)}
})

// Posteriors are the log-probabilities, in nats, of every class in every frame.
type Posteriors struct {
	frames [][classes]float32
}

// Of runs the layer over the encoder's frames, Width numbers each.
func Of(hidden []float32) Posteriors {
	l, n := loaded(), len(hidden)/Width
	if n == 0 {
		return Posteriors{}
	}
	matrix := func(rows, columns int, data []float32) blas32.General {
		return blas32.General{Rows: rows, Cols: columns, Stride: columns, Data: data}
	}
	// The first and the last frame stand in for what is before and after them.
	wide := make([]float32, 0, (n+2*beside)*Width)
	for i := -beside; i < n+beside; i++ {
		at := min(max(i, 0), n-1)
		wide = append(wide, hidden[at*Width:(at+1)*Width]...)
	}
	sums := matrix(n, units, slices.Repeat(l.inBias, n))
	for place := range 2*beside + 1 {
		frames, weights := matrix(n, Width, wide[place*Width:]), matrix(Width, units, l.in[place*Width*units:])
		blas32.Gemm(blas.NoTrans, blas.NoTrans, 1, frames, weights, 1, sums)
	}
	for i, v := range sums.Data {
		sums.Data[i] = max(v, 0)
	}
	z := matrix(n, classes, slices.Repeat(l.outBias, n))
	blas32.Gemm(blas.NoTrans, blas.NoTrans, 1, sums, matrix(units, classes, l.out), 1, z)
	p := Posteriors{make([][classes]float32, n)}
	for i := range p.frames {
		copy(p.frames[i][:], z.Data[i*classes:])
		normalise(&p.frames[i])
	}
	return p
}

// normalise makes log-probabilities of what is so only up to a constant.
func normalise(z *[classes]float32) {
	most := z[0]
	for _, v := range z {
		most = max(most, v)
	}
	var sum float64
	for _, v := range z {
		sum += math.Exp(float64(v - most))
	}
	all := most + float32(math.Log(sum))
	for c := range z {
		z[c] -= all
	}
}

// Free is the log-probability of the likeliest phonemes, nats.
func (p Posteriors) Free() float64 {
	var sum float64
	for i := range p.frames {
		most := p.frames[i][0]
		for _, v := range p.frames[i] {
			most = max(most, v)
		}
		sum += float64(most)
	}
	return sum
}
