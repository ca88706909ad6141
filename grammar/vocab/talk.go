package vocab

import (
	"embed"
	"fmt"
	"strings"
	"sync"
)

// The words people have for what they see, do and notice, beyond those of the
// speech grammar: package talk reads them, typed or dictated. A row of them
// takes the place of a row of the same words there. The files hold them by
// meaning. A line at the margin is a class and, in it, a meaning; the lines
// below it are the ways to say that. "(look, looks) (good, fine)" is each of the
// first before each of the second, "<name>" stands for a list of that name, and a
// "~" marks a verdict that people also say of nothing. "toast" becomes one more
// word for a fail by being put below "Verdict fail". What is put below a hint, such
// as "Handled", stays what it is elsewhere as well: Tells finds it there.
//
//go:embed shown.txt seen.txt done.txt told.txt asked.txt
var ownFiles embed.FS

// OwnRows returns the rows of people's own words, but for hints. They are read
// once, and never changed.
func OwnRows() []Row { return ownWords().rows }

// Tells reports that words, in lower case, are a row of a hint, and what it means.
func Tells(hint Class, words string) (means string, tells bool) {
	means, tells = ownWords().hints[hintKey{hint, words}]
	return means, tells
}

// mostHintWords is how many words a row of a hint has at most.
const mostHintWords = 4

// TellsFirst is Tells of the words that a text begins with.
func TellsFirst(hint Class, text string) (means string, tells bool) {
	words := strings.Fields(strings.ToLower(text))
	for n := min(mostHintWords, len(words)); n > 0 && !tells; n-- {
		means, tells = Tells(hint, strings.Join(words[:n], " "))
	}
	return means, tells
}

// TellsLast is Tells of the words that a text ends with.
func TellsLast(hint Class, text string) (means string, tells bool) {
	words := strings.Fields(strings.ToLower(text))
	for n := min(mostHintWords, len(words)); n > 0 && !tells; n-- {
		means, tells = Tells(hint, strings.Join(words[len(words)-n:], " "))
	}
	return means, tells
}

// ownTable is what the files hold.
type ownTable struct {
	rows  []Row
	hints map[hintKey]string // what they mean
}

type hintKey struct {
	class Class
	say   string
}

var ownWords = sync.OnceValue(func() ownTable {
	out := ownTable{hints: map[hintKey]string{}}
	for _, name := range []string{"shown", "seen", "done", "told", "asked"} {
		text, err := ownFiles.ReadFile(name + ".txt")
		var rows []Row
		if err == nil {
			rows, err = rowsOf(string(text))
		}
		if err != nil {
			panic("vocab: " + name + ".txt: " + err.Error()) // TestOwnRows reads them
		}
		for _, r := range rows {
			if r.Class < Whenever {
				out.rows = append(out.rows, r)
				continue
			}
			k := hintKey{r.Class, r.Say}
			if means, twice := out.hints[k]; twice && means != r.Means {
				panic(fmt.Sprintf("vocab: %s: %q is both %s and %s as %s", name, r.Say, means, r.Means, r.Class))
			}
			out.hints[k] = r.Means
		}
	}
	return out
})

// rowsOf are the rows of a file of words.
func rowsOf(text string) ([]Row, error) {
	var out []Row
	classes := make(map[string]Class, ClassCount)
	for c, name := range classNames {
		classes[name] = Class(c)
	}
	var lists []string // names and what stands for them
	for block := range strings.SplitSeq(text, "\n\n") {
		head, body, _ := strings.Cut(strings.TrimSpace(block), "\n")
		if strings.HasPrefix(head, "#") {
			continue
		}
		body = strings.Join(strings.Fields(body), " ")
		if head[0] == '<' {
			lists = append(lists, head, "("+body+")")
			continue
		}
		name, means, _ := strings.Cut(head, " ")
		class := classes[name]
		if class == 0 {
			return nil, fmt.Errorf("%q is no class", name)
		}
		first := true
		for _, way := range ways(strings.NewReplacer(lists...).Replace(body)) {
			say, chat := strings.CutSuffix(way, "~")
			out = append(out, Row{Class: class, Say: say, Means: means, First: first, Plural: strings.HasSuffix(say, "s"), Num: Atoi(means), Chat: chat})
			first = false
		}
	}
	return out, nil
}

// ways are the ways to say what a list of them holds.
func ways(list string) []string {
	var out []string
	for list != "" {
		depth, end := 0, len(list)
	item:
		for i := range len(list) {
			switch list[i] {
			case '(':
				depth++
			case ')':
				depth--
			case ',':
				if depth == 0 {
					end = i
					break item
				}
			}
		}
		out = append(out, spread(strings.TrimSpace(list[:end]))...)
		list = list[min(end+1, len(list)):]
	}
	return out
}

// spread is each way through the choices of one: "(a, b) c".
func spread(way string) []string {
	before, rest, more := strings.Cut(way, "(")
	if !more {
		return []string{way}
	}
	choices, after, _ := strings.Cut(rest, ")")
	var out []string
	for _, end := range spread(after) {
		for choice := range strings.SplitSeq(choices, ", ") {
			out = append(out, before+choice+end)
		}
	}
	return out
}
