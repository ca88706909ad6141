package grammar

import (
	"reflect"
	"testing"

	"downlead/grammar/entry"
)

// What says something while nothing is asked is a statement; an answer says
// something only to a question.
func TestSays(t *testing.T) {
	p := newParser(t)
	for phrase, want := range map[string][2]bool{
		"arrived":               {true, true},
		"wall plate":            {true, true},
		"pass minus forty":      {true, true},
		"no":                    {false, true},
		"forty one":             {false, true},
		"no minus sixty":        {false, true},
		"the":                   {false, false},
		"removed":               {false, false},
		"strength two twelve a": {false, false},
	} {
		if got := [2]bool{p.Says(phrase, false) != "", p.Says(phrase, true) != ""}; got != want {
			t.Errorf("%q: says something %v, while a question is open %v; want %v", phrase, got[0], got[1], want)
		}
	}
	if p.Says("wall plate fail minus four one", false) != p.Says("wall plate fail minus forty one", false) {
		t.Error("two wordings of one statement have two keys")
	}
}

// A question is answered the way people do.
func TestParseAnswer(t *testing.T) {
	p := newParser(t)
	for phrase, want := range map[string]entry.Answer{
		"yep":                {Yes: true},
		"yes it is":          {Yes: true},
		"sure is":            {Yes: true},
		"nah":                {No: true},
		"no it isn't":        {No: true},
		"nope, that's wrong": {No: true},
		"no, minus forty":    {Value: entry.Whole(-40)},
		"fifty eight":        {Value: entry.Whole(58)},
		"neither of them":    {Neither: true},
		"both of those":      {Both: true},
		"the second one":     {Choice: 2},
		"skip it":            {Unknown: true},
		"no idea":            {Unknown: true},
		"the bedroom one":    {Point: &entry.Point{Room: "bedroom"}},
		"the kitchen one":    {Point: &entry.Point{Room: "kitchen"}},
		"it fails":           {Verdict: entry.Fail},
		"the dish side":      {Point: &entry.Point{Side: entry.DishSide}},
		"bedroom one":        {Point: &entry.Point{Room: "bedroom 1"}},
	} {
		got, err := p.ParseAnswer(phrase)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%q: %+v, %v; want %+v", phrase, got, err, want)
		}
	}
}
