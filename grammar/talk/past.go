package talk

import (
	"slices"
	"strings"

	"downlead/grammar/lex"
	"downlead/grammar/vocab"
)

// toPast puts the past in the place of a verb that a phrase says was done in
// other words: "had to replace", "ended up replacing", "had to be replaced".
func toPast(l *lex.Lexicon, words []lex.Word) []lex.Word {
	words = together(l, gave(words))
	for i := range words {
		for _, lead := range []struct {
			says string
			form func(string) []string
		}{
			{"had to be", func(w string) []string { return []string{w} }},
			{"ended up having to", pastOf},
			{"wound up having to", pastOf},
			{"had to", pastOf},
			{"ended up", pastOfDoing},
			{"wound up", pastOfDoing},
			{"got done", pastOfDoing},
			{"finished up", pastOfDoing},
			{"finished", pastOfDoing},
			{"done", pastOfDoing},
		} {
			n := len(strings.Fields(lead.says))
			if i+n >= len(words) || words[i+n].Broken() || !lex.SaysAt(words[i:], lead.says) { // "all done, pulling out"
				continue
			}
			if out := pastAt(l, words, i, i+n, lead.form); out != nil {
				return out
			}
		}
	}
	return words
}

// mostBetween is how many words may stand between a verb and its particle.
const mostBetween = 6

// together puts the rest of a verb in two parts behind its first, where that
// alone is no word of the table: "dialed the dish back in".
func together(l *lex.Lexicon, words []lex.Word) []lex.Word {
	for i := range words {
		stem := l.Trie.Get(words[i].Text)
		if stem == nil || stem.Row != nil {
			continue
		}
		if row, _ := l.Trie.Longest(words, i); row != nil {
			continue
		}
		for j := i + 2; j < min(i+mostBetween+1, len(words)) && !words[j].Broken() && words[j].Text != "and"; j++ {
			node, end := stem, j
			row := node.Row
			for end < len(words) && node.Get(words[end].Text) != nil && (end == j || !words[end].Broken()) {
				node = node.Get(words[end].Text)
				end++
				row = node.Row
			}
			if row == nil || row.Class != vocab.Action || end < len(words) && !words[end].Broken() && row.Means == "plugged_in" && words[end].Text != "and" && words[end].Text != "now" {
				continue
			}
			out := slices.Concat(words[:i+1], words[j:end], words[i+1:j], words[end:])
			for k := i + 1; k < i+1+end-j; k++ { // where the verb stands, so that no word lies before another
				out[k].Lo, out[k].Hi = words[i].Hi, words[i].Hi
			}
			return out
		}
	}
	return words
}

// pastAt is words without those from i to j, and with the verb at j, or with a
// word before it ("re peak"), in the past; nil where there is none.
func pastAt(l *lex.Lexicon, words []lex.Word, i, j int, form func(string) []string) []lex.Word {
	for k := j; k < min(j+2, len(words)); k++ {
		for _, past := range form(words[k].Text) {
			out := slices.Concat(words[:i], words[j:])
			out[i+k-j].Text = past
			row, end := l.Trie.Longest(out, i)
			if row == nil || end <= i+k-j {
				continue
			}
			switch row.Class {
			case vocab.Action, vocab.Put, vocab.Took, vocab.Ran:
				return out
			}
		}
	}
	return nil
}

// PastOf is the past of a verb of the table, and what it means; "" of any other
// word, and of one that the table has as it is.
func PastOf(l *lex.Lexicon, w string) (past, means string) {
	if n := l.Trie.Get(w); n != nil && n.Row != nil {
		return "", ""
	}
	for _, past := range pastOf(w) {
		if n := l.Trie.Get(past); n != nil && n.Row != nil && n.Row.Class == vocab.Action {
			return past, n.Row.Means
		}
	}
	return "", ""
}

// pastOf is what the past of a verb may be.
func pastOf(w string) []string {
	var out []string
	switch w {
	case "put", "cut", "reset":
		out = append(out, w)
	case "take":
		out = append(out, "took")
	case "run":
		out = append(out, "ran")
	case "rerun":
		out = append(out, "reran")
	case "redo":
		out = append(out, "redid")
	case "do":
		out = append(out, "did")
	case "go":
		out = append(out, "went")
	case "throw":
		out = append(out, "threw")
	case "stick":
		out = append(out, "stuck")
	case "swing":
		out = append(out, "swung")
	case "hang":
		out = append(out, "hung")
	case "string":
		out = append(out, "strung")
	case "lay":
		out = append(out, "laid")
	case "slide":
		out = append(out, "slid")
	case "blow":
		out = append(out, "blew")
	case "remake":
		out = append(out, "remade")
	}
	if len(w) < 3 {
		return out
	}
	if stem, ok := strings.CutSuffix(w, "e"); ok {
		return append(out, stem+"ed")
	}
	if stem, ok := strings.CutSuffix(w, "y"); ok {
		out = append(out, stem+"ied")
	}
	return append(out, w+"ed", w+w[len(w)-1:]+"ed")
}

// pastOfDoing is what the past of a verb that ends in "ing" may be.
func pastOfDoing(w string) []string {
	stem, ok := strings.CutSuffix(w, "ing")
	if !ok || len(stem) < 2 {
		return nil
	}
	out := append(pastOf(stem), pastOf(stem+"e")...)
	if n := len(stem); stem[n-1] == stem[n-2] {
		out = append(out, pastOf(stem[:n-1])...)
	}
	return out
}

// gave puts the verb in place of "gave the kitchen box a reboot".
func gave(words []lex.Word) []lex.Word {
	for i := range words {
		if words[i].Text != "gave" || i+3 >= len(words) {
			continue
		}
		for j := i + 2; j+1 < len(words); j++ {
			if words[j].Text != "a" && words[j].Text != "another" {
				continue
			}
			k := j + 1
			for k+1 < len(words) && isHow(words[k].Text) {
				k++
			}
			if verb := deedOf(words[k].Text); verb != "" {
				out := slices.Concat(words[:i+1], words[i+1:j], words[k+1:])
				out[i].Text = verb
				return out
			}
		}
	}
	return words
}

// isHow reports a word that says how something was given.
func isHow(w string) bool {
	switch w {
	case "good", "quick", "hard", "full", "soft", "power", "little", "proper", "quarter", "half", "extra", "final", "complete", "thorough", "slight", "small", "nice":
		return true
	}
	return false
}

// deedOf is the verb of what was given, "" where that is no deed.
func deedOf(w string) string {
	switch w {
	case "reboot":
		return "rebooted"
	case "reset", "restart", "cycle", "recycle", "bounce", "refresh":
		return "reset"
	case "cleaning", "clean", "wipe":
		return "cleaned"
	case "tightening", "turn", "snugging", "torque", "snug", "crank", "twist", "cranking", "tighten":
		return "tightened"
	case "scrub", "scrubbing", "dusting", "wiping", "rinse", "brushing", "polish", "drying":
		return "cleaned"
	case "tweak", "adjustment", "nudge", "realignment", "alignment", "touchup":
		return "adjusted"
	case "peaking", "peak", "repeak":
		return "peaked"
	}
	return ""
}
