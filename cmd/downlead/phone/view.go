package phone

import (
	"slices"
	"strings"

	"downlead/grammar/entry"

	"downlead/capture"
	"downlead/cmd/downlead/dialogue"
)

// view is what the page shows, sent whole every time: a page that was away
// needs no history.
type view struct {
	Type     string   `json:"type"`  // "view"
	State    string   `json:"state"` // listening, hearing, thinking, answering, asking, paused
	Job      string   `json:"job"`
	Heard    string   `json:"heard"`   // the last phrase
	Outcome  string   `json:"outcome"` // what became of it
	Verdict  string   `json:"verdict"`
	Figure   string   `json:"figure"` // its number, "-41"
	Unit     string   `json:"unit"`   // "dBm"
	Point    string   `json:"point"`  // the point that was named last
	Answer   string   `json:"answer"`
	Question string   `json:"question"`
	Next     string   `json:"next"`
	Cautions []string `json:"cautions"`
	Away     string   `json:"away"`
	Trouble  string   `json:"trouble"`
	Stopped  string   `json:"stopped"`
	Log      []line   `json:"log"` // the newest first

	capture.Progress `json:"-"`
	answering        bool
	paused           bool
}

// line is one phrase of before.
type line struct {
	Heard   string `json:"heard"`
	Outcome string `json:"outcome"`
	Kept    string `json:"kept"`
}

// longestLog is how many phrases the page shows.
const longestLog = 8

// doing takes how far the listener has come, and reports whether that shows.
func (v *view) doing(p capture.Progress) bool {
	before := v.state()
	v.Progress = p
	return v.state() != before
}

func (v *view) state() string {
	switch {
	case v.answering:
		return "answering"
	case v.Decoding:
		return "thinking"
	case v.Speaking:
		return "hearing"
	case v.Question != "":
		return "asking"
	case v.paused:
		return "paused"
	}
	return "listening"
}

// event takes what became of a phrase.
func (v *view) event(ev dialogue.Event) {
	switch ev.Reply.Control {
	case "pause":
		v.paused = true
	case "resume":
		v.paused = false
	}
	if ev.Outcome == dialogue.Ignored {
		return
	}
	v.Heard, v.Outcome = ev.Heard, string(ev.Outcome)
	v.Answer, v.Question = ev.Reply.Text, ev.Reply.Asked
	v.Figure, v.Unit, v.Verdict = "", "", ""
	kept := line{Heard: ev.Heard, Outcome: string(ev.Outcome)}
	for _, r := range ev.Reply.Records {
		v.entry(r.Entry)
		v.Job = r.Job
		if kept.Kept != "" {
			kept.Kept += "; "
		}
		kept.Kept += entry.Say(r.Entry)
	}
	for _, c := range ev.Reply.Caution {
		if !slices.Contains(v.Cautions, c) {
			v.Cautions = append(v.Cautions, c)
		}
	}
	if ev.Reply.Warning != "" {
		v.Trouble = ev.Reply.Warning
	}
	v.Log = append([]line{kept}, v.Log[:min(len(v.Log), longestLog-1)]...)
}

// entry shows the number of an entry, large.
func (v *view) entry(e entry.Entry) {
	switch e := e.(type) {
	case entry.Reading:
		v.Verdict = string(e.Verdict)
		if e.Point.Element != "" {
			v.Point = entry.SayPoint(e.Point)
		}
		switch {
		case e.Level.Said():
			v.Figure, v.Unit = minus(e.Level), "dBm"
		case e.Strength.Said():
			v.Figure, v.Unit = minus(e.Strength), "strength"
		case e.MER.Said():
			v.Figure, v.Unit = minus(e.MER), "dB"
		case e.Volts.Said():
			v.Figure, v.Unit = minus(e.Volts), "V"
		}
	case entry.Correction:
		if e.Level.Said() {
			v.Figure, v.Unit = minus(e.Level), "dBm"
		}
	}
}

// minus writes a number with a true minus sign, which is wider than a hyphen.
func minus(d entry.Decimal) string { return strings.Replace(d.String(), "-", "−", 1) }
