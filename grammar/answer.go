package grammar

// ParseAnswer reads a phrase as the answer to a question of the tool: yes or
// no, a choice, a number by itself or digit by digit, a verdict, or a place.
// None of these is a statement, so Parse takes none of them. "No, minus sixty
// one" is the number. A phrase that is no answer is an *Error.
func (p *Parser) ParseAnswer(phrase string) (answer Answer, err error) {
	if len(phrase) > maxPhrase {
		return Answer{}, &Error{Message: "that is too long for an answer", At: maxPhrase}
	}
	toks := p.lexicon.rawTokens(phrase, splitWords(phrase))
	toks = p.lexicon.littleWords(toks)
	if len(toks) > 1 && (toks[0].class == cNo || toks[0].class == cYes || toks[0].class == cCorrect) {
		toks = toks[1:]
	}
	if a, ok := p.answer(toks); ok {
		return a, nil
	}
	bad := &Error{Message: "that is no answer: say yes or no, a number, pass or fail, or a place"}
	if len(toks) > 0 {
		bad.At, bad.Word = toks[0].lo, phrase[toks[0].lo:toks[0].hi]
	}
	return Answer{}, bad
}

func (p *Parser) answer(toks []token) (Answer, bool) {
	if len(toks) == 0 {
		return Answer{}, false
	}
	if v, ok := p.lexicon.bareNumber(toks); ok {
		return Answer{Value: v}, true
	}
	switch t := &toks[0]; {
	case t.class == cOrdinal && (len(toks) == 1 || len(toks) == 2 && toks[1].class == cElement):
		return Answer{Choice: atoi(t.means())}, true
	case len(toks) > 1:
	case t.class == cYes, t.class == cCorrect:
		return Answer{Yes: true}, true
	case t.class == cNo:
		return Answer{No: true}, true
	case t.class == cVerdict:
		return Answer{Verdict: Verdict(t.means())}, true
	}
	return p.placeAnswer(toks)
}

// bareNumber reads tokens that are one number and nothing else but its unit.
func (l *lexicon) bareNumber(toks []token) (Decimal, bool) {
	end := numberEnd(toks)
	if end == 0 || end < len(toks)-1 || end == len(toks)-1 && unitKind(toks[end].class) == 0 {
		return Decimal{}, false
	}
	t, n := l.match(l.kinds[cFigure], toks, end)
	return t.value, n > 0
}

// placeAnswer reads a place by itself: "output two", "dish side", "the
// kitchen one".
func (p *Parser) placeAnswer(toks []token) (Answer, bool) {
	if n := len(toks); n > 1 && toks[n-1].class == cDigit && toks[n-1].row != nil && toks[n-1].row.num == 1 &&
		(toks[n-2].class == cRoom || toks[n-2].class == cSide) {
		toks = toks[:n-1]
	}
	toks = p.lexicon.joinNumbers(toks)
	a := &assembly{toks: toks}
	var seen [classCount]int
	for i := range toks {
		c := toks[i].class
		switch c {
		case cNumbered:
			c = cRoom
		case cBehind, cOutput:
			c = cSide
		case cElement, cIndex, cSide, cRoom, cIn, cAt, cOn:
		default:
			return Answer{}, false
		}
		if seen[c]++; seen[c] > 1 && c != cIndex {
			return Answer{}, false
		}
	}
	point := a.pointOf(lexTokens(toks))
	return Answer{Point: &point}, point != Point{}
}

// Meaning returns a key of what a phrase means: the same for two wordings of
// one statement, another for another number. A phrase without meaning is its
// own key; nothing is mended, because the recogniser hears only whole phrases.
func (p *Parser) Meaning(phrase string) string {
	if entries, err := p.exactly(phrase); err == nil {
		key := ""
		for _, e := range entries {
			b, err := Encode(e)
			if err != nil {
				return phrase
			}
			key += string(b) + "\n"
		}
		return key
	}
	if a, err := p.ParseAnswer(phrase); err == nil {
		if b, err := Encode(a); err == nil {
			return string(b)
		}
	}
	return phrase
}
