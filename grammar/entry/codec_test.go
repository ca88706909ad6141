package entry

import (
	"strings"
	"testing"
)

// TestMachineForm: every form of the contract is read and written unchanged,
// and so is its stored form.
func TestMachineForm(t *testing.T) {
	for _, form := range []string{
		`{"kind":"reading","point":{"element":"ground_block","number":1,"side":"dish","room":"kitchen"},"verdict":"pass","level_dbm":-41,"strength":82,"mer_db":9.5,"volts":18.1,"no_signal":true,"slot":119,"transponder":21,"polarity":"odd","assumed":["sign"]}`,
		`{"kind":"reading","point":{"element":"splitter","side":"receiver","port":2}}`,
		`{"kind":"path","elements":[{"element":"lnb"},{"element":"cable","length_ft":60,"cable":"rg6"}]}`,
		`{"kind":"path","verb":"insert","elements":[{"element":"ground_block"},{"element":"splitter","ways":2}]}`,
		`{"kind":"setting","name":"threshold","slot":110,"value":75}`,
		`{"kind":"setting","name":"weather","value":"rain"}`,
		`{"kind":"action","action":"replaced","element":"cable","quantity":1,"at":{"element":"ground_block"},"to":{"element":"wall_plate"},"length_ft":30}`,
		`{"kind":"material","item":"fitting","quantity":2}`,
		`{"kind":"check","check":"outlet","verdict":"fail","remark":"open ground"}`,
		`{"kind":"time","mark":"arrived"}`,
		`{"kind":"miles","value":12}`,
		`{"kind":"code","code":"7","units":1.5}`,
		`{"kind":"job","verb":"start","number":"4412"}`,
		`{"kind":"site","lat":35.1,"lon":-100.2}`,
		`{"kind":"consent","given":false}`,
		`{"kind":"note","text":"<dog> & \"cat\""}`,
		`{"kind":"correction","verb":"scratch","count":1}`,
		`{"kind":"correction","verb":"change","entry":12,"level_dbm":-43}`,
		`{"kind":"correction","verb":"change","entry":3,"replace":[{"kind":"miles","value":4}]}`,
		`{"kind":"question","question":"margin","point":{"element":"wall_plate"}}`,
		`{"kind":"unparsed","text":"x","reason":"y"}`,
		`{"kind":"photo","sha256":"ab","name":"a.jpg"}`,
		`{"kind":"closeout","head":"ab","count":3,"format":"pdf"}`,
		`{"kind":"purge","entry":3,"clip":"ab"}`,
		`{"kind":"control","verb":"pause"}`,
		`{"kind":"answer","value":-61}`,
	} {
		e, err := Decode([]byte(form))
		if err != nil {
			t.Errorf("%s: %v", form, err)
			continue
		}
		b, err := Encode(e)
		if err != nil || string(b) != form {
			t.Errorf("got  %s, %v\nwant %s", b, err, form)
		}
		stored, err := Stored(b)
		if err != nil || strings.Contains(string(stored), `"level_dbm":-`) {
			t.Errorf("%s is stored as %s, %v", form, stored, err)
		}
		back, err := Decode(stored)
		if err != nil {
			t.Errorf("%s: %v", stored, err)
			continue
		}
		if again, _ := Encode(back); string(again) != form {
			t.Errorf("the stored form %s is read as %s", stored, again)
		}
	}
}

func TestDecodeErrors(t *testing.T) {
	for form, why := range map[string]string{
		`{"kind":"frob"}`: "unknown kind", `[`: "decode entry", `{"kind":"miles","value":"x"}`: "not a decimal",
		`{"kind":"setting","name":"x","value":[]}`: "setting", `{"kind":"correction","verb":"change","replace":[{"kind":"no"}]}`: "unknown kind",
	} {
		if e, err := Decode([]byte(form)); err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("%s: got %v, %v, want %q", form, e, err, why)
		}
	}
	if _, err := Stored([]byte("{")); err == nil {
		t.Error("half an object is stored")
	}
}

func TestDecimal(t *testing.T) {
	for s, want := range map[string]string{
		"-41": "-41", "18.10": "18.1", "0": "0", "-0.5": "-0.5", "35.123456": "35.123456", "007": "7",
		"": "!", "-": "!", "1.": "!", ".5": "!", "1e3": "!", "1.2345678": "!", "1234567890": "!", "4-1": "!", "+1": "!", "٤": "!",
	} {
		d, err := ParseDecimal(s)
		got := d.String()
		if err != nil {
			got = "!"
		}
		if got != want {
			t.Errorf("%q: got %q, want %q", s, got, want)
		}
	}
	var none Decimal
	if none.Said() || none.String() != "" || NewDecimal(0, 0).IsZero() || NewDecimal(-41, -5).String() != "-41.5" || NewDecimal(-41, 0).Sign() != -1 {
		t.Error("nothing said, zero and signs are mixed up")
	}
}
