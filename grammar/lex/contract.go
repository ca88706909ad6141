package lex

import "strings"

// contractions are words that stand for two: as written with an apostrophe,
// which Split drops, and as typed without. "were", "well" and the like
// are words of their own and stand for two only with the apostrophe.
func contraction(w string, apostrophe bool) (first, second string) {
	switch w {
	case "y'all", "yall":
		return "yall", ""
	case "im":
		return "i", "am"
	case "ive", "weve", "theyve":
		return w[:len(w)-2], "have"
	case "its", "thats", "theres", "whats", "wheres", "heres", "hes", "shes":
		return w[:len(w)-1], "is"
	case "isnt", "arent", "wasnt", "werent", "doesnt", "dont", "didnt", "hasnt", "havent", "hadnt", "couldnt", "shouldnt", "wouldnt":
		return w[:len(w)-2], "not"
	case "wont":
		return "will", "not"
	case "cant":
		return "can", "not"
	case "aint":
		return "is", "not"
	}
	if !apostrophe {
		return w, ""
	}
	for _, c := range []struct{ end, means string }{{"re", "are"}, {"ve", "have"}, {"ll", "will"}, {"s", "is"}, {"d", "would"}, {"m", "am"}} {
		if head, ok := strings.CutSuffix(w, c.end); ok && head != "" && w != "o'clock" {
			return head, c.means
		}
	}
	return w, ""
}

// expand puts two words where a contraction stands. A room's "kids'" or "boy's"
// is of the room and not a sentence.
func expand(phrase string, words []Word) []Word {
	short := false
	for i := range words {
		if words[i].Digits {
			continue
		}
		if _, second := contraction(words[i].Text, words[i].apostrophe(phrase)); second != "" {
			short = true
		}
	}
	if !short {
		return words
	}
	out := make([]Word, 0, len(words)+4)
	for i, w := range words {
		first, second := w.Text, ""
		if !w.Digits {
			first, second = contraction(w.Text, w.apostrophe(phrase))
		}
		if second == "is" && i+1 < len(words) && words[i+1].Text == "room" && i > 0 && isCount(first) { // "receiver two's room"
			w.Text = first
			out = append(out, w)
			continue
		}
		if second == "" || i+1 < len(words) && strings.HasSuffix(words[i+1].Text, "room") && second == "is" && first != "it" && first != "that" {
			out = append(out, w)
			continue
		}
		if second == "is" && i+1 < len(words) && words[i+1].Text == "got" { // "cable's got a kink"
			second = "has"
		}
		a, b := w, w
		a.Text, b.Text = first, second
		a.Hi = w.Lo + min(len(first), w.Hi-w.Lo-1)
		b.Lo = a.Hi
		out = append(out, a, b)
	}
	return out
}

// isCount reports a number word that a receiver may have.
func isCount(w string) bool {
	switch w {
	case "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten":
		return true
	}
	return false
}

// apostrophe reports that a word was written with one.
func (w Word) apostrophe(phrase string) bool {
	return strings.ContainsAny(phrase[w.Lo:w.Hi], "'’")
}
