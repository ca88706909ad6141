package grammar_test

import (
	"errors"
	"fmt"

	"downlead/grammar"
	"downlead/grammar/entry"
)

func Example() {
	p, err := grammar.New(nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, phrase := range []string{
		"start job four four one two",
		"path dish, L N B, sixty feet, ground block, forty feet, wall plate, six foot jumper, receiver one",
		"behind receiver one, fail, minus fifty three, strength sixty one",
		"ground block dish side pass minus forty one, receiver side fail minus fifty four",
		"pass, minus forty four at the kitchen wall plate",
		"replaced thirty feet of cable between ground block and wall plate",
		"used two fittings and a barrel",
		"grounding fail corroded clamp",
		"entry twelve was minus forty",
		"where is the fault",
	} {
		entries, err := p.Parse(phrase)
		if err != nil {
			fmt.Println(err)
			continue
		}
		for _, e := range entries {
			fmt.Printf("%s: %s\n", e.Kind(), entry.Say(e))
		}
	}
	// Output:
	// job: start job four four one two
	// path: path dish, L N B, sixty feet of cable, ground block, forty feet of cable, wall plate, six foot jumper, receiver one
	// reading: behind receiver one, fail, minus fifty three, strength sixty one
	// reading: ground block dish side, pass, minus forty one
	// reading: ground block receiver side, fail, minus fifty four
	// reading: wall plate in the kitchen, pass, minus forty four
	// action: replaced thirty feet of cable between ground block and wall plate
	// material: used two fittings
	// material: used one barrel
	// check: grounding fail corroded clamp
	// correction: entry twelve, minus forty
	// question: where is the fault
}

func ExampleError() {
	p, err := grammar.New(nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	const phrase = "removed the sprinkler"
	_, err = p.Parse(phrase)
	var e *grammar.Error
	if errors.As(err, &e) {
		fmt.Println(e)
		fmt.Println(e.Caret(phrase))
	}
	// Output:
	// "sprinkler" is not known after "removed": expected an element, such as ground block, a length, such as sixty feet or a part, such as two fittings; perhaps "splitter"
	// removed the sprinkler
	//             ^
}

func ExampleEncode() {
	p, err := grammar.New(nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	entries, err := p.Parse("ground block dish side, pass, minus forty one")
	if err != nil {
		fmt.Println(err)
		return
	}
	b, err := entry.Encode(entries[0])
	fmt.Println(string(b), err)
	// Output:
	// {"kind":"reading","point":{"element":"ground_block","side":"dish"},"verdict":"pass","level_dbm":-41} <nil>
}
