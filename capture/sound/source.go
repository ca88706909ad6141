package sound

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"
)

// Rate is the sample rate of all sound inside the package, in samples a second, mono.
const Rate = 16000

// Source gives sound: 16 kHz, mono, 16 bit.
type Source interface {
	// Read fills p with the samples that come next and returns how many, at
	// least one unless there is an error. io.EOF is the end of the sound.
	// ErrDeviceLost says that the microphone went away; reading goes on.
	Read(ctx context.Context, p []int16) (int, error)
	Close() error
}

// ErrTruncated is wrapped by the error at the end of a file that has less
// sound than its header says; all sound that is there was given before it.
var ErrTruncated = errors.New("the file ends before its sound does")

// File is a Source over recorded sound.
type File struct {
	pcm    pcm
	mix    mixer
	length time.Duration
	format string
	close  func() error
	err    error // what ended the sound
}

// pcm is decoded sound of any rate and number of channels.
type pcm interface {
	rate() int
	channels() int
	// read fills p with interleaved samples of ±1 and returns how many whole
	// frames; 0 frames only with an error.
	read(p []float32) (frames int, err error)
}

// OpenFile opens recorded sound. WAV (8, 16, 24, 32 bit and float PCM), FLAC
// and MP3 are read here; Ogg, M4A and all else by ffmpeg where it is installed.
// Any rate and number of channels is mixed to one and resampled to 16 kHz.
// Errors say whether the file is empty, not sound, or of an unreadable kind.
func OpenFile(path string) (*File, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("open sound: %w", err)
	}
	file, err := openStream(f, path)
	if err != nil {
		f.Close()
		return nil, fmt.Errorf("open sound %s: %w", path, err)
	}
	return file, nil
}

func openStream(f *os.File, path string) (*File, error) {
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, errors.New("it is a folder")
	}
	in := bufio.NewReaderSize(f, 1<<16)
	head, err := in.Peek(12)
	switch {
	case len(head) == 0:
		return nil, errors.Join(errors.New("the file is empty"), ignoreEOF(err))
	case isWAV(head):
		file, err := NewWAV(in)
		if err != nil {
			return nil, err
		}
		file.close = f.Close
		return file, nil
	case isFLAC(head):
		return closing(f)(openFLAC(in))
	case isMP3(head):
		return closing(f)(openMP3(in))
	}
	first := bytes.Clone(head)
	f.Close()
	return openConverted(path, first)
}

// closing has a sound close the file that it is read from.
func closing(f *os.File) func(*File, error) (*File, error) {
	return func(sound *File, err error) (*File, error) {
		if err != nil {
			return nil, err
		}
		sound.close = f.Close
		return sound, nil
	}
}

// SamplesLong is how long so many samples last.
func SamplesLong(n uint64, rate int) time.Duration {
	return time.Duration(float64(n) / float64(rate) * float64(time.Second))
}

func ignoreEOF(err error) error {
	if errors.Is(err, io.EOF) {
		return nil
	}
	return err
}

// NewWAV reads WAV sound from a stream, such as standard input.
func NewWAV(r io.Reader) (*File, error) {
	w, err := readWAV(r)
	if err != nil {
		return nil, err
	}
	f := newFile(w, fmt.Sprintf("WAV, %d bit, %d Hz, %d channels", w.bits, w.sampleRate, w.chans))
	if w.left != unknownLength {
		frames := w.left / int64(w.frameBytes())
		f.length = SamplesLong(uint64(frames), w.sampleRate)
	}
	return f, nil
}

func newFile(p pcm, format string) *File {
	return &File{pcm: p, mix: newMixer(p), format: format, close: func() error { return nil }}
}

// Length is how long the sound is, as the file says; 0 when it does not say.
func (f *File) Length() time.Duration { return f.length }

// Format describes the file: "WAV, 24 bit, 44100 Hz, 2 channels".
func (f *File) Format() string { return f.format }

// Read implements Source.
func (f *File) Read(ctx context.Context, p []int16) (int, error) {
	if len(p) == 0 {
		return 0, nil
	}
	for {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		if n := f.mix.take(p); n > 0 {
			return n, nil
		}
		if f.err != nil {
			return 0, f.err
		}
		f.err = f.mix.fill(f.pcm)
	}
}

// Close implements Source.
func (f *File) Close() error { return f.close() }

// samplesSource is sound held in memory.
type samplesSource struct{ left []int16 }

// FromSamples is a Source over sound held in memory.
func FromSamples(samples []int16) Source { return &samplesSource{left: samples} }

func (s *samplesSource) Read(ctx context.Context, p []int16) (int, error) {
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	if len(s.left) == 0 {
		return 0, io.EOF
	}
	n := copy(p, s.left)
	s.left = s.left[n:]
	return n, nil
}

func (*samplesSource) Close() error { return nil }

// ReadAll reads a source to its end. With an error comes what was read before it.
func ReadAll(ctx context.Context, src Source) ([]int16, error) {
	var all []int16
	buf := make([]int16, 4096)
	for {
		n, err := src.Read(ctx, buf)
		all = append(all, buf[:n]...)
		if errors.Is(err, io.EOF) {
			return all, nil
		}
		if err != nil {
			return all, err
		}
	}
}

// Sleep waits so long, or until ctx is done.
func Sleep(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(d):
		return nil
	}
}
