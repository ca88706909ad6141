package shown

import "testing"

func TestNumbers(t *testing.T) {
	for got, want := range map[string]string{
		Number(-52.5): "−52.5", Number(-0.001): "0", Number(3.14159): "3.14", Whole(-36.4): "−36",
		Signed(13): "+13", Signed(-2.5): "−2.5", Signed(0): "0", Capital("été"): "Été", Capital(""): "",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
