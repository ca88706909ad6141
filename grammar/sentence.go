package grammar

import "github.com/alecthomas/participle/v2/lexer"

// The grammar, in classes only: what may be said, never the words. The parser
// is run clause by clause (parse.go), so that a phrase may hold any number of
// them; sentence says which may stand together, and that two never run into one
// another. The speech grammar is printed from its parts.
//
// It is written so that the first token decides every choice, with exceptions
// that parse.go tries in turn: reading, checkOf and placed may start with an
// element, both and action with an action, tested and check with an input test.

type sentence struct {
	Alone *alone  `parser:"  @@"`
	Lead  *lead   `parser:"| (@@"`
	First *clause `parser:"| @@)"`
	Then  *clause `parser:"@@?"`
}

// alone are the statements that stand by themselves, because more words after
// them would be words of theirs.
type alone struct {
	Path      *path      `parser:"  @@"`
	Placed    *placed    `parser:"| @@"`
	Both      *both      `parser:"| @@"`
	Backward  *backward  `parser:"| @@"`
	Anywhere  *anywhere  `parser:"| @@"`
	Standing  *standing  `parser:"| @@"`
	Stretch   *stretch   `parser:"| @@"`
	CheckOf   *checkOf   `parser:"| @@"`
	Tested    *tested    `parser:"| @@"`
	Opening   *opening   `parser:"| @@"`
	Texted    *texted    `parser:"| @@"`
	Ask       *ask       `parser:"| @@"`
	Scratched *scratched `parser:"| @@"`
	Corrected *corrected `parser:"| @@"`
	Confirmed *confirmed `parser:"| @@"`
	Single    *single    `parser:"| @@"`
}

type clause struct {
	Reading  *reading  `parser:"  @@"`
	Action   *action   `parser:"| @@"`
	Material *material `parser:"| @@"`
	Check    *check    `parser:"| @@"`
	Setting  *setup    `parser:"| @@"`
	Mark     *mark     `parser:"| @@"`
	Miles    *miles    `parser:"| @@"`
	Coded    *coded    `parser:"| @@"`
}

// point is a place at the start of a statement, or where a measure follows it.
type point struct {
	W1 struct{} `parser:"  Element Index? ( (Side | Output Index?) ( In? (Room | Numbered Index?) )?"`
	W2 struct{} `parser:"                 | In? (Room | Numbered Index?) (Side | Output Index?)? )?"`
	W3 struct{} `parser:"| (Room | Numbered Index?) Element Index? (Side | Output Index?)?"`
	W4 struct{} `parser:"| Behind ( (Room | Numbered Index?) Element Index? | Element Index? ( In? (Room | Numbered Index?) )? )"`

	Tokens []lexer.Token
}

// sided is a place that starts with a side: "dish side of the ground block",
// or a side of the element spoken of before.
type sided struct {
	W1 struct{} `parser:"(Side | Output Index?) (Element Index?)? ( In? (Room | Numbered Index?) )?"`

	Tokens []lexer.Token
}

// roomed is a place that starts with its room: "in the kitchen, wall plate".
type roomed struct {
	W1 struct{} `parser:"In (Room | Numbered Index?) Element Index? (Side | Output Index?)?"`

	Tokens []lexer.Token
}

// spot is a place at the end of a statement: a bare room would belong to what
// follows.
type spot struct {
	W1 struct{} `parser:"  Behind Element Index? ( In (Room | Numbered Index?) )?"`
	W2 struct{} `parser:"| Room Element Index? (Side | Output Index?)?"`
	W3 struct{} `parser:"| Element Index? (Side | Output Index?)? ( In (Room | Numbered Index?) )?"`
	W4 struct{} `parser:"| Side Element Index?"`

	Tokens []lexer.Token
}

// target is one element in a relation.
type target struct {
	W1 struct{} `parser:"(Room | Numbered Index?)? Element Index? (Output Index)?"`

	Tokens []lexer.Token
}

// slotted says for which signal; core and figures say what the meter showed.
type slotted struct {
	W1 struct{} `parser:"For? ( Slot Orbit (For? Transponder Channel)? Polarity? | Transponder Channel (For? Slot Orbit)? Polarity? ) | Polarity"`

	Tokens []lexer.Token
}

type core struct {
	W1 struct{} `parser:"Verdict (Level | NoSignal)? | Level Verdict? | NoSignal Verdict?"`

	Tokens []lexer.Token
}

type figures struct {
	W1 struct{} `parser:"  (Strength Score | Share) (MER Score)? (Volts | Voltage Tension | NoVolts)?"`
	W2 struct{} `parser:"| MER Score (Volts | Voltage Tension | NoVolts)?"`
	W3 struct{} `parser:"| Volts | Voltage Tension | NoVolts"`

	Tokens []lexer.Token
}

// shown is what the meter showed. Other orders come as a second shown, which
// parse.go adds to the reading before it.
type shown struct {
	Core    *core    `parser:"  ( @@"`
	Figures *figures `parser:"    @@?"`
	Only    *figures `parser:"  | @@ )"`
	Slot    *slotted `parser:"  @@?"`
	Slot2   *slotted `parser:"| @@"`
	Core2   *core    `parser:"  ( @@"`
	Figs2   *figures `parser:"    @@?"`
	Only2   *figures `parser:"  | @@ )"`

	Tokens []lexer.Token
}

type reading struct {
	Point *point  `parser:"@@"`
	Shown *shown  `parser:"@@"`
	Next  []*next `parser:"@@*"`
}

// next is a reading at another side of the same element.
type next struct {
	W1    struct{} `parser:"(Side | Output Index?)"`
	Shown *shown   `parser:"@@"`

	Tokens []lexer.Token
}

// lead starts a phrase with a side, or with "at" or "in": later in a phrase
// those words would belong to the statement before.
type lead struct {
	Point *point  `parser:"( At ( @@"`
	Sided *sided  `parser:"     | @@ )"`
	Room  *roomed `parser:"| @@"`
	Side  *sided  `parser:"| @@ )"`
	Shown *shown  `parser:"@@"`
	Next  []*next `parser:"@@*"`
}

// backward says the figures first: "pass, minus forty one at the wall plate".
// Without a place they are of the one that was just named.
type backward struct {
	Core    *core    `parser:"( @@"`
	Figures *figures `parser:"  @@?"`
	Only    *figures `parser:"| @@ )"`
	W1      struct{} `parser:"( (At | On)?"`
	Point   *point   `parser:"  ( @@"`
	Sided   *sided   `parser:"  | @@ ) )?"`

	Tokens []lexer.Token
}

// anywhere is a reading that starts with its slot: at the same point as the
// one before, unless it ends with a place.
type anywhere struct {
	Slot    *slotted `parser:"@@"`
	Core    *core    `parser:"( @@"`
	Figures *figures `parser:"  @@?"`
	Only    *figures `parser:"| @@ )"`
	W1      struct{} `parser:"( (At | On)?"`
	Point   *point   `parser:"  ( @@"`
	Sided   *sided   `parser:"  | @@ ) )?"`

	Tokens []lexer.Token
}

// standing is a place and nothing of it: where the technician is.
type standing struct {
	W1    struct{} `parser:"At?"`
	Point *point   `parser:"( @@"`
	Sided *sided   `parser:"| @@ )"`

	Tokens []lexer.Token
}

type path struct {
	W1    struct{} `parser:"Path"`
	Parts []*part  `parser:"@@+"`

	Tokens []lexer.Token
}

// part is one element of a path, or one length of cable.
type part struct {
	W1 struct{} `parser:"Length CableType? Cable?"`
	W2 struct{} `parser:"| Ways? ( (Room | Numbered Index?) Element Index? (Output Index)?"`
	W3 struct{} `parser:"         | Element Index? (Output Index)? ( In (Room | Numbered Index?) )? )"`
	W4 struct{} `parser:"  (Cable CableType?)?"`

	Tokens []lexer.Token
}

// placed says how elements hang together.
type placed struct {
	Cable   *target  `parser:"  Cable From @@"`
	Cable2  *target  `parser:"  To @@"`
	Run     *run     `parser:"  @@?"`
	Subject *subject `parser:"| @@"`
	Between *target  `parser:"  ( Between @@"`
	And     *target  `parser:"    And @@"`
	After   *target  `parser:"  | After @@"`
	On      *target  `parser:"  | On @@"`
	Extra   []*extra `parser:"    @@* )"`

	Tokens []lexer.Token
}

type subject struct {
	W1 struct{} `parser:"Ways? (Room | Numbered Index?)? Element Index?"`

	Tokens []lexer.Token
}

type run struct {
	W1 struct{} `parser:"Length CableType? Cable?"`

	Tokens []lexer.Token
}

type extra struct {
	W1 struct{} `parser:"In? (Room | Numbered Index?) | Length CableType? Cable?"`

	Tokens []lexer.Token
}

type action struct {
	Verb    lexer.Token `parser:"@Action"`
	Target  *acted      `parser:"@@"`
	Between *target     `parser:"( (Between | From) @@"`
	And     *target     `parser:"  (And | To) @@"`
	At      *spot       `parser:"| (At | On) @@"`
	W1      struct{}    `parser:"| In (Room | Numbered Index?) )?"`

	Tokens []lexer.Token
}

// both is one action done to two things.
type both struct {
	Verb lexer.Token `parser:"@Action"`
	A    *acted      `parser:"@@"`
	B    *acted      `parser:"And @@"`

	Tokens []lexer.Token
}

type acted struct {
	W1 struct{} `parser:"Length CableType? Cable | Count? (Room? Element Index? | Item) | Cable"`

	Tokens []lexer.Token
}

type material struct {
	W1 struct{} `parser:"Used"`
	A  *used    `parser:"@@"`
	B  []*used  `parser:"( And @@"`
	C  []*count `parser:"| @@ )*"`
}

type used struct {
	W1 struct{} `parser:"Length (CableType Cable? | Cable | Element) | Count? (Element | Item | Cable)"`

	Tokens []lexer.Token
}

// count is another part used, told from what stood before by its number.
type count struct {
	W1 struct{} `parser:"Count (Element | Item | Cable)"`

	Tokens []lexer.Token
}

// stretch is a length of cable used, with no verb.
type stretch struct {
	W1 struct{} `parser:"Length (CableType Cable? | Cable) | Distance"`

	Tokens []lexer.Token
}

type check struct {
	W0 struct{} `parser:"  DishCheck (Verdict | Done | NA) Remark?"`
	W1 struct{} `parser:"| (Check | InputTest) ((At | On)? Element Index? | In? (Room | Numbered Index?))?"`
	W2 struct{} `parser:"(Verdict | Done | NA) Remark?"`
	At *spot    `parser:"( (At | On) @@ )?"`

	Tokens []lexer.Token
}

// tested is an input test whose receiver comes last.
type tested struct {
	W1 struct{} `parser:"InputTest (Verdict | Done | NA) Element Index?"`

	Tokens []lexer.Token
}

// checkOf is an input test whose receiver comes first.
type checkOf struct {
	W1 struct{} `parser:"Room? Element Index? InputTest (Verdict | Done | NA) Remark?"`

	Tokens []lexer.Token
}

type setup struct {
	W1 struct{} `parser:"Threshold ( Score (For? Slot Orbit)? | For? Slot Orbit Limit )"`
	W2 struct{} `parser:"| Floor Level | Temperature Warmth | Weather"`

	Tokens []lexer.Token
}

type mark struct {
	W1 struct{} `parser:"Time"`

	Tokens []lexer.Token
}

type miles struct {
	W1 struct{} `parser:"Drove Distance"`

	Tokens []lexer.Token
}

type coded struct {
	W1 struct{} `parser:"Code (CodeDigits | CodeName) UnitCount?"`

	Tokens []lexer.Token
}

type opening struct {
	W1 struct{} `parser:"JobStart Digits"`

	Tokens []lexer.Token
}

type texted struct {
	W1 struct{} `parser:"JobComplaint (Trouble (In (Room | Numbered Index?))? | Text)? | (JobClose | JobReopen | Note | Site) Text? | (Location | Reported) Text"`

	Tokens []lexer.Token
}

type ask struct {
	W1 struct{} `parser:"  Question | Aim (For? Slot Orbit)?"`
	W2 struct{} `parser:"| Margin (For? Slot Orbit)?"`
	At *spot    `parser:"  ( (At | On) @@ )?"`

	Tokens []lexer.Token
}

type scratched struct {
	W1 struct{} `parser:"Scratch (Last Count? | Entry EntryNumber)?"`

	Tokens []lexer.Token
}

type corrected struct {
	W1    struct{} `parser:"( No? Correct (Entry EntryNumber)? | Entry EntryNumber )"`
	Shown *shown   `parser:"( @@"`
	Room  *anyRoom `parser:"| @@"`
	Last  *core    `parser:"  @@?"`
	Point *point   `parser:"| @@"`
	More  *core    `parser:"  @@?"`
	Sided *sided   `parser:"| @@"`
	Then  *core    `parser:"  @@? )"`

	Tokens []lexer.Token
}

// anyRoom is a room by itself, or the place that it starts.
type anyRoom struct {
	W1 struct{} `parser:"In? (Room | Numbered Index?) (Element Index? (Side | Output Index?)?)?"`

	Tokens []lexer.Token
}

type confirmed struct {
	W1 struct{} `parser:"Confirm (Entry EntryNumber)?"`

	Tokens []lexer.Token
}

type single struct {
	W1 struct{} `parser:"Control | Consent"`

	Tokens []lexer.Token
}
