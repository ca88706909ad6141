package quality

import (
	"strconv"
	"strings"

	"downlead/journal/record"
)

// placeKey folds an address so that visits to one site find each other: as the
// journal does, and further a number in words is the number in digits: "twelve
// A Street" is "12 A St". "" for an address without a letter or digit.
func placeKey(address string) string {
	words := strings.Fields(record.SiteKey(address))
	var out []string
	for i := 0; i < len(words); {
		number, n := spokenNumber(words[i:])
		if n == 0 {
			out = append(out, words[i])
			i++
			continue
		}
		out = append(out, number)
		i += n
	}
	return strings.Join(out, " ")
}

// spokenNumber reads the number words that a row of words begins with, as
// people say a house's number, and how many they are: groups of them stand side
// by side ("twelve thirty four" is 1234, "one oh five" 105), hundreds and
// thousands are reckoned ("two hundred and five"). The last may be an ordinal.
func spokenNumber(words []string) (number string, n int) {
	digits, group, sum := "", -1, 0 // what stands before, the group being said, its thousands
	flush := func() {
		if group >= 0 || sum > 0 {
			digits += strconv.Itoa(sum + max(0, group))
		}
		group, sum = -1, 0
	}
	for i, w := range words {
		v, ordinal := ordinalValue(w)
		if !ordinal {
			var ok bool
			if v, ok = cardinalValue(w); !ok && !(w == "and" && group >= 100 && i+1 < len(words) && isNumberWord(words[i+1])) {
				break
			}
		}
		switch {
		case w == "and":
		case v == 100 && group > 0 && group < 100:
			group *= 100
		case v == 1000 && group > 0 && group < 1000:
			sum, group = 1000*group, -1
		case v >= 100:
			return number, n // "hundred" alone is a name
		case v > 0 && (group >= 100 && group%100 == 0 || group >= 20 && group%10 == 0 && v < 10 || sum > 0 && group < 0):
			group = max(0, group) + v
		case v > 0 && v < 10 && group >= 100 && group%100 >= 20 && group%10 == 0:
			group += v
		default:
			flush()
			group = v
		}
		n = i + 1
		if ordinal {
			flush()
			return digits + w[len(w)-2:], n
		}
		number = digits + strconv.Itoa(sum+max(0, group))
	}
	return number, n
}

func isNumberWord(w string) bool {
	_, ordinal := ordinalValue(w)
	_, cardinal := cardinalValue(w)
	return ordinal || cardinal
}

// cardinalValue is what a number word is worth.
func cardinalValue(w string) (int, bool) {
	for i, x := range strings.Fields("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen") {
		if w == x {
			return i, true
		}
	}
	for i, x := range strings.Fields("twenty thirty forty fifty sixty seventy eighty ninety hundred") {
		if w == x {
			return 10 * (i + 2), true
		}
	}
	switch w {
	case "oh":
		return 0, true
	case "thousand":
		return 1000, true
	}
	return 0, false
}

// ordinalValue is what an ordinal in words is worth.
func ordinalValue(w string) (int, bool) {
	for i, x := range strings.Fields("first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth fourteenth fifteenth sixteenth seventeenth eighteenth nineteenth") {
		if w == x {
			return i + 1, true
		}
	}
	for i, x := range strings.Fields("twentieth thirtieth fortieth fiftieth sixtieth seventieth eightieth ninetieth") {
		if w == x {
			return 10 * (i + 2), true
		}
	}
	return 0, false
}
