package vocab

import "strings"

// Row is a Row as the lexer uses it.
type Row struct {
	Class  Class
	Say    string
	Means  string
	Num    int // value of a number word
	Spoken bool
	Own    bool
	First  bool // the row that Say uses for its meaning
	Plural bool
	Chat   bool // of a verdict: people also say it of nothing
	Pron   string
}

// group is how the table is written: one meaning, the ways to say it (the
// first is the one the tool itself uses), and the ways to type it. A "~" behind
// a way marks it as Chat.
type group struct {
	class Class
	means string
	say   string // separated by |
	typed string // separated by |
}

// Builtin returns the vocabulary table: the only place where a word is listed.
func Builtin() []Row {
	rows := NumberRows()
	for _, table := range [][]group{pointWords(), measureWords(), workWords(), jobWords(), talkWords()} {
		for _, g := range table {
			rows = append(rows, g.rows()...)
		}
	}
	return rows
}

func (g group) rows() []Row {
	var out []Row
	add := func(list string, spoken bool) {
		if list == "" {
			return
		}
		for say := range strings.SplitSeq(list, "|") {
			say, chat := strings.CutSuffix(say, "~")
			out = append(out, Row{
				Class: g.class, Say: say, Means: g.means, Spoken: spoken, First: len(out) == 0,
				Plural: strings.HasSuffix(say, "s"), Num: Atoi(g.means), Chat: chat,
			})
		}
	}
	add(g.say, true)
	add(g.typed, false)
	return out
}

// joined is every lead before every end, as a list of a group.
func joined(leads, ends string) string {
	var out []string
	for lead := range strings.SplitSeq(leads, "|") {
		for end := range strings.SplitSeq(ends, "|") {
			out = append(out, lead+" "+end)
		}
	}
	return strings.Join(out, "|")
}

// NumberRows lists the words numbers are made of. "forty one" is one row: two
// words that are always one number.
func NumberRows() []Row {
	ones := strings.Fields("one two three four five six seven eight nine")
	teens := strings.Fields("ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen")
	tens := strings.Fields("twenty thirty forty fifty sixty seventy eighty ninety")
	var out []Row
	add := func(c Class, say string, n int, spoken bool) {
		out = append(out, Row{Class: c, Say: say, Num: n, Spoken: spoken, First: spoken && say != "oh"})
	}
	add(Zero, "zero", 0, true)
	add(Zero, "oh", 0, true)
	add(Zero, "o", 0, false)
	add(Zero, "nought", 0, false)
	for i, w := range ones {
		add(Digit, w, i+1, true)
	}
	add(Digit, "niner", 9, false)
	for i, w := range teens {
		add(Teen, w, i+10, true)
	}
	for i, w := range tens {
		add(Tens, w, 10*i+20, true)
		for j, o := range ones {
			add(Tens, w+" "+o, 10*i+20+j+1, true)
		}
	}
	add(Hundred, "hundred", 100, true)
	add(Point, "point", 0, true)
	add(Point, "decimal", 0, false)
	add(Minus, "minus", 0, true)
	add(Minus, "negative", 0, true)
	add(Minus, "neg", 0, false)
	return out
}

// pointWords say where a meter can be put.
func pointWords() []group {
	return []group{
		{Element, "dish", "dish", "reflector"},
		{Element, "lnb", "l n b", "lnb|lnbs|lnbf|l n b f"},
		{Element, "jumper", "jumper|jumpers", ""},
		{Element, "fitting", "fitting|fittings|connector|connectors", "end fitting"},
		{Element, "ground_block", "ground block|ground blocks|grounding block", "groundblock"},
		{Element, "barrel", "barrel|barrels", "barrel connector|barrel connectors"},
		{Element, "wall_plate", "wall plate|wall plates", "wallplate|wallplates"},
		{Element, "splitter", "splitter|splitters", ""},
		{Element, "tap", "tap|taps", ""},
		{Element, "multiswitch", "multi switch|multi switches", "multiswitch|multiswitches"},
		{Element, "diplexer", "diplexer|diplexers", ""},
		{Element, "triplexer", "triplexer|triplexers", ""},
		{Element, "power_inserter", "power inserter|power inserters", ""},
		{Element, "receiver", "receiver|receivers", ""},
		{Cable, "cable", "cable|coax|coax cable", "cables"},
		{CableType, "rg6", "r g six", "rg six|rg 6|r g 6|series six|series 6"},
		{CableType, "rg11", "r g eleven", "rg eleven|rg 11|r g 11|series eleven|series 11"},
		{CableType, "rg59", "r g fifty nine", "rg fifty nine|rg 59|r g 59|series fifty nine|series 59"},
		{Side, "dish", "dish side|input|dish end|input side", "input end"},
		{Side, "receiver", "receiver side|receiver end|output side", "output end"},
		{Output, "", "output|port", "out|outputs"},
		{Behind, "", "behind|back of", "in back of|standing behind|im behind|i am behind"},
		{In, "", "in", "inside"},
		{On, "", "on", ""},
		{At, "", "at", "standing at|im at|i am at"},
		{Between, "", "between", ""},
		{After, "", "after", "right after|just after|directly after|immediately after|just past|right past"},
		{From, "", "from", ""},
		{To, "", "to", ""},
		{And, "", "and", ""},
		{For, "", "for|on", ""},
		{Way, "", "way", "ways"},
		{Room, "kitchen", "kitchen", ""},
		{Room, "living room", "living room", ""},
		{Room, "family room", "family room", ""},
		{Room, "dining room", "dining room", ""},
		{Room, "master bedroom", "master bedroom|main bedroom", ""},
		{Room, "guest room", "guest room|guest bedroom", ""},
		{Room, "laundry room", "laundry room|laundry", ""},
		{Room, "office", "office", ""},
		{Room, "study", "study", ""},
		{Room, "den", "den", ""},
		{Room, "garage", "garage", ""},
		{Room, "basement", "basement", ""},
		{Room, "attic", "attic", ""},
		{Room, "hallway", "hallway", ""},
		{Room, "hall", "hall", ""},
		{Room, "nursery", "nursery", ""},
		{Room, "porch", "porch", ""},
		{Room, "crawl space", "crawl space", "crawlspace"},
		{Room, "upstairs", "upstairs", ""},
		{Room, "downstairs", "downstairs", ""},
		{Numbered, "bedroom", "bedroom", "bed room"},
		{Numbered, "bathroom", "bathroom", "bath room"},
	}
}

// measureWords say what a meter showed, and the limits it is judged by.
func measureWords() []group {
	return []group{
		{Verdict, "pass", "pass|passes|passing|passed|good", "fine~"},
		{Verdict, "fail", "fail|fails|failing|failed|bad|no good", "failure"},
		{NoSignal, "", "no signal", "no signal at all"},
		{NoSignal, "fail", "no lock", ""},
		{Strength, "", "strength|quality|signal strength|signal quality", "str|strgth"},
		{MER, "", "m e r|modulation error ratio", "mer"},
		{Voltage, "", "voltage", ""},
		{NoVolts, "", "no voltage|no volts", ""},
		{Slot, "", "slot|orbital slot", "satellite|satellite slot|orbital"},
		{Transponder, "", "transponder", "transponders|tp|t p|xpdr"},
		{Polarity, "odd", "odd|odd polarity", "odds"},
		{Polarity, "even", "even|even polarity", "evens"},
		{UnitDBm, "", "d b m", "dbm|db m|db|d b|decibels|decibel|decibel milliwatts|dee bee em|dee bee"},
		{UnitFeet, "", "feet|foot", "ft|footer"},
		{UnitVolts, "", "volts|volt", "v|volts d c|vdc|v dc"},
		{UnitPercent, "", "percent", "per cent"},
		{UnitDegrees, "", "degrees|degree", "degrees f|degrees fahrenheit|fahrenheit|deg"},
		{UnitMiles, "", "miles|mile", "mi"},
		{UnitUnits, "", "units|unit", ""},
		{Path, "", "path", "path is"},
		{Threshold, "", "threshold|area threshold", "average threshold|strength threshold"},
		{Floor, "", "floor|level floor", ""},
		{Temperature, "", "outside temperature|temperature", "temp|outside temp"},
		{Weather, "rain", "raining|rain", "rainy"},
		{Weather, "dry", "dry|not raining", "clear|sunny"},
		{Weather, "snow", "snowing|snow", ""},
		{Weather, "ice", "icy", "ice|freezing rain"},
		{Weather, "wind", "windy|high wind", "wind"},
		{Weather, "lightning", "lightning", "thunderstorm"},
	}
}

// workWords say what was done, used and checked.
func workWords() []group {
	return []group{
		{Action, "replaced", "replaced", "changed|swapped out|changed out"},
		{Action, "re_terminated", "re terminated|terminated", "reterminated"},
		{Action, "tightened", "tightened", "re tightened|retightened"},
		{Action, "re_aimed", "re aimed", "reaimed|realigned|re aligned|re pointed|repointed|peaked"},
		{Action, "removed", "removed", "took out|taken out"},
		{Action, "added", "added|installed", "put in"},
		{Action, "rerouted", "rerouted", "re routed"},
		{Used, "", "used", "materials"},
		{Item, "ground_clamp", "ground clamp|ground clamps", ""},
		{Item, "ground_wire", "ground wire", ""},
		{Item, "cable_clip", "cable clip|cable clips", ""},
		{Item, "weather_boot", "weather boot|weather boots", ""},
		{Item, "sealant", "sealant", ""},
		{Item, "mast", "mast", ""},
		{Item, "lag_bolt", "lag bolt|lag bolts", ""},
		{Check, "outlet", "outlet|power outlet|outlet test", ""},
		{DishCheck, "dish", "dish", ""}, // a place as well: the lexer tells which
		{Check, "mount", "mount", "dish mount"},
		{Check, "cabling", "cabling", ""},
		{Check, "components", "components", "component check"},
		{Check, "grounding", "grounding", ""},
		{Check, "education", "education|customer education", ""},
		{InputTest, "input_test", "input test", "inputs test"},
		{Done, "pass", "done|complete", "completed"},
		{NA, "na", "not applicable|does not apply", "n a|na|n slash a"},
		{Remark, "", "open ground|reversed polarity|open neutral|no power|loose foot|loose bolts|loose mount|bent arm|" +
			"bent reflector|rusted mount|out of plumb|corroded clamp|corroded fitting|loose clamp|missing ground wire|" +
			"not grounded|damaged cable|chewed cable|water in the fitting|loose fittings|cracked block", ""},
		{Time, "en_route", "on the road|on my way|driving to the job", "en route"},
		{Time, "arrived", "arrived|on site", "arrived on site|arrived at the site"},
		{Time, "break_start", "lunch|starting lunch|going to lunch|taking a break", "at lunch|on lunch|break|lunch break"},
		{Time, "break_end", "back from lunch|back from break", "back to work|lunch is over|end of lunch"},
		{Time, "no_access", "customer not home|nobody home|no access", "customer is not at home|no one home|no one is home|customer not at home"},
		{Time, "departed", "leaving|leaving the site", "departed|left the site|leaving site"},
		{Time, "shop_time", "shop time", "at the shop"},
		{Time, "back_at_shop", "back at the shop", "back at shop"},
		{Time, "meeting", "meeting", "team meeting|safety meeting"},
		{Time, "training", "training", "training class"},
		{Time, "day_end", "end of day", "day is done|done for the day|end of the day"},
		{Drove, "", "drove", "driven|i drove"},
		{Code, "", "work code", "code|work codes|job code"},
		{CodeName, "trouble call", "trouble call", ""},
		{CodeName, "service call", "service call", ""},
		{CodeName, "repeat call", "repeat call", ""},
		{CodeName, "dish relocation", "dish relocation", ""},
	}
}

// jobWords open, describe and close a job. The rows of text classes lead free
// words; cTrouble rows are the complaints the recogniser can hear.
func jobWords() []group {
	return []group{
		{JobStart, "start", "start job|new job|open job", "start|starting job|begin job|start new job|starting new job|beginning job|opening job|start on job|starting on job|start a job|start a new job"},
		{JobComplaint, "complaint", "complaint", "complaint is|customer complaint|the complaint|main complaint is|customer main complaint is|their complaint is|her complaint is|his complaint is|" +
			joined("ticket|work order|trouble ticket|the ticket|the work order", "says|reads|is for") + "|problem they are having is|call is for|calling about|called about|called in about|i am here about|we are here about|out here about|" +
			joined("they are|we are|folks here are", "complaining of|complaining about|complaining that") + "|" +
			joined("customer|homeowner|owner|client|tenant|lady|she|he|wife|husband|customer is|she is|he is", "says|say|said|says that|says his|says her|reports|reports that|reported that|complains of|complains about|complains that|complains|complained of|complained about|complained that|complaining of|complaining about|complaining that|claims|claims that|tells me|told me|told me that|tells me that")},
		{Trouble, "", "channels missing when it rains|channels missing|no picture|no picture on receiver one|" +
			"no picture on receiver two|picture breaks up|picture freezes|searching for signal|all channels missing|" +
			"some channels missing|signal lost in wind", ""},
		{JobClose, "close", "close job|close out job", "close this job|finish job|close the job|close up the job|close up this job|close out this job|close out the job|close job out|close the job out|close this job out|close this one out|close this one|finish the job|finish this job|finish up this job|wrap up this job|wrap up the job|wrap this job up|close up job|close the ticket|close out the ticket|close the call|close out this call|close out the call|job is finished close it|job done close it|close it out|close this out|close this up|close it up|close her out"},
		{JobReopen, "reopen", "reopen job", "re open job|reopen the job|reopen this job|re open the job|re open this job|reopen that job|open the job back up|open this job back up|open job back up"},
		{Site, "", "", "site|site address|address|customer address|the address|job address|house address|house number|service address"},
		{Location, "", "", "location|coordinates"},
		{Reported, "", "", "reported|reported at|fault reported at|trouble reported at|" +
			joined("customer|they|homeowner|she|he|trouble was|fault was|problem was|it was|call|the call", "reported it at|reported at|called it in at|called at|called in at|called about it at|phoned at|phoned it in at|came in at|reported this at|reported the trouble at|reported the problem at|was reported at")},
		{Consent, "yes", "recording is fine|recording is okay|recording allowed", "recording fine|recording okay|recording ok|okay to record|ok to record"},
		{Consent, "no", "no recording|stop recording|do not record", "recording not allowed|recording refused|" +
			joined("do not|please do not|stop|quit", "record this|record me|record us|record anything|record any of this|recording this|recording me|recording us|recording now")},
		{Note, "", "note", "note that|make a note|memo|remark|take a note|make a note that|take note|take note that|write down|write this down|jot down|jot this down|note down|note this|for the record|let the record show|add a note|add a note that|notes|put in a note|put a note|put in the notes|put in the notes that|make note|make note that|note to self|reminder|make a memo|leave a note|leave a note that|note for the next tech|note for the office"},
	}
}

// talkWords steer the talk itself: corrections, questions, controls, answers,
// and the words that carry no meaning.
func talkWords() []group {
	return []group{
		{Scratch, "", "scratch that|scratch", "delete that|undo that|undo|forget that|strike that|cancel that"},
		{Last, "", "last", ""},
		{Entry, "", "entry", "entry number"},
		{Correct, "", "correct that|make that|that was|change that", "correct|correct that to|correction|change that to|make it|change it to|that is really|i meant|my bad"},
		{Confirm, "", "confirm|that is right", "confirm that"},
		{Question, "next", "what next|where next|what now", "next|what is next|where to next|where do i go next|where should i measure next|next point"},
		{Question, "fault", "where is the fault|what is wrong", "fault|where is the problem|show me the fault"},
		{Question, "read_back", "read back|read that back", "read it back|readback|read me back"},
		{Question, "missing", "what is missing|what is left", "what have i missed"},
		{Margin, "margin", "margin|what is the margin", "margins|how much margin"},
		{Aim, "aim", "where do i aim|look angles", "aim|where to aim|aiming|pointing angles"},
		{Question, "history", "what happened here before|history", "site history|show history"},
		{Question, "explain", "explain it to the customer|explain", "explain to the customer|explain that"},
		{Question, "day", "how was the day", "how was my day|how was today|sum up the day|day summary"},
		{Question, "words", "what can i say", "words|help"},
		{Control, "pause", "pause", "pause listening"},
		{Control, "hold", "hold on", "one moment|just a moment"},
		{Control, "never_mind", "never mind", ""},
		{Control, "resume", "resume|go on", "continue|carry on"},
		{Control, "repeat", "repeat|say again|say that again", "repeat that|pardon|come again"},
		{Control, "louder", "louder", "speak up|volume up"},
		{Control, "softer", "softer|quieter", "volume down"},
		{Control, "slower", "slower", "slow down"},
		{Control, "faster", "faster", "speed up"},
		{Control, "stop", "stop listening", "stop"},
		{Yes, "", "yes|yeah|right", "yep|yup|sure|that is it"},
		{No, "", "no|nope|wrong", "nah"},
		{Ordinal, "1", "first|first one", "1 st"},
		{Ordinal, "2", "second|second one", "2 nd"},
		{Ordinal, "3", "third|third one", "3 rd"},
		{Ordinal, "4", "fourth|fourth one", "4 th"},
		{Not, "", "", "not|never|cannot|nor|neither|without|" +
			"almost|nearly|hardly|barely|maybe|perhaps|possibly|probably|unless|except|if|should|might|could"},
		{Filler, "", "the|of|a|is", "uh|um|er|ah|hmm|an|are|am|reads|reading|reading is|shows|showing|it says|got|getting|gets|i got|we got|we have|" +
			"i have|i am|has|have|i|we|it|it is|okay|ok|so|well|then|now|please|number|level|signal level|power level|" +
			"signal|worst|worst is|worst was|lowest|came in|comes in|measured|measures|measuring|west|weather|weather is|that is|there is|my|alright|all right|right now|just"},
	}
}

func Atoi(s string) int {
	n := 0
	for _, r := range s {
		if r < '0' || r > '9' {
			return 0
		}
		n = 10*n + int(r-'0')
	}
	return n
}
