package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
	"downlead/export/closeout"
	"downlead/export/exporttest"
)

// TestEveryKindStandsInTheRecord says one phrase of every kind and form, and
// looks for it in each form of the record: the log, the closeout as a document,
// as a table and as text, and on the review page. The document is one by its own
// JSON Schema. Nothing that was said is dropped on the way.
func TestEveryKindStandsInTheRecord(t *testing.T) {
	phrases := []struct {
		say              string
		log, table, text string // "" where that form does not hold it
	}{
		{"start job 7100", `"number":"7100"`, "7100", "Job 7100"},
		{"complaint picture freezes when it rains", `"symptom":"freezing"`, "freezes when it rains", "freezes when it rains"},
		{"site 12 quarry lane", `"text":"12 Quarry Lane"`, "12 Quarry Lane", "12 Quarry Lane"},
		{"raining", `"value":"rain"`, "", ""},
		{"threshold seventy two", `"value":72`, "", ""},
		{"path dish, lnb, sixty feet of R G six, ground block, forty feet, four way splitter, thirty feet, receiver one", `"cable":"rg6"`, "", ""},
		{"receiver two on splitter output two, den, forty feet", `"room":"den"`, "den", ""},
		{"arrived at ten fifteen", `"at":"10:15"`, "10:15", "10:15"},
		{"standing at the ground block", `"kind":"place"`, "", ""},
		{"behind receiver one fail minus sixty three, strength twelve", `"strength":12`, "-63", "-63 dBm"},
		{"ground block receiver side fail 52 dBuV", `"unit":"dbuv"`, "-56.75", "-56.75 dBm"},
		{"ground block dish side pass minus thirty six", `"level_dbm":-36`, "-36", "-36 dBm"},
		{"wet fitting at the ground block", `"condition":"wet"`, "wet", "fitting is wet"},
		{"replaced fitting at the ground block with a new one", `"action":"replaced"`, "replaced", "Replaced fitting at ground block"},
		{"swapped receivers one and two", `"action":"swapped"`, "swapped", ""},
		{"moved receiver two to splitter output four", `"action":"moved"`, "moved", "oved"},
		{"bypassed the ground block with a barrel", `"with":{"element":"barrel"}`, "bypassed", "ypassed ground block"},
		{"put the ground block back", `"action":"restored"`, "restored", ""},
		{"ran new R G six from the ground block to the splitter, forty feet", `"length_ft":40`, "", ""},
		{"used two fittings and a barrel", `"item":"barrel"`, "barrel", "barrel"},
		{"behind receiver one pass minus forty five", `"level_dbm":-45`, "-45", "-45 dBm"},
		{"outlet fail open ground", `"remark":"open ground"`, "open ground", "open ground"},
		{"drove twelve miles", `"kind":"miles"`, "12", ""},
		{"work code seven, two units", `"code":"7"`, "7", ""},
		{"recording is fine", `"given":true`, "", ""},
		{"note the gate sticks", `"text":"the gate sticks"`, "the gate sticks", "the gate sticks"},
		{"rescheduled for Thursday", `"when":"Thursday"`, "", "escheduled"},
		{"left at eleven thirty", `"at":"11:30"`, "11:30", "11:30"},
	}
	journal := filepath.Join(t.TempDir(), "kinds.db")
	runs := func(in string, args ...string) string {
		t.Helper()
		e, out, errs := clitest.Env(t, in)
		if got := run(context.Background(), e, append([]string{"--journal", journal}, args...)); got != cli.ExitDone {
			t.Fatalf("%v: exit code %d: %s", args, got, errs)
		}
		return out.String()
	}
	var said strings.Builder
	for _, p := range phrases {
		said.WriteString(p.say + "\n")
		if strings.HasPrefix(p.say, "wet") {
			said.WriteString("yes\n")
		}
	}
	runs(said.String(), "say", "-")
	table := filepath.Join(t.TempDir(), "kinds.csv")
	runs("", "closeout", "--job", "7100", "--csv", table)
	log := runs("", "job", "log", "--job", "7100", "--json")
	text := runs("", "closeout", "--job", "7100")
	data, err := os.ReadFile(table)
	if err != nil {
		t.Fatal(err)
	}
	rows := string(data)
	doc := runs("", "closeout", "--job", "7100", "--json")
	for _, want := range []string{`"threshold":72`, `"element":"ground_block"`, `"cable":"rg6"`} {
		if !strings.Contains(strings.ReplaceAll(doc, ": ", ":"), want) {
			t.Errorf("%s is not in the document", want)
		}
	}
	exporttest.Fits(t, closeout.CloseoutSchemaJSON, [][]byte{[]byte(doc)}, `"job": "7100"`, `"job": 7100`)
	page := flat(pageOf(t, journal, "7100/entries"))
	for _, p := range phrases {
		if !strings.Contains(page, p.say) {
			t.Errorf("%q is not on the review page", p.say)
		}
		for _, form := range []struct{ name, have, want string }{{"log", log, p.log}, {"table", rows, p.table}, {"document", doc, p.table}, {"text", text, p.text}} {
			if form.want != "" && !strings.Contains(form.have, form.want) {
				t.Errorf("%q: %q is not in the %s", p.say, form.want, form.name)
			}
		}
	}
}
