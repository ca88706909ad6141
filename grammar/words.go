package grammar

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
)

// Words is a technician's own vocabulary file, read and checked.
type Words struct{ rows []row }

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
	maxWordFile = 64 << 10 // bytes
	maxOwnWords = 500
	maxOwnParts = 4 // words in one row
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
		return nil, fmt.Errorf("own words: %q is not known; a file has [[word]], [[room]], [[check]] and [[code]], each with say, means, sounds", extra[0].String())
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
		class class
		words []ownWord
	}{{cRoom, f.Room}, {cCheck, f.Check}, {cCodeName, f.Code}} {
		for _, w := range list.words {
			c.name(list.class, w)
		}
	}
	if err := errors.Join(c.errs...); err != nil {
		return nil, err
	}
	return &Words{rows: c.own}, nil
}

// wordChecker takes own words one by one, each against the table and those
// before it.
type wordChecker struct {
	lexicon *lexicon
	speller *speller
	sounds  map[string]*row
	own     []row
	errs    []error
}

func newWordChecker() (*wordChecker, error) {
	l, err := newLexicon(builtin())
	if err != nil {
		return nil, err
	}
	c := &wordChecker{lexicon: l, speller: newSpeller(), sounds: map[string]*row{}}
	for i := range l.rows {
		if r := &l.rows[i]; r.spoken {
			c.sounds[c.speller.phrasePhones(r.say)] = r
		}
	}
	return c, nil
}

func (c *wordChecker) synonym(w ownWord) {
	of := fields(w.Means)
	r, end := c.lexicon.trie.longest(of, 0)
	switch {
	case len(of) == 0:
		c.refuse(w, "it does not say what it means; add means = \"…\"")
	case r == nil || end != len(of):
		c.refuse(w, fmt.Sprintf("%q, which it is to mean, is no word of the table", w.Means))
	case startsNumber(r.class) || r.class == cPoint || r.class == cFiller:
		c.refuse(w, "numbers and little words have no other words")
	default:
		c.take(w, row{class: r.class, means: r.means, num: r.num})
	}
}

func (c *wordChecker) name(class class, w ownWord) {
	if w.Means != "" {
		c.refuse(w, "only a [[word]] has means")
		return
	}
	c.take(w, row{class: class, means: strings.Join(strings.Fields(strings.ToLower(w.Say)), " ")})
}

func (c *wordChecker) refuse(w ownWord, why string) {
	c.errs = append(c.errs, fmt.Errorf("own word %q is refused: %s", shorten(w.Say), why))
}

// take checks a row and adds it.
func (c *wordChecker) take(w ownWord, r row) {
	parts := strings.Fields(strings.ToLower(w.Say))
	r.say, r.spoken, r.own = strings.Join(parts, " "), true, true
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
	r.pron = pron
	c.own = append(c.own, r)
	added := r
	c.lexicon.trie.add(&added)
	c.sounds[c.speller.phrasePhones(r.say)] = &added
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
		if n := c.lexicon.trie.next[p]; n != nil && n.row != nil && (startsNumber(n.row.class) || n.row.class == cPoint) {
			return fmt.Sprintf("%q in it is a number word, and numbers follow words freely", p)
		}
	}
	if r, end := c.lexicon.trie.longest(fields(strings.Join(parts, " ")), 0); r != nil && r.class == cFiller && end < len(parts) {
		return fmt.Sprintf("it starts with %q, which is not listened to", r.say)
	}
	return ""
}

// clash finds what would make a phrase ambiguous.
func (c *wordChecker) clash(parts []string, r *row) string {
	all := strings.Join(parts, " ")
	if have, end := c.lexicon.trie.longest(fields(all), 0); have != nil && end == len(parts) && strings.Count(have.say, " ") == len(parts)-1 {
		if have.class == r.class && have.means == r.means {
			return "it is known already"
		}
		return fmt.Sprintf("it already means %s", have.meaning())
	}
	if have := c.sounds[c.speller.phrasePhones(all)]; have != nil && (have.class != r.class || have.means != r.means) {
		return fmt.Sprintf("it sounds the same as %q", have.say)
	}
	if len(parts) > 1 && c.known(parts) {
		return "its words one after another mean something already"
	}
	for _, have := range c.rows() {
		old := strings.Fields(have.say)
		if len(old) > len(parts) && slices.Equal(old[:len(parts)], parts) && c.known(old[len(parts):]) {
			return fmt.Sprintf("%q could then be read in two ways", have.say)
		}
		for k := 1; k < min(len(old), len(parts)); k++ {
			if slices.Equal(parts[len(parts)-k:], old[:k]) && c.known(parts[:len(parts)-k]) ||
				slices.Equal(old[len(old)-k:], parts[:k]) && c.known(parts[k:]) {
				return fmt.Sprintf("together with %q it could be read in two ways", have.say)
			}
		}
	}
	return ""
}

func (c *wordChecker) rows() []row { return append(slices.Clone(c.lexicon.rows), c.own...) }

// known reports that words are rows of the vocabulary, one after another.
func (c *wordChecker) known(parts []string) bool {
	words := fields(strings.Join(parts, " "))
	for i := 0; i < len(words); {
		r, end := c.lexicon.trie.longest(words, i)
		if r == nil {
			return false
		}
		i = end
	}
	return len(words) > 0
}

// meaning names what a row means, for messages.
func (r *row) meaning() string {
	return strings.TrimSpace(strings.ToLower(r.class.String()) + " " + strings.ReplaceAll(r.means, "_", " "))
}

func fields(s string) []word {
	var out []word
	for _, f := range strings.Fields(strings.ToLower(s)) {
		out = append(out, word{text: f})
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
	for part := range strings.SplitSeq(s, ",") {
		if len(strings.Fields(part)) == 0 {
			return "", "a word of it has no sounds"
		}
		for f := range strings.FieldsSeq(part) {
			if !strings.Contains(phoneSet, " "+f+" ") {
				return "", fmt.Sprintf("%q is no phone; phones are%s", f, strings.TrimRight(phoneSet, " "))
			}
		}
	}
	return s, ""
}
