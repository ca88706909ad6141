package sound

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// The WAVE format of the "Multimedia Programming Interface and Data
// Specifications 1.0" (1991): chunks of a four-letter name and a
// little-endian length, padded to even; format tags 1 (PCM), 3 (float) and
// 0xFFFE (extensible: the tag is the start of the sub-format).
const (
	tagPCM        = 1
	tagFloat      = 3
	tagExtensible = 0xFFFE

	unknownLength = int64(-1)
)

// Limits for what is taken as sound at all: a header beyond them is damaged.
const (
	minRate, maxRate = 2000, 768000
	maxChannels      = 64
)

func isWAV(head []byte) bool {
	return len(head) >= 12 && (string(head[:4]) == "RIFF" || string(head[:4]) == "RF64") && string(head[8:12]) == "WAVE"
}

// wav reads the samples of one WAVE stream.
type wav struct {
	r          io.Reader
	tag        int
	bits       int
	sampleRate int
	chans      int
	left       int64 // bytes of sound still to come, or unknownLength
	buf        []byte
}

// readWAV reads the header up to the first sample.
func readWAV(r io.Reader) (*wav, error) {
	var head [12]byte
	if n, err := io.ReadFull(r, head[:]); err != nil {
		if n == 0 {
			return nil, errors.Join(errors.New("the file is empty"), ignoreEOF(err))
		}
		return nil, errors.New("it is not a WAV file: too short for a header")
	}
	if !isWAV(head[:]) {
		return nil, errors.New("it is not a WAV file: no RIFF/WAVE header")
	}
	w := &wav{r: r, left: unknownLength}
	for {
		name, size, err := w.chunk()
		switch {
		case err != nil:
			return nil, fmt.Errorf("the WAV header is cut short: %w", ErrTruncated)
		case name == "data" && w.chans == 0:
			return nil, errors.New("the WAV file is damaged: sound before its format")
		case name == "data":
			// Who cannot know the length, or was cut off before it was written,
			// leaves 0 or the most there can be: read on to the end.
			if size != 0 && size < 0x7FFFF000 {
				w.left = int64(size)
			}
			return w, nil
		case name == "fmt ":
			if err := w.format(size); err != nil {
				return nil, err
			}
		default:
			if _, err := io.CopyN(io.Discard, r, int64(size)+int64(size&1)); err != nil {
				return nil, fmt.Errorf("the WAV header is cut short: %w", ErrTruncated)
			}
		}
	}
}

func (w *wav) chunk() (name string, size uint32, err error) {
	var b [8]byte
	if _, err := io.ReadFull(w.r, b[:]); err != nil {
		return "", 0, err
	}
	return string(b[:4]), binary.LittleEndian.Uint32(b[4:]), nil
}

func (w *wav) format(size uint32) error {
	if size < 16 || size > 1024 {
		return fmt.Errorf("the WAV file is damaged: a format of %d bytes", size)
	}
	b := make([]byte, size+size&1)
	if _, err := io.ReadFull(w.r, b); err != nil {
		return fmt.Errorf("the WAV header is cut short: %w", ErrTruncated)
	}
	w.tag = int(binary.LittleEndian.Uint16(b))
	w.chans = int(binary.LittleEndian.Uint16(b[2:]))
	w.sampleRate = int(binary.LittleEndian.Uint32(b[4:]))
	w.bits = int(binary.LittleEndian.Uint16(b[14:]))
	if w.tag == tagExtensible && size >= 26 {
		w.tag = int(binary.LittleEndian.Uint16(b[24:]))
	}
	switch {
	case w.chans < 1 || w.chans > maxChannels:
		return fmt.Errorf("the WAV file is damaged: %d channels", w.chans)
	case w.sampleRate < minRate || w.sampleRate > maxRate:
		return fmt.Errorf("the WAV file is damaged: a rate of %d Hz", w.sampleRate)
	case w.tag == tagPCM && (w.bits == 8 || w.bits == 16 || w.bits == 24 || w.bits == 32):
	case w.tag == tagFloat && (w.bits == 32 || w.bits == 64):
	default:
		return fmt.Errorf("WAV coding %#x with %d bits is not PCM: convert it, for instance with ffmpeg -i IN -c:a pcm_s16le OUT.wav", w.tag, w.bits)
	}
	return nil
}

func (w *wav) rate() int       { return w.sampleRate }
func (w *wav) channels() int   { return w.chans }
func (w *wav) frameBytes() int { return w.chans * w.bits / 8 }

func (w *wav) read(p []float32) (int, error) {
	size := w.frameBytes()
	want := int64(len(p)/w.chans) * int64(size)
	if w.left != unknownLength {
		want = min(want, w.left)
	}
	if want < int64(size) {
		return 0, io.EOF
	}
	if int64(cap(w.buf)) < want {
		w.buf = make([]byte, want)
	}
	n, err := io.ReadFull(w.r, w.buf[:want])
	if w.left != unknownLength {
		w.left -= int64(n)
	}
	frames := n / size
	w.decode(p[:frames*w.chans], w.buf)
	switch {
	case frames > 0:
		return frames, nil // a short read shows again at the next one
	case err == nil:
		return 0, io.EOF
	case !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF):
		return 0, err
	case w.left == unknownLength:
		return 0, io.EOF
	}
	return 0, fmt.Errorf("%w: %d bytes are missing", ErrTruncated, w.left)
}

// decode turns little-endian samples into ±1.
func (w *wav) decode(p []float32, b []byte) {
	le := binary.LittleEndian
	for i := range p {
		switch {
		case w.tag == tagFloat && w.bits == 32:
			p[i] = math.Float32frombits(le.Uint32(b[4*i:]))
		case w.tag == tagFloat:
			p[i] = float32(math.Float64frombits(le.Uint64(b[8*i:])))
		case w.bits == 8: // unsigned
			p[i] = (float32(b[i]) - 128) / 128
		case w.bits == 16:
			p[i] = float32(int16(le.Uint16(b[2*i:]))) / (1 << 15)
		case w.bits == 24:
			p[i] = float32(int32(uint32(b[3*i])<<8|uint32(b[3*i+1])<<16|uint32(b[3*i+2])<<24)>>8) / (1 << 23)
		default:
			p[i] = float32(float64(int32(le.Uint32(b[4*i:]))) / (1 << 31))
		}
	}
}

// WAV writes 16 kHz mono sound as the bytes of a WAV file.
func WAV(samples []int16) []byte {
	var b bytes.Buffer
	size := uint32(2 * len(samples))
	b.Grow(44 + int(size))
	write := func(v any) { _ = binary.Write(&b, binary.LittleEndian, v) } // a buffer takes all
	b.WriteString("RIFF")
	write(36 + size)
	b.WriteString("WAVEfmt ")
	write(uint32(16))
	write([]uint16{tagPCM, 1})
	write([]uint32{Rate, 2 * Rate})
	write([]uint16{2, 16})
	b.WriteString("data")
	write(size)
	write(samples)
	return b.Bytes()
}
