package grammar

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"downlead/grammar/lex"
	"downlead/grammar/speech"
	"downlead/grammar/vocab"
)

// Words is a technician's own vocabulary file, read and checked.
type Words struct{ rows []vocab.Row }

// wordFile is the vocabulary file's form.
type wordFile struct {
	Word  []ownWord `toml:"word"`  // another word for something in the table
	Room  []ownWord `toml:"room"`  // a room
	Check []ownWord `toml:"check"` // a check of the technician's own
	Code  []ownWord `toml:"code"`  // a work code by name
}

type ownWord struct {
	Say    string `toml:"say"`
	Means  string `toml:"means"`  // of a word: the words of the table it stands for
	Sounds string `toml:"sounds"` // phones, as in "S EH P"; a comma between words
}

// Limits of a vocabulary file.
const (
	maxWordFile  = 64 << 10 // bytes
	maxOwnWords  = 500
	maxRefusals  = 20  // that are named; a screen
	maxOwnSounds = 120 // of one word or several: longer than any phrase said in a breath
	maxOwnParts  = 4   // words in one row
)

// LoadWords reads a vocabulary file in TOML:
//
//	[[word]]
//	say = "sep"
//	means = "splitter"
//	sounds = "S EH P"   # may be left out
//
//	[[room]]
//	say = "sun room"
//
// and likewise [[check]] and [[code]]. A word that would make a phrase
// ambiguous, or that cannot be told from another, is refused with the reason;
// all refusals of a file come at once.
func LoadWords(r io.Reader) (*Words, error) {
	b, err := io.ReadAll(io.LimitReader(r, maxWordFile+1))
	if err != nil {
		return nil, fmt.Errorf("own words: %w", err)
	}
	if len(b) > maxWordFile {
		return nil, fmt.Errorf("own words: the file is longer than %d bytes", maxWordFile)
	}
	var f wordFile
	meta, err := toml.Decode(string(b), &f)
	if err != nil {
		return nil, fmt.Errorf("own words: %w", err)
	}
	if extra := meta.Undecoded(); len(extra) > 0 {
		return nil, fmt.Errorf("own words: %q is not known; a file has [[word]], [[room]], [[check]] and [[code]], each with say, means, sounds", shorten(extra[0].String()))
	}
	if n := len(f.Word) + len(f.Room) + len(f.Check) + len(f.Code); n > maxOwnWords {
		return nil, fmt.Errorf("own words: %d words, more than %d", n, maxOwnWords)
	}
	c, err := newWordChecker()
	if err != nil {
		return nil, err
	}
	for _, w := range f.Word {
		c.synonym(w)
	}
	for _, list := range []struct {
		class vocab.Class
		words []ownWord
	}{{vocab.Room, f.Room}, {vocab.Check, f.Check}, {vocab.CodeName, f.Code}} {
		for _, w := range list.words {
			c.name(list.class, w)
		}
	}
	if n := len(c.errs); n > maxRefusals {
		c.errs = append(c.errs[:maxRefusals], fmt.Errorf("and %d own words more are refused", n-maxRefusals))
	}
	if err := errors.Join(c.errs...); err != nil {
		return nil, err
	}
	return &Words{rows: c.own}, nil
}

// wordChecker takes own words one by one, each against the table and those
// before it.
type wordChecker struct {
	lexicon *lex.Lexicon
	speller *speech.Speller
	sounds  map[string]*vocab.Row
	own     []vocab.Row
	errs    []error
}

func newWordChecker() (*wordChecker, error) {
	l, err := lex.New(vocab.Builtin())
	if err != nil {
		return nil, err
	}
	c := &wordChecker{lexicon: l, speller: speech.NewSpeller(), sounds: map[string]*vocab.Row{}}
	for i := range l.Rows {
		if r := &l.Rows[i]; r.Spoken {
			c.sounds[c.speller.PhrasePhones(r.Say)] = r
		}
	}
	return c, nil
}

func (c *wordChecker) synonym(w ownWord) {
	of := fields(w.Means)
	r, end := c.lexicon.Trie.Longest(of, 0)
	switch {
	case len(of) == 0:
		c.refuse(w, "it does not say what it means; add means = \"…\"")
	case r == nil || end != len(of):
		c.refuse(w, fmt.Sprintf("%q, which it is to mean, is no word of the table", shorten(w.Means)))
	case lex.StartsNumber(r.Class) || r.Class == vocab.Point || r.Class == vocab.Filler:
		c.refuse(w, "numbers and little words have no other words")
	default:
		c.take(w, vocab.Row{Class: r.Class, Means: r.Means, Num: r.Num})
	}
}

func (c *wordChecker) name(class vocab.Class, w ownWord) {
	if w.Means != "" {
		c.refuse(w, "only a [[word]] has means")
		return
	}
	c.take(w, vocab.Row{Class: class, Means: strings.Join(strings.Fields(strings.ToLower(w.Say)), " ")})
}

func (c *wordChecker) refuse(w ownWord, why string) {
	c.errs = append(c.errs, fmt.Errorf("own word %q is refused: %s", shorten(w.Say), why))
}

// take checks a row and adds it.
func (c *wordChecker) take(w ownWord, r vocab.Row) {
	parts := strings.Fields(strings.ToLower(w.Say))
	r.Say, r.Spoken, r.Own = strings.Join(parts, " "), true, true
	if why := c.form(parts); why != "" {
		c.refuse(w, why)
		return
	}
	if why := c.clash(parts, &r); why != "" {
		c.refuse(w, why)
		return
	}
	pron, why := checkSounds(w.Sounds, len(parts))
	if why != "" {
		c.refuse(w, why)
		return
	}
	r.Pron = pron
	c.own = append(c.own, r)
	added := r
	c.lexicon.Trie.Add(&added)
	c.sounds[c.speller.PhrasePhones(r.Say)] = &added
}

// form checks the words by themselves.
func (c *wordChecker) form(parts []string) string {
	if len(parts) == 0 {
		return "it is empty"
	}
	if len(parts) > maxOwnParts {
		return fmt.Sprintf("it has more than %d words", maxOwnParts)
	}
	for _, p := range parts {
		if len(p) > 30 {
			return "it is too long"
		}
		if strings.Trim(p, "abcdefghijklmnopqrstuvwxyz") != "" {
			return "only letters a to z can be said; spell numbers out of it"
		}
		if n := c.lexicon.Trie.Get(p); n != nil && n.Row != nil && (lex.StartsNumber(n.Row.Class) || n.Row.Class == vocab.Point) {
			return fmt.Sprintf("%q in it is a number word, and numbers follow words freely", p)
		}
	}
	if r, end := c.lexicon.Trie.Longest(fields(strings.Join(parts, " ")), 0); r != nil && r.Class == vocab.Filler && end < len(parts) {
		return fmt.Sprintf("it starts with %q, which is not listened to", r.Say)
	}
	return ""
}

// clash finds what would make a phrase ambiguous.
func (c *wordChecker) clash(parts []string, r *vocab.Row) string {
	all := strings.Join(parts, " ")
	if have, end := c.lexicon.Trie.Longest(fields(all), 0); have != nil && end == len(parts) && strings.Count(have.Say, " ") == len(parts)-1 {
		if have.Class == r.Class && have.Means == r.Means {
			return "it is known already"
		}
		return fmt.Sprintf("it already means %s", meaning(have))
	}
	if have := c.sounds[c.speller.PhrasePhones(all)]; have != nil && (have.Class != r.Class || have.Means != r.Means) {
		return fmt.Sprintf("it sounds the same as %q", have.Say)
	}
	if len(parts) > 1 && c.known(parts) {
		return "its words one after another mean something already"
	}
	for _, have := range c.rows() {
		old := strings.Fields(have.Say)
		if len(old) > len(parts) && slices.Equal(old[:len(parts)], parts) && c.known(old[len(parts):]) {
			return fmt.Sprintf("%q could then be read in two ways", have.Say)
		}
		for k := 1; k < min(len(old), len(parts)); k++ {
			if slices.Equal(parts[len(parts)-k:], old[:k]) && c.known(parts[:len(parts)-k]) ||
				slices.Equal(old[len(old)-k:], parts[:k]) && c.known(parts[k:]) {
				return fmt.Sprintf("together with %q it could be read in two ways", have.Say)
			}
		}
	}
	return ""
}

func (c *wordChecker) rows() []vocab.Row { return append(slices.Clone(c.lexicon.Rows), c.own...) }

// known reports that words are rows of the vocabulary, one after another.
func (c *wordChecker) known(parts []string) bool {
	words := fields(strings.Join(parts, " "))
	for i := 0; i < len(words); {
		r, end := c.lexicon.Trie.Longest(words, i)
		if r == nil {
			return false
		}
		i = end
	}
	return len(words) > 0
}

// meaning names what a row means, for messages.
func meaning(r *vocab.Row) string {
	return strings.TrimSpace(strings.ToLower(r.Class.String()) + " " + strings.ReplaceAll(r.Means, "_", " "))
}

func fields(s string) []lex.Word {
	var out []lex.Word
	for _, f := range strings.Fields(strings.ToLower(s)) {
		out = append(out, lex.Word{Text: f})
	}
	return out
}

// phoneSet are the phones of the recogniser's dictionary.
const phoneSet = " AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W Y Z ZH "

// checkSounds checks a pronunciation: phones, with a comma between words.
func checkSounds(s string, words int) (string, string) {
	if strings.TrimSpace(s) == "" {
		return "", ""
	}
	s = strings.ToUpper(s)
	if strings.Count(s, ",") != words-1 {
		return "", fmt.Sprintf("its sounds need a comma between words, for %d words", words)
	}
	phones := 0
	for part := range strings.SplitSeq(s, ",") {
		if len(strings.Fields(part)) == 0 {
			return "", "a word of it has no sounds"
		}
		for f := range strings.FieldsSeq(part) {
			if phones++; phones > maxOwnSounds {
				return "", fmt.Sprintf("it has more than %d sounds", maxOwnSounds)
			}
			if !strings.Contains(phoneSet, " "+f+" ") {
				return "", fmt.Sprintf("%q is no phone; phones are%s", shorten(f), strings.TrimRight(phoneSet, " "))
			}
		}
	}
	return s, ""
}
