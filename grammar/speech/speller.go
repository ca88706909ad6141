package speech

import (
	"math"
	"strings"
)

// How words sound, roughly: letters to phones by the common rules of English
// spelling. It is good enough to compare two words, and to give the
// recogniser a pronunciation for a word that its dictionary lacks.
//
// A phone is one byte: consonants by their letter (T thin, S ship, Z vision,
// C chip, J jam, N sing), vowels a bat, A father, e bet, E beet, i bit, I
// bite, o bought, O boat, u but, U boot, W bout, Y boy, 1 bait, 3 bird.

// spelling is one rule: letters, what they sound like, and where.
type spelling struct {
	letters, phones string
	where           byte // '^' at the start, '$' at the end, '=' the whole word, 0 anywhere
}

// spellings are tried in order at each letter.
func spellings() []spelling {
	return []spelling{
		{"to", "tU", '='},
		{"too", "tU", '='},
		{"won", "wun", '='},
		{"do", "dU", '='},
		{"of", "uv", '='},
		{"one", "wun", '^'},
		{"eigh", "1", 0},
		{"augh", "o", 0},
		{"ough", "O", 0},
		{"igh", "I", 0},
		{"tion", "Sun", 0},
		{"sion", "Zun", 0},
		{"ture", "C3", '$'},
		{"two", "tU", '^'},
		{"ing", "iN", '$'},
		{"tch", "C", 0},
		{"dge", "J", 0},
		{"all", "ol", 0},
		{"alk", "ok", 0},
		{"kn", "n", '^'},
		{"wr", "r", '^'},
		{"ps", "s", '^'},
		{"ck", "k", 0},
		{"ch", "C", 0},
		{"sh", "S", 0},
		{"th", "T", 0},
		{"ph", "f", 0},
		{"wh", "w", 0},
		{"qu", "kw", 0},
		{"gh", "", 0},
		{"ng", "N", '$'},
		{"ee", "E", 0},
		{"ea", "E", 0},
		{"oo", "U", 0},
		{"our", "or", 0},
		{"oor", "or", 0},
		{"ou", "W", 0},
		{"ow", "O", '$'},
		{"ow", "W", 0},
		{"oa", "O", 0},
		{"oi", "Y", 0},
		{"oy", "Y", 0},
		{"ai", "1", 0},
		{"ay", "1", 0},
		{"au", "o", 0},
		{"aw", "o", 0},
		{"eive", "Ev", 0},
		{"ei", "E", 0},
		{"ey", "E", 0},
		{"ie", "E", 0},
		{"ew", "U", 0},
		{"ue", "U", '$'},
		{"ere", "Er", '$'},
		{"ore", "or", '$'},
		{"are", "er", '$'},
		{"ire", "Ir", '$'},
		{"er", "3", 0},
		{"ir", "3", 0},
		{"ur", "3", 0},
		{"ar", "Ar", 0},
		{"or", "or", 0},
		{"le", "ul", '$'},
		{"e", "", '$'},
	}
}

// letterNames is how letters said by themselves sound.
const letterNames = "1 bE sE dE E ef JE 1C I J1 k1 el em en O pE kyU Ar es tE yU vE dubulyU eks wI zE"

// Speller turns words into phones.
type Speller struct {
	rules   [256][]spelling // by first letter
	letters []string

	swap [128][128]float64 // cost of one phone for another
	drop [128]float64      // cost of leaving one out
}

// NewSpeller returns a speller of American English.
func NewSpeller() *Speller {
	s := &Speller{letters: strings.Fields(letterNames)}
	for _, r := range spellings() {
		s.rules[r.letters[0]] = append(s.rules[r.letters[0]], r)
	}
	s.weigh()
	return s
}

// Phones returns how one lower-case word sounds. Letters without a vowel are
// said one by one, as people do.
func (s *Speller) Phones(w string) string {
	if len(w) > 40 {
		w = w[:40]
	}
	var b strings.Builder
	if len(w) == 1 && w != "a" || !strings.ContainsAny(w, "aeiouy") {
		for _, c := range []byte(w) {
			if c >= 'a' && c <= 'z' {
				b.WriteString(s.letters[c-'a'])
			}
		}
		return b.String()
	}
	ending := ""
	if n := len(w); n > 4 && strings.HasSuffix(w, "ed") && w[n-3] != 'e' {
		ending = "d"
		switch w[n-3] {
		case 't', 'd':
			ending = "id"
		case 'p', 'k', 's', 'f', 'h', 'x', 'c':
			ending = "t"
		}
		w = w[:n-1] // the e still makes the vowel before it long
	}
	for i := 0; i < len(w); {
		i += s.step(w, i, &b)
	}
	return Squeeze(b.String() + ending)
}

// step writes the sound at letter i and says how many letters it took.
func (s *Speller) step(w string, i int, b *strings.Builder) int {
	for _, r := range s.rules[w[i]] {
		end := i + len(r.letters)
		if strings.HasPrefix(w[i:], r.letters) && (r.where != '^' || i == 0) && (r.where != '$' || end == len(w) && i > 0) && (r.where != '=' || i == 0 && end == len(w)) {
			b.WriteString(r.phones)
			return len(r.letters)
		}
	}
	c := w[i]
	next := byte(0)
	if i+1 < len(w) {
		next = w[i+1]
	}
	long := i+2 < len(w) && w[i+2] == 'e' && isConsonant(next) && next != 'x' && (i+3 == len(w) || i+4 == len(w) && strings.IndexByte("sdr", w[i+3]) >= 0)
	switch c {
	case 'a', 'e', 'i', 'o', 'u':
		b.WriteByte(vowelSound(c, long, i+1 == len(w)))
	case 'y':
		switch {
		case i == 0:
			b.WriteByte('y')
		case i+1 == len(w) && i < 3:
			b.WriteByte('I')
		case i+1 == len(w):
			b.WriteByte('E')
		default:
			b.WriteByte('i')
		}
	case 'c':
		b.WriteByte(softened(next, 's', 'k'))
	case 'g':
		b.WriteByte(softened(next, 'J', 'g'))
	case 'j':
		b.WriteByte('J')
	case 'q':
		b.WriteByte('k')
	case 'x':
		b.WriteString("ks")
	default:
		if c >= 'a' && c <= 'z' {
			b.WriteByte(c)
		}
	}
	return 1
}

func vowelSound(c byte, long, last bool) byte {
	const shortSounds, longSounds = "aeiAu", "1EIOU"
	i := strings.IndexByte("aeiou", c)
	switch {
	case long || last && c == 'o':
		return longSounds[i]
	case last && c == 'a':
		return 'u'
	}
	return shortSounds[i]
}

func softened(next, soft, hard byte) byte {
	if next == 'e' || next == 'i' || next == 'y' {
		return soft
	}
	return hard
}

func isConsonant(c byte) bool {
	return c >= 'a' && c <= 'z' && strings.IndexByte("aeiouy", c) < 0
}

// Squeeze makes doubled sounds single.
func Squeeze(s string) string {
	var b strings.Builder
	for i := range len(s) {
		if i == 0 || s[i] != s[i-1] {
			b.WriteByte(s[i])
		}
	}
	return b.String()
}

// PhrasePhones is how several words sound, said together.
func (s *Speller) PhrasePhones(say string) string {
	var b strings.Builder
	for w := range strings.FieldsSeq(say) {
		b.WriteString(s.Phones(w))
	}
	return Squeeze(b.String())
}

// SoundsApart is a distance of two sounds: 0 the same, 1 for one plainly
// different phone; close phones (t and d, two vowels) count less. It is more
// than most, and no more is known, where the sounds are too far apart.
func (s *Speller) SoundsApart(a, b string, most float64) float64 {
	far := most + 1
	if len(a) > maxPhones || len(b) > maxPhones || math.Abs(float64(len(a)-len(b)))*cheapest > most {
		return far
	}
	var rows [2][maxPhones + 1]float64
	last, now := &rows[0], &rows[1]
	for j := range len(b) {
		last[j+1] = last[j] + s.dropped(b, j)
	}
	for i := range len(a) {
		lost := s.dropped(a, i)
		now[0] = last[0] + lost
		low := now[0]
		for j := range len(b) {
			now[j+1] = min(last[j]+s.swap[a[i]&127][b[j]&127], last[j+1]+lost, now[j]+s.drop[b[j]&127])
			low = min(low, now[j+1])
		}
		if low > most {
			return far
		}
		last, now = now, last
	}
	return last[len(b)]
}

const (
	vowels    = "aAeEiIoOuUWY13"
	maxPhones = 60
	cheapest  = 0.4 // what leaving out a phone costs at least

	// closePhones are pairs that ears, and dictation, take for each other.
	closePhones = "td pb kg sz fv SZ CJ Tf Tt Td mn nN lr bv"
)

// weigh fills the costs of taking one phone for another and of leaving one out.
func (s *Speller) weigh() {
	for a := range s.swap {
		va := strings.IndexByte(vowels, byte(a)) >= 0
		s.drop[a] = 0.8
		if va {
			s.drop[a] = 0.6
		}
		for b := range s.swap[a] {
			switch vb := strings.IndexByte(vowels, byte(b)) >= 0; {
			case a == b:
			case va && vb:
				s.swap[a][b] = 0.4
			default:
				s.swap[a][b] = 1
			}
		}
	}
	s.drop['h'] = cheapest
	for pair := range strings.FieldsSeq(closePhones) {
		s.swap[pair[0]][pair[1]], s.swap[pair[1]][pair[0]] = 0.35, 0.35
	}
}

// dropped is what leaving out phone i costs: little for the stop at the end
// of a cluster, "past" for "pass".
func (s *Speller) dropped(phones string, i int) float64 {
	if c := phones[i]; (c == 't' || c == 'd') && i > 0 && strings.IndexByte(vowels, phones[i-1]) < 0 {
		return cheapest
	}
	return s.drop[phones[i]&127]
}

// arpabet writes phones as the recogniser's dictionary does.
func arpabet(phones string) string {
	const table = "pP bB tT dD kK gG fF vV TTH sS zZ SSH ZZH CCH JJH mM nN NNG lL rR wW yY hHH " +
		"aAE AAA eEH EIY iIH IAY oAO OOW uAH UUW WAW YOY 1EY 3ER"
	names := map[byte]string{}
	for f := range strings.FieldsSeq(table) {
		names[f[0]] = f[1:]
	}
	out := make([]string, 0, len(phones))
	for i := range len(phones) {
		out = append(out, names[phones[i]])
	}
	return strings.Join(out, " ")
}
