package listen

import (
	"strings"
	"testing"

	"downlead/capture"
	"downlead/capture/confidence"
)

func TestListenConfig(t *testing.T) {
	c, err := parseConfig(strings.NewReader("device = \"headset\"\nwake = \" Okay Ladder \"\n[voice]\nspeed = 1.2\n[thresholds]\nmargin = 200.0\n[costs]\nquestion = 3.0\n[confidence]\nslope = 0.9\noffset = -0.5\n"))
	if err != nil {
		t.Fatal(err)
	}
	want := capture.DefaultThresholds()
	want.Margin = 200
	if c.Device != "headset" || c.Wake != "okay ladder" || c.Voice.Speed != 1.2 || c.Thresholds != want {
		t.Errorf("%+v", c)
	}
	costs := confidence.DefaultCosts()
	costs.Question = 3
	if c.Costs != costs || c.Tuning != (confidence.Tuning{Slope: 0.9, Offset: -0.5}) {
		t.Errorf("%+v, %+v", c.Costs, c.Tuning)
	}
	for text, says := range map[string]string{
		"devise = \"headset\"":                   "devise is not a setting",
		"[voice]\nvolume = 3.0":                  "voice.volume is 3",
		"[voice]\nspeed = 9.0":                   "voice.speed is 9",
		"[thresholds]\ngrammar = -90.0":          "limit for asking",
		"device = ":                              "expected",
		"[voice]\nvolume = 3.0\nspeed = 9.0\n":   "voice.speed is 9",
		"[costs]\nwrong = -1.0\n":                "costs.wrong is -1",
		"[confidence]\nslope = 99.0\n":           "slope goes from 0 to 10",
		"[thresholds]\nask_worst_word = -10.0\n": "limit for asking",
	} {
		if _, err := parseConfig(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: error %v, want %q", text, err, says)
		}
	}
}
