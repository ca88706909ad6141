package capture

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
	s, err := flac.New(r)
	if err != nil {
		return nil, fmt.Errorf("it is not sound in FLAC: %w", err)
	}
	f := newFile(&flacSound{s: s}, fmt.Sprintf("FLAC, %d bit, %d Hz, %d channels", s.Info.BitsPerSample, s.Info.SampleRate, s.Info.NChannels))
	if s.Info.SampleRate > 0 {
		f.length = samplesLong(s.Info.NSamples, int(s.Info.SampleRate))
	}
	return f, nil
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
		next, err := f.s.ParseNext()
		if errors.Is(err, io.ErrUnexpectedEOF) {
			return 0, ErrTruncated
		}
		if err != nil {
			return 0, err
		}
		f.frame, f.at = next, 0
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

// openMP3 reads MPEG audio of layer 3.
func openMP3(r *bufio.Reader) (*File, error) {
	d, err := mp3.NewDecoder(r)
	if err != nil {
		return nil, fmt.Errorf("it is not sound in MP3: %w", err)
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
	n, err := io.ReadFull(m.d, m.buf[:want])
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
