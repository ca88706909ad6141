package sound

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"github.com/hajimehoshi/go-mp3"
	"github.com/mewkiz/flac"
	flacframe "github.com/mewkiz/flac/frame"
)

// isFLAC and isMP3 know a file by its first bytes: the marker of RFC 9639,
// section 6; an ID3 tag, or the eleven set bits of an MPEG audio frame
// (ISO/IEC 11172-3, 2.4.1.3) of layer 3.
func isFLAC(head []byte) bool { return bytes.HasPrefix(head, []byte("fLaC")) }

func isMP3(head []byte) bool {
	return bytes.HasPrefix(head, []byte("ID3")) ||
		len(head) > 1 && head[0] == 0xff && head[1]&0xe0 == 0xe0 && head[1]&0x06 == 0x02
}

// openFLAC reads a FLAC stream.
func openFLAC(r io.Reader) (*File, error) {
	var s *flac.Stream
	err := unpanicked(func() (err error) { s, err = flac.New(r); return err })
	if err != nil {
		return nil, fmt.Errorf("it is not sound in FLAC: %w", err)
	}
	info := s.Info
	switch {
	case info.SampleRate < minRate || info.SampleRate > maxRate:
		return nil, fmt.Errorf("the FLAC file is damaged: a rate of %d Hz", info.SampleRate)
	case info.NChannels < 1 || info.NChannels > maxFLACChannels:
		return nil, fmt.Errorf("the FLAC file is damaged: %d channels", info.NChannels)
	case info.BitsPerSample < minFLACBits || info.BitsPerSample > maxFLACBits:
		return nil, fmt.Errorf("the FLAC file is damaged: %d bits a sample", info.BitsPerSample)
	}
	f := newFile(&flacSound{s: s}, fmt.Sprintf("FLAC, %d bit, %d Hz, %d channels", info.BitsPerSample, info.SampleRate, info.NChannels))
	f.length = SamplesLong(info.NSamples, int(info.SampleRate))
	return f, nil
}

// The limits of RFC 9639, section 8.2: at most 8 channels, 4 to 32 bits.
const (
	maxFLACChannels = 8
	minFLACBits     = 4
	maxFLACBits     = 32
)

// unpanicked turns a decoder's panic over a damaged file into an error: the
// libraries trust what a file says of itself more than may be trusted.
func unpanicked(f func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("it is damaged (%v)", p)
		}
	}()
	return f()
}

type flacSound struct {
	s     *flac.Stream
	frame *flacframe.Frame
	at    int // samples of frame that were given
}

func (f *flacSound) rate() int     { return int(f.s.Info.SampleRate) }
func (f *flacSound) channels() int { return int(f.s.Info.NChannels) }

func (f *flacSound) read(p []float32) (int, error) {
	for f.frame == nil || f.at == int(f.frame.BlockSize) {
		if err := f.next(); err != nil {
			return 0, err
		}
	}
	channels, full := f.channels(), float32(int64(1)<<(f.s.Info.BitsPerSample-1))
	frames := min(len(p)/channels, int(f.frame.BlockSize)-f.at)
	for i := range frames {
		for c := range channels {
			p[i*channels+c] = float32(f.frame.Subframes[c].Samples[f.at+i]) / full
		}
	}
	f.at += frames
	return frames, nil
}

// next reads a frame and holds its header against that of the stream: each
// frame says its own channels, size and bits (RFC 9639, section 9.1).
func (f *flacSound) next() error {
	var next *flacframe.Frame
	err := unpanicked(func() (err error) { next, err = f.s.ParseNext(); return err })
	if errors.Is(err, io.ErrUnexpectedEOF) {
		return ErrTruncated
	}
	if err != nil {
		return err
	}
	damaged := next.BitsPerSample != 0 && next.BitsPerSample != f.s.Info.BitsPerSample ||
		next.SampleRate != 0 && next.SampleRate != f.s.Info.SampleRate ||
		len(next.Subframes) != f.channels() || next.BlockSize == 0
	for _, sub := range next.Subframes {
		damaged = damaged || len(sub.Samples) < int(next.BlockSize)
	}
	if damaged {
		return errors.New("the FLAC file is damaged: a frame is of another form than the file says")
	}
	f.frame, f.at = next, 0
	return nil
}

// openMP3 reads MPEG audio of layer 3.
func openMP3(r *bufio.Reader) (*File, error) {
	var d *mp3.Decoder
	err := unpanicked(func() (err error) { d, err = mp3.NewDecoder(r); return err })
	if err != nil {
		return nil, fmt.Errorf("it is not sound in MP3: %w", err)
	}
	if d.SampleRate() < minRate || d.SampleRate() > maxRate {
		return nil, fmt.Errorf("the MP3 file is damaged: a rate of %d Hz", d.SampleRate())
	}
	return newFile(&mp3Sound{d: d}, fmt.Sprintf("MP3, %d Hz", d.SampleRate())), nil
}

// mp3Sound is decoded sound, always 16 bit and two channels.
type mp3Sound struct {
	d   *mp3.Decoder
	buf []byte
}

func (m *mp3Sound) rate() int   { return m.d.SampleRate() }
func (*mp3Sound) channels() int { return 2 }

func (m *mp3Sound) read(p []float32) (int, error) {
	const frameBytes = 4
	want := len(p) / 2 * frameBytes
	if cap(m.buf) < want {
		m.buf = make([]byte, want)
	}
	var n int
	err := unpanicked(func() (err error) { n, err = io.ReadFull(m.d, m.buf[:want]); return err })
	frames := n / frameBytes
	for i := range frames * 2 {
		p[i] = float32(int16(binary.LittleEndian.Uint16(m.buf[2*i:]))) / (1 << 15)
	}
	if frames > 0 {
		return frames, nil
	}
	if errors.Is(err, io.ErrUnexpectedEOF) {
		err = io.EOF
	}
	return 0, err
}
