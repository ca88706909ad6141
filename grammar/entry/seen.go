package entry

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"downlead/grammar/vocab"
)

// Parts that may be worked on and seen, and are never part of the signal path.
const (
	Mount      Element = "mount"
	GroundWire Element = "ground_wire"
)

// InPath reports that an element can be part of the signal path.
func (e Element) InPath() bool { return e != Mount && e != GroundWire }

// AnyRank is the rank of elements that may lie anywhere: barrel, fitting,
// diplexer, triplexer, power inserter.
const AnyRank = 4

// Forks reports that an element has several outputs by nature.
func (e Element) Forks() bool { return e == Splitter || e == Tap || e == Multiswitch }

// Rank is an element's place in the usual order from the dish to the receiver.
// Cable has none of its own: it lies between two that have.
func (e Element) Rank() int {
	switch e {
	case Dish:
		return 0
	case LNB:
		return 1
	case GroundBlock:
		return 3
	case Splitter, Tap, Multiswitch:
		return 5
	case WallPlate:
		return 7
	case Jumper:
		return 8
	case Receiver:
		return 9
	}
	return AnyRank
}

// Sighting is what was seen of a part: evidence, and no reading.
type Sighting struct {
	Element   Element  `json:"element"`
	Number    int      `json:"number,omitempty"`
	Room      string   `json:"room,omitempty"`
	Condition string   `json:"condition"` // wet corroded loose cut kinked dented blocked missing burnt pinched
	At        *Point   `json:"at,omitempty"`
	Remark    string   `json:"remark,omitempty"`
	Assumed   []string `json:"assumed,omitempty"`
}

// Kind returns KindSighting.
func (Sighting) Kind() Kind { return KindSighting }

// Symptom is what the people of the house notice: evidence for faults that
// come and go.
type Symptom struct {
	Symptom string   `json:"symptom"`        // freezing pixelating dropouts intermittent missing_channels no_picture
	When    string   `json:"when,omitempty"` // rain wind heat cold night afternoon
	Point   *Point   `json:"point,omitempty"`
	Remark  string   `json:"remark,omitempty"`
	Assumed []string `json:"assumed,omitempty"`
}

// Kind returns KindSymptom.
func (Symptom) Kind() Kind { return KindSymptom }

// Place says where the technician stands, and nothing else.
type Place struct {
	Point   Point    `json:"point"`
	Assumed []string `json:"assumed,omitempty"`
}

// Kind returns KindPlace.
func (Place) Kind() Kind { return KindPlace }

// Outcome is how a visit ended where nothing was mended: no_fault_found,
// rescheduled (When, in the words said) or needs_help.
type Outcome struct {
	Outcome string   `json:"outcome"`
	When    string   `json:"when,omitempty"`
	Remark  string   `json:"remark,omitempty"`
	Assumed []string `json:"assumed,omitempty"`
}

// Kind returns KindOutcome.
func (Outcome) Kind() Kind { return KindOutcome }

// Which is a choice of several receivers: "both", "all", "others", or their
// numbers, "1,3". After "all" may stand how many were said: "all 4". Only what
// was parsed has one; stored, there is one entry a receiver.
type Which string

// The choices that are words.
const (
	WhichBoth   Which = "both"
	WhichAll    Which = "all"
	WhichOthers Which = "others"
)

// WhichOf is the choice of numbers.
func WhichOf(numbers []int) Which {
	said := make([]string, len(numbers))
	for i, n := range numbers {
		said[i] = strconv.Itoa(n)
	}
	return Which(strings.Join(said, ","))
}

// Numbers returns the numbers of a choice that has them.
func (w Which) Numbers() []int {
	var out []int
	for s := range strings.SplitSeq(string(w), ",") {
		if n := vocab.Atoi(s); n > 0 {
			out = append(out, n)
		}
	}
	return out
}

// Word returns the word of a choice, and how many were said with it; 0 when
// nobody said.
func (w Which) Word() (Which, int) {
	word, count, _ := strings.Cut(string(w), " ")
	return Which(word), vocab.Atoi(count)
}

// MarshalJSON writes the word, or the list of numbers.
func (w Which) MarshalJSON() ([]byte, error) {
	if n := w.Numbers(); len(n) > 0 {
		return json.Marshal(n)
	}
	word, _ := w.Word()
	return json.Marshal(string(word))
}

// UnmarshalJSON reads what MarshalJSON writes.
func (w *Which) UnmarshalJSON(b []byte) error {
	var numbers []int
	if json.Unmarshal(b, &numbers) == nil {
		*w = WhichOf(numbers)
		return nil
	}
	var word string
	if err := json.Unmarshal(b, &word); err != nil {
		return fmt.Errorf("which: %w", err)
	}
	*w = Which(word)
	return nil
}

// Proposal is what a misheard or misspelt phrase may have been: a question,
// never an entry, until somebody says yes to it.
type Proposal struct {
	Say     string // the words proposed
	Entries []Entry
}

// Sample remembers the draw of an inspection sample: once drawn for a lot it
// stands, whatever is logged afterwards. It belongs to no job.
type Sample struct {
	Month  string   `json:"month"` // "2026-11"
	Lot    string   `json:"lot"`   // the lot's id
	Head   string   `json:"head"`  // hex SHA-256 of the chain's head that it was drawn from
	Count  int64    `json:"count"` // records then
	Size   int      `json:"size"`  // visits in the lot
	Visits []string `json:"visits"`
}

// KindSample is the kind of a Sample.
const KindSample Kind = "sample"

// Kind returns KindSample.
func (Sample) Kind() Kind { return KindSample }
