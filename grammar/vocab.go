package grammar

import "strings"

// row is a Row as the lexer uses it.
type row struct {
	class  class
	say    string
	means  string
	num    int // value of a number word
	spoken bool
	own    bool
	first  bool // the row that Say uses for its meaning
	plural bool
	pron   string
}

// group is how the table is written: one meaning, the ways to say it (the
// first is the one the tool itself uses), and the ways to type it.
type group struct {
	class class
	means string
	say   string // separated by |
	typed string // separated by |
}

// builtin returns the vocabulary table: the only place where a word is listed.
func builtin() []row {
	rows := numberRows()
	for _, table := range [][]group{pointWords(), measureWords(), workWords(), jobWords(), talkWords()} {
		for _, g := range table {
			rows = append(rows, g.rows()...)
		}
	}
	return rows
}

func (g group) rows() []row {
	var out []row
	add := func(list string, spoken bool) {
		if list == "" {
			return
		}
		for say := range strings.SplitSeq(list, "|") {
			out = append(out, row{
				class: g.class, say: say, means: g.means, spoken: spoken, first: len(out) == 0,
				plural: strings.HasSuffix(say, "s"), num: atoi(g.means),
			})
		}
	}
	add(g.say, true)
	add(g.typed, false)
	return out
}

// numberRows lists the words numbers are made of. "forty one" is one row: two
// words that are always one number.
func numberRows() []row {
	ones := strings.Fields("one two three four five six seven eight nine")
	teens := strings.Fields("ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen")
	tens := strings.Fields("twenty thirty forty fifty sixty seventy eighty ninety")
	var out []row
	add := func(c class, say string, n int, spoken bool) {
		out = append(out, row{class: c, say: say, num: n, spoken: spoken, first: spoken && say != "oh"})
	}
	add(cZero, "zero", 0, true)
	add(cZero, "oh", 0, true)
	add(cZero, "o", 0, false)
	add(cZero, "nought", 0, false)
	for i, w := range ones {
		add(cDigit, w, i+1, true)
	}
	add(cDigit, "niner", 9, false)
	for i, w := range teens {
		add(cTeen, w, i+10, true)
	}
	for i, w := range tens {
		add(cTens, w, 10*i+20, true)
		for j, o := range ones {
			add(cTens, w+" "+o, 10*i+20+j+1, true)
		}
	}
	add(cTens, "fourty", 40, false)
	add(cHundred, "hundred", 100, true)
	add(cPoint, "point", 0, true)
	add(cPoint, "decimal", 0, false)
	add(cMinus, "minus", 0, true)
	add(cMinus, "negative", 0, true)
	return out
}

// pointWords say where a meter can be put.
func pointWords() []group {
	return []group{
		{cElement, "dish", "dish", "reflector"},
		{cElement, "lnb", "l n b", "lnb|lnbs|lnbf|l n b f"},
		{cElement, "jumper", "jumper|jumpers", ""},
		{cElement, "fitting", "fitting|fittings|connector|connectors", "end fitting"},
		{cElement, "ground_block", "ground block|ground blocks|grounding block", "groundblock"},
		{cElement, "barrel", "barrel|barrels", "barrel connector|barrel connectors"},
		{cElement, "wall_plate", "wall plate|wall plates", "wallplate|wallplates"},
		{cElement, "splitter", "splitter|splitters", ""},
		{cElement, "tap", "tap|taps", ""},
		{cElement, "multiswitch", "multi switch|multi switches", "multiswitch|multiswitches"},
		{cElement, "diplexer", "diplexer|diplexers", ""},
		{cElement, "triplexer", "triplexer|triplexers", ""},
		{cElement, "power_inserter", "power inserter|power inserters", ""},
		{cElement, "receiver", "receiver|receivers", ""},
		{cCable, "cable", "cable|coax|coax cable", "cables"},
		{cCableType, "rg6", "r g six", "rg six|rg 6|r g 6|series six|series 6"},
		{cCableType, "rg11", "r g eleven", "rg eleven|rg 11|r g 11|series eleven|series 11"},
		{cCableType, "rg59", "r g fifty nine", "rg fifty nine|rg 59|r g 59|series fifty nine|series 59"},
		{cSide, "dish", "dish side|input|dish end|input side", "input end"},
		{cSide, "receiver", "receiver side|receiver end|output side", "output end"},
		{cOutput, "", "output|port", "out|outputs"},
		{cBehind, "", "behind|back of", "in back of"},
		{cIn, "", "in", "inside"},
		{cOn, "", "on", ""},
		{cAt, "", "at", ""},
		{cBetween, "", "between", ""},
		{cAfter, "", "after", ""},
		{cFrom, "", "from", ""},
		{cTo, "", "to", ""},
		{cAnd, "", "and", ""},
		{cFor, "", "for|on", ""},
		{cWay, "", "way", "ways"},
		{cRoom, "kitchen", "kitchen", ""},
		{cRoom, "living room", "living room", "lounge|front room"},
		{cRoom, "family room", "family room", ""},
		{cRoom, "dining room", "dining room", ""},
		{cRoom, "master bedroom", "master bedroom|main bedroom", ""},
		{cRoom, "guest room", "guest room|guest bedroom", ""},
		{cRoom, "laundry room", "laundry room|laundry", ""},
		{cRoom, "office", "office|study", ""},
		{cRoom, "den", "den", ""},
		{cRoom, "garage", "garage", ""},
		{cRoom, "basement", "basement", "cellar"},
		{cRoom, "attic", "attic", ""},
		{cRoom, "hallway", "hallway|hall", ""},
		{cRoom, "nursery", "nursery", ""},
		{cRoom, "porch", "porch", ""},
		{cRoom, "crawl space", "crawl space", "crawlspace"},
		{cRoom, "upstairs", "upstairs", ""},
		{cRoom, "downstairs", "downstairs", ""},
		{cNumbered, "bedroom", "bedroom", "bed room"},
		{cNumbered, "bathroom", "bathroom", "bath room"},
	}
}

// measureWords say what a meter showed, and the limits it is judged by.
func measureWords() []group {
	return []group{
		{cVerdict, "pass", "pass|passes|passing|passed|good", "fine"},
		{cVerdict, "fail", "fail|fails|failing|failed|bad|no good", "failure"},
		{cNoSignal, "", "no signal|no lock", "no signal at all"},
		{cStrength, "", "strength|quality|signal strength|signal quality", ""},
		{cMER, "", "m e r|modulation error ratio", "mer"},
		{cVoltage, "", "voltage", ""},
		{cNoVolts, "", "no voltage|no volts", ""},
		{cSlot, "", "slot|orbital slot", "satellite|satellite slot|orbital"},
		{cTransponder, "", "transponder", "transponders|tp|t p|xpdr"},
		{cPolarity, "odd", "odd|odd polarity", "odds"},
		{cPolarity, "even", "even|even polarity", "evens"},
		{cUnitDBm, "", "d b m", "dbm|db m|db|d b|decibels|decibel|decibel milliwatts|dee bee em|dee bee"},
		{cUnitFeet, "", "feet|foot", "ft|footer"},
		{cUnitVolts, "", "volts|volt", "v|volts d c|vdc|v dc"},
		{cUnitPercent, "", "percent", "per cent"},
		{cUnitDegrees, "", "degrees|degree", "degrees f|degrees fahrenheit|fahrenheit|deg"},
		{cUnitMiles, "", "miles|mile", "mi"},
		{cUnitUnits, "", "units|unit", ""},
		{cPath, "", "path", "path is"},
		{cThreshold, "", "threshold|area threshold", "average threshold|strength threshold"},
		{cFloor, "", "floor|level floor", ""},
		{cTemperature, "", "outside temperature|temperature", "temp|outside temp"},
		{cWeather, "rain", "raining|rain", "its raining|rainy"},
		{cWeather, "dry", "dry|not raining", "clear|sunny"},
		{cWeather, "snow", "snowing|snow", "its snowing"},
		{cWeather, "ice", "icy", "ice|freezing rain"},
		{cWeather, "wind", "windy|high wind", "wind"},
		{cWeather, "lightning", "lightning", "thunderstorm"},
	}
}

// workWords say what was done, used and checked.
func workWords() []group {
	return []group{
		{cAction, "replaced", "replaced", "replace|changed|swapped|swapped out|changed out"},
		{cAction, "re_terminated", "re terminated|terminated", "reterminated|re terminate|reterminate"},
		{cAction, "tightened", "tightened", "tighten|re tightened|retightened"},
		{cAction, "re_aimed", "re aimed", "reaimed|re aim|realigned|re aligned|re pointed|repointed"},
		{cAction, "removed", "removed", "remove|took out|taken out"},
		{cAction, "added", "added|installed", "add|put in"},
		{cAction, "rerouted", "rerouted", "re routed|reroute"},
		{cUsed, "", "used", "use|materials"},
		{cItem, "ground_clamp", "ground clamp|ground clamps", ""},
		{cItem, "ground_wire", "ground wire", ""},
		{cItem, "cable_clip", "cable clip|cable clips", ""},
		{cItem, "weather_boot", "weather boot|weather boots", ""},
		{cItem, "sealant", "sealant", ""},
		{cItem, "mast", "mast", ""},
		{cItem, "lag_bolt", "lag bolt|lag bolts", ""},
		{cCheck, "outlet", "outlet|power outlet|outlet test", ""},
		{cDishCheck, "dish", "dish", ""}, // a place as well: the lexer tells which
		{cCheck, "mount", "mount", "dish mount"},
		{cCheck, "cabling", "cabling", ""},
		{cCheck, "components", "components", "component check"},
		{cCheck, "grounding", "grounding", ""},
		{cCheck, "education", "education|customer education", ""},
		{cInputTest, "input_test", "input test", "inputs test"},
		{cDone, "pass", "done|complete", "completed"},
		{cNA, "na", "not applicable|does not apply", "n a|na|n slash a"},
		{cRemark, "", "open ground|reversed polarity|open neutral|no power|loose foot|loose bolts|loose mount|bent arm|" +
			"bent reflector|rusted mount|out of plumb|corroded clamp|corroded fitting|loose clamp|missing ground wire|" +
			"not grounded|damaged cable|chewed cable|water in the fitting|loose fittings|cracked block", ""},
		{cTime, "en_route", "on the road|on my way|driving to the job", "en route"},
		{cTime, "arrived", "arrived|on site", "arrived on site|arrived at the site"},
		{cTime, "break_start", "lunch|starting lunch|going to lunch|taking a break", "at lunch|on lunch|break|lunch break"},
		{cTime, "break_end", "back from lunch|back from break", "back to work|lunch is over|end of lunch"},
		{cTime, "no_access", "customer not home|nobody home|no access", "customer is not at home|no one home|no one is home|customer not at home"},
		{cTime, "departed", "leaving|leaving the site|heading out", "departed|left the site|leaving site"},
		{cTime, "shop_time", "shop time", "at the shop"},
		{cTime, "back_at_shop", "back at the shop", "back at shop"},
		{cTime, "meeting", "meeting", "team meeting|safety meeting"},
		{cTime, "training", "training", "training class"},
		{cTime, "day_end", "end of day", "day is done|done for the day|end of the day"},
		{cDrove, "", "drove", "driven|i drove"},
		{cCode, "", "work code", "code|work codes|job code"},
		{cCodeName, "trouble call", "trouble call", ""},
		{cCodeName, "service call", "service call", ""},
		{cCodeName, "repeat call", "repeat call", ""},
		{cCodeName, "dish relocation", "dish relocation", ""},
	}
}

// jobWords open, describe and close a job. The rows of text classes lead free
// words; cTrouble rows are the complaints the recogniser can hear.
func jobWords() []group {
	return []group{
		{cJobStart, "start", "start job|new job|open job", "start"},
		{cJobComplaint, "complaint", "complaint", "complaint is|customer complains of|customer complaint|customer says"},
		{cTrouble, "", "channels missing when it rains|channels missing|no picture|no picture on receiver one|" +
			"no picture on receiver two|picture breaks up|picture freezes|searching for signal|all channels missing|" +
			"some channels missing|signal lost in wind", ""},
		{cJobClose, "close", "close job|close out job", "close this job|finish job"},
		{cJobReopen, "reopen", "reopen job", "re open job"},
		{cSite, "", "", "site|site address|address"},
		{cLocation, "", "", "location|coordinates"},
		{cReported, "", "", "reported|reported at|fault reported at|trouble reported at"},
		{cConsent, "yes", "recording is fine|recording is okay|recording allowed", "recording fine|recording okay|recording ok|okay to record|ok to record"},
		{cConsent, "no", "no recording|stop recording|do not record", "recording not allowed|dont record|recording refused"},
		{cNote, "", "note", "note that|make a note|memo|remark"},
	}
}

// talkWords steer the talk itself: corrections, questions, controls, answers,
// and the words that carry no meaning.
func talkWords() []group {
	return []group{
		{cScratch, "", "scratch that|scratch", "delete that|undo that|undo|forget that|strike that|cancel that"},
		{cLast, "", "last", ""},
		{cEntry, "", "entry", "entry number"},
		{cCorrect, "", "correct that|make that|that was|change that", "correct|correct that to|correction|change that to|make it|change it to|that is really|should be|that should be|i meant"},
		{cConfirm, "", "confirm|that is right", "confirm that|thats right"},
		{cQuestion, "next", "what next|where next|what now", "next|whats next|what is next|where to next|where do i go next|where should i measure next|next point"},
		{cQuestion, "fault", "where is the fault|what is wrong", "wheres the fault|whats wrong|fault|where is the problem|wheres the problem|show me the fault"},
		{cQuestion, "read_back", "read back|read that back", "read it back|readback|read me back"},
		{cQuestion, "missing", "what is missing|what is left", "whats missing|whats left|missing|what have i missed"},
		{cMargin, "margin", "margin|what is the margin", "whats the margin|margins|how much margin"},
		{cAim, "aim", "where do i aim|look angles", "aim|where to aim|aiming|pointing angles"},
		{cQuestion, "history", "what happened here before|history", "site history|show history"},
		{cQuestion, "explain", "explain it to the customer|explain", "explain to the customer|explain that"},
		{cQuestion, "words", "what can i say", "words|help"},
		{cControl, "pause", "pause", "pause listening|hold on"},
		{cControl, "resume", "resume|go on", "continue|carry on"},
		{cControl, "repeat", "repeat|say again|say that again", "repeat that|pardon|come again"},
		{cControl, "louder", "louder", "speak up|volume up"},
		{cControl, "softer", "softer|quieter", "volume down"},
		{cControl, "slower", "slower", "slow down"},
		{cControl, "faster", "faster", "speed up"},
		{cControl, "stop", "stop listening", "stop"},
		{cYes, "", "yes|yeah|right", "yep|yup|sure|thats it"},
		{cNo, "", "no|nope|wrong", "nah"},
		{cOrdinal, "1", "first|first one", "1 st"},
		{cOrdinal, "2", "second|second one", "2 nd"},
		{cOrdinal, "3", "third|third one", "3 rd"},
		{cOrdinal, "4", "fourth|fourth one", "4 th"},
		{cNot, "", "", "not|never|isnt|wasnt|arent|doesnt|didnt|dont|wont|cant|cannot|couldnt|wouldnt|shouldnt|hasnt|havent|aint|nor|neither|without|" +
			"almost|nearly|hardly|barely|maybe|perhaps|possibly|probably|unless|except|if|should|might|could"},
		{cFiller, "", "the|of|a|is|was", "uh|um|er|ah|hmm|an|are|were|reads|reading|reading is|shows|showing|says|got|getting|gets|i got|we got|we have|" +
			"i have|ive|weve|i am|im|has|have|i|we|it|its|it is|okay|ok|so|well|then|now|please|number|level|signal level|power level|" +
			"signal|worst|worst is|worst was|lowest|came in|comes in|measured|measures|measuring|about|west|weather|weather is|thats|that is|there|theres|there is|with|my|hey|new|new one|old|another|alright|all right|right now"},
	}
}

func atoi(s string) int {
	n := 0
	for _, r := range s {
		if r < '0' || r > '9' {
			return 0
		}
		n = 10*n + int(r-'0')
	}
	return n
}
