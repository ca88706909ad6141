package phone

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"time"

	"downlead/capture/sound"
)

// A frame on its way up, little-endian: version, flags, number of samples
// (16 bit), number of the frame (32 bit), the phone's clock at its first
// sample (float64, ms since 1970), and the samples (16 bit each), none where
// the frame is silent.
const (
	frameVersion = 1
	frameHead    = 16

	flagSilent = 1 << 0 // the phone was deaf: an answer was playing
	flagEnd    = 1 << 1 // the speaker let go of the button, or muted: the phrase is over
	knownFlags = flagSilent | flagEnd

	// longestFrame is 100 ms.
	longestFrame = sound.Rate / 10
)

// frame is some sound of the phone.
type frame struct {
	seq     int64
	at      float64 // ms, the phone's clock
	n       int     // samples
	samples []int16 // nil: silence
	end     bool
}

// errGarbage is wrapped by the error of what is no frame.
var errGarbage = errors.New("that is no frame of sound")

// readFrame reads a frame. Where its number could be read, it comes with the error.
func readFrame(b []byte) (frame, error) {
	f := frame{seq: -1}
	if len(b) < frameHead || b[0] != frameVersion {
		return f, fmt.Errorf("%w: %d bytes", errGarbage, len(b))
	}
	flags := b[1]
	f.n = int(binary.LittleEndian.Uint16(b[2:]))
	f.seq = int64(binary.LittleEndian.Uint32(b[4:]))
	f.at = math.Float64frombits(binary.LittleEndian.Uint64(b[8:]))
	f.end = flags&flagEnd != 0
	body := b[frameHead:]
	const year2200 = 7.26e12 // ms
	switch {
	case flags&^knownFlags != 0, f.n > longestFrame, !(f.at >= 0 && f.at < year2200):
		return f, fmt.Errorf("%w: frame %d", errGarbage, f.seq)
	case flags&flagSilent != 0 && len(body) == 0:
		return f, nil
	case len(body) != 2*f.n:
		return f, fmt.Errorf("%w: frame %d has %d bytes of sound, and says %d samples", errGarbage, f.seq, len(body), f.n)
	}
	f.samples = make([]int16, f.n)
	for i := range f.samples {
		f.samples[i] = int16(binary.LittleEndian.Uint16(body[2*i:]))
	}
	return f, nil
}

// long is how long the frame lasts.
func (f frame) long() time.Duration { return samplesLong(int64(f.n)) }

func samplesLong(n int64) time.Duration {
	return time.Duration(float64(n) / sound.Rate * float64(time.Second))
}
