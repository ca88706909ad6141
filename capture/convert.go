package capture

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

// openConverted has ffmpeg turn a file that is no WAV, FLAC or MP3 into samples.
func openConverted(path string) (*File, error) {
	tool, err := exec.LookPath("ffmpeg")
	if err != nil {
		return nil, errors.New("it is no WAV, FLAC or MP3 file, and other kinds need ffmpeg: apt-get install ffmpeg")
	}
	// file: keeps a name with a colon from being taken as a protocol.
	cmd := exec.Command(tool, "-nostdin", "-v", "error", "-protocol_whitelist", "file", "-i", "file:"+path,
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
