package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"strconv"
	"unicode"
	"unicode/utf8"
)

// errScan says that a text is not the canonical JSON that the journal writes.
var errScan = errors.New("its text is not canonical JSON")

// eachMember calls f with every member of a JSON object, in order, the value
// as it stands in the text. It reads without decoding, for the walk over a
// whole journal; only canonical JSON is expected, which has no space in it.
func eachMember(text []byte, f func(name, value []byte)) error {
	if len(text) < 2 || text[0] != '{' {
		return errScan
	}
	for i := 1; ; i++ {
		end := stringEnd(text, i)
		if end < 0 || end >= len(text) || text[end] != ':' {
			return errScan
		}
		stop := valueEnd(text, end+1)
		if stop < 0 || stop >= len(text) {
			return errScan
		}
		f(text[i+1:end-1], text[end+1:stop])
		switch {
		case text[stop] == '}' && stop == len(text)-1:
			return nil
		case text[stop] != ',':
			return errScan
		}
		i = stop
	}
}

// stringEnd returns the index behind the string that starts at i, or -1.
func stringEnd(b []byte, i int) int {
	if i >= len(b) || b[i] != '"' {
		return -1
	}
	for i++; i < len(b); i++ {
		switch b[i] {
		case '\\':
			i++
		case '"':
			return i + 1
		}
	}
	return -1
}

// valueEnd returns the index behind the value that starts at i, or -1.
func valueEnd(b []byte, i int) int {
	depth := 0
	for i < len(b) {
		switch b[i] {
		case '"':
			if i = stringEnd(b, i); i < 0 {
				return -1
			}
			if depth == 0 {
				return i
			}
			continue
		case '{', '[':
			depth++
		case '}', ']':
			if depth == 0 {
				return i // behind a number or a literal
			}
			if depth--; depth == 0 {
				return i + 1
			}
		case ',':
			if depth == 0 {
				return i
			}
		}
		i++
	}
	return -1
}

// unquote returns what a JSON string holds, without a copy where it can.
func unquote(value []byte) []byte {
	if len(value) >= 2 && value[0] == '"' && bytes.IndexByte(value, '\\') < 0 {
		return value[1 : len(value)-1]
	}
	var s string
	if json.Unmarshal(value, &s) != nil {
		return nil
	}
	return []byte(s)
}

// wholeNumbers reports whether every number of a canonical JSON text is an
// integer that JSON numbers carry exactly, at most 2^53-1 (RFC 8785, section
// 3.2.2.3 and appendix D).
func wholeNumbers(b []byte) bool {
	const maxInteger = 1<<53 - 1
	for i := 0; i < len(b); {
		switch c := b[i]; {
		case c == '"':
			if i = stringEnd(b, i); i < 0 {
				return false
			}
		case c == '-' || c >= '0' && c <= '9':
			end := i + 1
			for end < len(b) && bytes.IndexByte([]byte("0123456789.eE+-"), b[end]) >= 0 {
				end++
			}
			n, err := strconv.ParseInt(string(b[i:end]), 10, 64)
			if err != nil || n > maxInteger || n < -maxInteger {
				return false
			}
			i = end
		default:
			i++
		}
	}
	return true
}

// maxWord is the longest word a job can be found by, in bytes; what is longer
// is a sum and no word. A judgement.
const maxWord = 32

// eachWord calls f with every word in the string values of a JSON value: runs
// of letters and digits, in lower case. Names of members are no words, nor are
// strings that hold just a number, unless all is set. The word handed to f is
// good until f returns.
func eachWord(value []byte, all bool, f func(word []byte)) {
	for i := 0; i < len(value); {
		if value[i] != '"' {
			i++
			continue
		}
		end := stringEnd(value, i)
		if end < 0 {
			return
		}
		s := value[i+1 : end-1]
		if i = end; i < len(value) && value[i] == ':' || !all && isNumber(s) {
			continue
		}
		wordsOf(s, f)
	}
}

func isNumber(s []byte) bool {
	for _, c := range s {
		if (c < '0' || c > '9') && c != '-' && c != '.' {
			return false
		}
	}
	return true
}

// wordsOf splits the inside of a JSON string; an escape parts words.
func wordsOf(s []byte, f func(word []byte)) {
	var buf [maxWord + utf8.UTFMax]byte
	word := buf[:0]
	emit := func() {
		if n := len(word); n > 0 && n <= maxWord {
			f(word)
		}
		word = buf[:0]
	}
	for i := 0; i < len(s); {
		r, size := rune(s[i]), 1
		switch {
		case r >= utf8.RuneSelf:
			r, size = utf8.DecodeRune(s[i:])
			r = unicode.ToLower(r)
		case r >= 'A' && r <= 'Z':
			r += 'a' - 'A'
		case r == '\\':
			size = 2
			if i+1 < len(s) && s[i+1] == 'u' {
				size = 6
			}
		}
		i += size
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			emit()
		case len(word) <= maxWord:
			word = utf8.AppendRune(word, r)
		}
	}
	emit()
}
