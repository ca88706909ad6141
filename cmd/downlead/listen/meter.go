package listen

import (
	"context"
	"fmt"
	"io"
	"math"
	"strings"

	"downlead/capture/sound"
)

// Meter is a source that shows the level of what passes, ten times a second.
type Meter struct {
	sound.Source
	Out  io.Writer
	peak int
	n    int
}

// Read passes the sound on.
func (m *Meter) Read(ctx context.Context, p []int16) (int, error) {
	n, err := m.Source.Read(ctx, p)
	for _, v := range p[:n] {
		m.peak = max(m.peak, int(v), -int(v))
	}
	if m.n += n; m.n >= sound.Rate/10 {
		fmt.Fprint(m.Out, "\r", levelBar(m.peak))
		m.n, m.peak = 0, 0
	}
	return n, err
}

// levelBar shows a peak between -60 dB of full scale and full scale.
func levelBar(peak int) string {
	const width, least = 30, -60.0
	db := max(least, 20*math.Log10(float64(peak)/(1<<15)))
	full := int(math.Round((db - least) / -least * width))
	return fmt.Sprintf("[%-*s] %4.0f dBFS", width, strings.Repeat("#", full), db)
}
