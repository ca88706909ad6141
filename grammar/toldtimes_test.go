package grammar

import (
	"reflect"
	"strings"
	"testing"

	"downlead/grammar/entry"
)

// TestToldTimes: a time told carries the part of the day, or a word that it is
// near, and stays what was said. The hours of a part of the day: common
// practice, no source.
func TestToldTimes(t *testing.T) {
	p := newParser(t)
	for say, want := range map[string]entry.Time{
		"arrived at 8:50 this morning":                {Mark: "arrived", At: "08:50"},
		"got here at ten to nine this morning":        {Mark: "arrived", At: "08:50"},
		"got here this morning at 8:50":               {Mark: "arrived", At: "08:50"},
		"left this afternoon about 4":                 {Mark: "departed", At: "16:00", Remark: "about"},
		"pulled up at ten of nine":                    {Mark: "arrived", At: "08:50"},
		"I've been here since 8:50 this morning":      {Mark: "arrived", At: "08:50"},
		"left at 4 this afternoon":                    {Mark: "departed", At: "16:00"},
		"we left at quarter till five this afternoon": {Mark: "departed", At: "16:45"},
		"left at half past six this evening":          {Mark: "departed", At: "18:30"},
		"left at 9 tonight":                           {Mark: "departed", At: "21:00"},
		"back from lunch at 1 this afternoon":         {Mark: "break_end", At: "13:00"},
		"nobody home at 9:30 this morning":            {Mark: "no_access", At: "09:30"},
		"customer wasn't here at nine this morning":   {Mark: "no_access", At: "09:00"},
		"hit the road at 7:15 this morning":           {Mark: "en_route", At: "07:15"},
		"got here just before nine":                   {Mark: "arrived", At: "09:00", Remark: "just before"},
		"got here a little after nine":                {Mark: "arrived", At: "09:00", Remark: "a little after"},
	} {
		got, err := p.Parse(say)
		if len(got) != 1 || !reflect.DeepEqual(got[0], entry.Entry(want)) {
			t.Errorf("%q: %+v, %v; want %+v", say, got, err, want)
		}
	}
	for say, asks := range map[string]string{
		"got here a while ago":              "when was that?",
		"got here ten minutes ago":          "when was that?",
		"left an hour ago":                  "when was that?",
		"arrived earlier":                   "when was that?",
		"arrived this morning":              "when was that?",
		"been here since this morning":      "when was that?",
		"been here for two hours":           "when was that?",
		"left at 10 last night":             "of another day",
		"arrived yesterday":                 "of another day",
		"arrived at 2 in the night morning": "",
		"left at 3 this morning afternoon":  "",
		"arrived at 14:30 this morning":     "",
		"left at 9 this afternoon":          "",
		"will arrive at 10 this morning":    "",
		"should be there at 10 tonight":     "",
	} {
		got, err := p.Parse(say)
		if len(got) > 0 || err == nil || !strings.Contains(err.Error(), asks) {
			t.Errorf("%q: %+v, %v; want it asked %q", say, got, err, asks)
		}
	}
}
