package sound

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strings"
)

// demuxers names ffmpeg's reader of each kind of file that it is asked to read,
// by what the file has at an offset: OggS (RFC 3533, 6), ftyp (ISO/IEC
// 14496-12, 4.3), EBML (RFC 8794, 11.2.1), AIFF, AU, AMR (RFC 4867, 5), CAF,
// ADTS (ISO/IEC 13818-7, 6.2). ffmpeg is never left to guess: it would take a
// text for a playlist, and read what that names.
var demuxers = []struct {
	at         int
	magic, use string
}{
	{0, "OggS", "ogg"},
	{4, "ftyp", "mov"},
	{0, "\x1a\x45\xdf\xa3", "matroska"},
	{8, "AIFF", "aiff"},
	{8, "AIFC", "aiff"},
	{0, ".snd", "au"},
	{0, "#!AMR", "amr"},
	{0, "caff", "caf"},
	{0, "\x30\x26\xb2\x75\x8e\x66\xcf\x11", "asf"},
	{0, "wvpk", "wv"},
	{0, "\xff\xf1", "aac"},
	{0, "\xff\xf9", "aac"},
}

// demuxer is ffmpeg's reader for a file that begins with head.
func demuxer(head []byte) (string, error) {
	for _, d := range demuxers {
		if len(head) >= d.at && bytes.HasPrefix(head[d.at:], []byte(d.magic)) {
			return d.use, nil
		}
	}
	return "", errors.New("cannot read it as sound: it is of none of the kinds that are read here (WAV, FLAC, MP3, Ogg, M4A, WebM, AIFF, AU, AMR, CAF, WMA, WavPack, AAC)")
}

// openConverted has ffmpeg turn a file that is no WAV, FLAC or MP3 into
// samples. head is how it begins.
func openConverted(path string, head []byte) (*File, error) {
	use, err := demuxer(head)
	if err != nil {
		return nil, err
	}
	tool, err := exec.LookPath("ffmpeg")
	if err != nil {
		return nil, errors.New("it is no WAV, FLAC or MP3 file, and other kinds need ffmpeg: apt-get install ffmpeg")
	}
	// file: keeps a name with a colon from being taken as a protocol.
	cmd := exec.Command(tool, "-nostdin", "-v", "error", "-protocol_whitelist", "file,pipe", "-f", use, "-i", "file:"+path,
		"-map", "0:a:0", "-f", "s16le", "-ac", "1", "-ar", fmt.Sprint(Rate), "-")
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, fmt.Errorf("ffmpeg: %w", err)
	}
	if err := cmd.Start(); err != nil {
		return nil, fmt.Errorf("ffmpeg: %w", err)
	}
	c := &converted{cmd: cmd, said: &said, r: bufio.NewReaderSize(out, 1<<16)}
	if _, err := c.r.Peek(2); err != nil { // fail now, not in mid-read
		_, err := c.read(make([]float32, 1))
		if errors.Is(err, io.EOF) {
			err = errors.New("there is no sound in it")
		}
		return nil, err
	}
	f := newFile(c, "by ffmpeg")
	f.close = c.stop
	return f, nil
}

// converted is the output of a running ffmpeg.
type converted struct {
	cmd   *exec.Cmd
	said  *bytes.Buffer
	r     *bufio.Reader
	buf   [2 * mixFrames]byte
	ended bool
}

func (*converted) rate() int     { return Rate }
func (*converted) channels() int { return 1 }

func (c *converted) read(p []float32) (int, error) {
	if c.ended {
		return 0, io.EOF
	}
	n, _ := io.ReadFull(c.r, c.buf[:min(len(c.buf), 2*len(p))])
	for i := range n / 2 {
		p[i] = float32(int16(binary.LittleEndian.Uint16(c.buf[2*i:]))) / (1 << 15)
	}
	if n >= 2 {
		return n / 2, nil
	}
	c.ended = true
	failed := c.cmd.Wait()
	switch {
	case failed != nil || c.said.Len() > 0:
		said := strings.TrimSpace(c.said.String())
		first, _, _ := strings.Cut(said, "\n")
		return 0, fmt.Errorf("ffmpeg cannot read it as sound: %s", first)
	}
	return 0, io.EOF
}

func (c *converted) stop() error {
	if c.ended {
		return nil
	}
	c.ended = true
	_ = c.cmd.Process.Kill() // it may have ended by itself
	_ = c.cmd.Wait()
	return nil
}
