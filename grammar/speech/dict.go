package speech

import (
	"fmt"
	"slices"
	"strings"

	"downlead/grammar/vocab"
)

// KnownSounds are pronunciations of the table's words that the dictionary of
// Debian's pocketsphinx-en-us lacks, in its phones.
func KnownSounds() map[string]string {
	return map[string]string{
		"cabling":    "K EY B AH L IH NG",
		"diplexer":   "D AY P L EH K S ER",
		"diplexers":  "D AY P L EH K S ER Z",
		"inserter":   "IH N S ER T ER",
		"inserters":  "IH N S ER T ER Z",
		"splitters":  "S P L IH T ER Z",
		"triplexer":  "T R AY P L EH K S ER",
		"triplexers": "T R AY P L EH K S ER Z",
	}
}

// Pronunciations returns dictionary lines, "word PH ON ES", for every spoken
// word that the recogniser's dictionary lacks; base says which it has. With
// base nil they are the table's own and those of the technician's words. A
// word of the technician's that came without one is given by the rules of
// spelling.
func Pronunciations(rows []vocab.Row, base func(word string) bool) string {
	known := KnownSounds()
	speak := NewSpeller()
	lines := map[string]string{}
	for i := range rows {
		r := &rows[i]
		if !r.Spoken {
			continue
		}
		words := strings.Fields(r.Say)
		given := strings.Split(r.Pron, ",")
		for j, w := range words {
			sound := known[w]
			if r.Pron != "" && len(given) == len(words) {
				sound = strings.Join(strings.Fields(given[j]), " ")
			}
			if base != nil && base(w) && r.Pron == "" || base == nil && sound == "" && !r.Own {
				continue
			}
			if sound == "" {
				sound = arpabet(speak.Phones(w))
			}
			lines[w] = sound
		}
	}
	out := make([]string, 0, len(lines))
	for w, sound := range lines {
		out = append(out, fmt.Sprintf("%s %s\n", w, sound))
	}
	slices.Sort(out)
	return strings.Join(out, "")
}
