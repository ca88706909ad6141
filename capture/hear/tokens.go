package hear

import (
	"errors"
	"fmt"
	"strings"
)

// tokens are the pieces of text that the model writes, by their number, which
// is also their rank in byte pair merging.
type tokens struct {
	text []string       // with spaces as spaces
	rank map[string]int // of the text
}

// The numbers with a meaning of their own; firstByte and the 255 after it are
// single bytes, and from firstMark on there are marks that are no text.
const (
	startToken = 1
	endToken   = 2
	firstByte  = 3
	firstMark  = 32000
	vocabulary = 32768
)

// readTokens reads the tokenizer's file: the tokens in order, each a length
// byte and its bytes; of 128 and more, the length is the byte less 128, and 128
// times the next byte. Its spaces are U+2581.
func readTokens(file []byte) (*tokens, error) {
	t := &tokens{rank: map[string]int{}}
	short := errors.New("tokenizer: the file is cut short")
	for len(file) > 0 {
		n := int(file[0])
		file = file[1:]
		if n >= 128 {
			if len(file) == 0 {
				return nil, short
			}
			n += int(file[0])*128 - 128
			file = file[1:]
		}
		if n > len(file) {
			return nil, short
		}
		text := strings.ReplaceAll(string(file[:n]), "\u2581", " ")
		file = file[n:]
		if _, known := t.rank[text]; !known && len(t.text) >= firstByte+256 {
			t.rank[text] = len(t.text)
		}
		t.text = append(t.text, text)
	}
	if len(t.text) != vocabulary {
		return nil, fmt.Errorf("tokenizer: %d tokens, want %d", len(t.text), vocabulary)
	}
	return t, nil
}

// decode is the text of tokens; marks have none.
func (t *tokens) decode(ids []int64) string {
	var b strings.Builder
	for _, id := range ids {
		if id >= firstByte && id < firstMark {
			b.WriteString(t.text[id])
		}
	}
	return strings.TrimPrefix(b.String(), " ")
}

// encode splits text into tokens: the pair whose union ranks first is joined,
// until none is a token (P. Gage, "A new algorithm for data compression", 1994;
// R. Sennrich and others, arXiv 1508.07909). What is no token goes byte by byte.
func (t *tokens) encode(text string) []int64 {
	var parts []string
	for _, r := range " " + text {
		parts = append(parts, string(r))
	}
	for {
		at, best := -1, vocabulary
		for i := range len(parts) - 1 {
			if rank, ok := t.rank[parts[i]+parts[i+1]]; ok && rank < best {
				at, best = i, rank
			}
		}
		if at < 0 {
			break
		}
		parts[at] += parts[at+1]
		parts = append(parts[:at+1], parts[at+2:]...)
	}
	var ids []int64
	for _, part := range parts {
		if id, ok := t.rank[part]; ok {
			ids = append(ids, int64(id))
			continue
		}
		for _, b := range []byte(part) {
			ids = append(ids, firstByte+int64(b))
		}
	}
	return ids
}
