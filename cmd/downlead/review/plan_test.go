package review

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"downlead/cmd/downlead/guard"
	"downlead/grammar/entry"
)

func TestPlanTicks(t *testing.T) {
	s := demoSite(t, "outlet pass")
	for _, deed := range []struct{ phrase, remark, verdict string }{
		{"outlet pass", "", "pass"}, {"mount fail", "loose foot", "fail"}, {"education not applicable", "", "na"},
	} {
		if status, body := s.post("/job/4412/tick", url.Values{"phrase": {deed.phrase}, "remark": {deed.remark}}); status != 200 {
			t.Fatalf("%s: status %d: %s", deed.phrase, status, body)
		}
		records := s.records("4412")
		got := records[len(records)-1]
		// The same phrase, parsed, must be the same entry.
		want, err := s.cfg.Parser.Parse(strings.TrimSpace(deed.phrase + " " + deed.remark))
		if err != nil {
			t.Fatal(err)
		}
		check, isCheck := got.Entry.(entry.Check)
		if !isCheck || string(check.Verdict) != deed.verdict || check.Check != want[0].(entry.Check).Check || check.Remark != want[0].(entry.Check).Remark {
			t.Errorf("%s: kept %+v, want %+v", deed.phrase, got.Entry, want[0])
		}
	}
}

func TestClose(t *testing.T) {
	s := demoSite(t, "outlet pass")
	if status, body := s.post("/job/4412/close", url.Values{}); status != http.StatusConflict || !strings.Contains(body, "needs a reason") {
		t.Errorf("close with things missing and no reason: status %d, want 409", status)
	}
	if status, _ := s.post("/job/4412/close", url.Values{"reason": {"customer had to leave"}}); status != 200 {
		t.Errorf("close with a reason: status %d", status)
	}
	summary, err := s.cfg.Journal.Summary(context.Background(), "4412")
	if err != nil || summary.Open {
		t.Errorf("the job is open (%v)", err)
	}
	if status, _ := s.post("/job/4412/close", url.Values{"reason": {"again"}}); status != http.StatusConflict {
		t.Errorf("close twice: status %d, want 409", status)
	}
	if status, _ := s.post("/job/4412/reopen", url.Values{"reason": {"one more receiver"}}); status != 200 {
		t.Errorf("reopen: status %d", status)
	}
}

func TestCloseoutIsLoggedWhenSaved(t *testing.T) {
	s := demoSite(t, "")
	head, n, err := s.cfg.Journal.Head(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if status, body := s.get("/job/4412/closeout"); status != 200 || !strings.Contains(body, "closeout of 4412") {
		t.Errorf("preview: status %d", status)
	}
	status, body := s.post("/job/4412/closeout", url.Values{"format": {"txt"}})
	if status != 200 || body != "closeout of 4412" {
		t.Errorf("save: status %d, %q", status, body)
	}
	records := s.records("4412")
	want := entry.Closeout{Head: head.String(), Count: n, Format: "txt"}
	if got := records[len(records)-1].Entry; got != want {
		t.Errorf("logged %+v, want %+v", got, want)
	}
	if status, _ := s.post("/job/4412/closeout", url.Values{"format": {"exe"}}); status != http.StatusNotFound {
		t.Errorf("a form that there is not: status %d, want 404", status)
	}
}

func TestPayAndQuality(t *testing.T) {
	s := demoSite(t, "close job")
	_, body := s.get("/records?pay=2026-W46")
	for _, want := range []string{"pay of 2026-W46", "quality of 2026-11"} {
		if !strings.Contains(body, want) {
			t.Errorf("the page does not show %q", want)
		}
	}
	if _, body := s.get("/records?pay=last"); !strings.Contains(body, "is not written as the label says") {
		t.Error("a week that is none is not refused")
	}
	if status, body := s.post("/records/quality", url.Values{"key": {"2026-11"}, "format": {"txt"}}); status != 200 || body != "quality of 2026-11" {
		t.Errorf("save: status %d, %q", status, body)
	}
	for _, key := range []string{"../../etc", "2026-1", ""} {
		if status, _ := s.post("/records/pay", url.Values{"key": {key}, "format": {"txt"}}); status != http.StatusNotFound {
			t.Errorf("key %q: status %d, want 404", key, status)
		}
	}
}

func TestPhotographs(t *testing.T) {
	j, p := newJournal(t), newParser(t)
	demo(t, j, p, "close job")
	cleaned := 0
	s := open(t, Config{Journal: j, Parser: p, CleanPhoto: func(b []byte) ([]byte, error) { cleaned++; return b, nil }}).in()
	attach := func(name string, file []byte, remark string) (int, string) {
		body, kind := multipartForm(t, name, file, map[string]string{"remark": remark})
		r := s.request("POST", "/job/4412/photographs", body)
		r.Header.Set("Content-Type", kind)
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		return s.do(r)
	}
	status, body := attach(`..\..\<b>clamp.png`, picture(t), "ground block dish side, corroded clamp")
	if status != 200 || cleaned != 1 {
		t.Fatalf("attach: status %d, cleaned %d times: %s", status, cleaned, body)
	}
	records := s.records("4412")
	photo, isPhoto := records[len(records)-1].Entry.(entry.Photo)
	if !isPhoto || photo.Name != "<b>clamp.png" || photo.Remark != "corroded clamp" || photo.At == nil || photo.At.Element != entry.GroundBlock {
		t.Errorf("kept %+v", photo)
	}
	status, got := s.get("/job/4412/photograph/" + photo.SHA256)
	if status != 200 || got != string(picture(t)) {
		t.Errorf("photograph: status %d, %d bytes", status, len(got))
	}
	for name, file := range map[string][]byte{"a page": []byte("<html><script>alert(1)</script>"), "nothing": nil} {
		if status, _ := attach(name, file, ""); status != http.StatusUnprocessableEntity {
			t.Errorf("%s: status %d, want 422", name, status)
		}
	}
	if status, _ := attach("huge.png", make([]byte, guard.PhotoLimit), ""); status != http.StatusRequestEntityTooLarge {
		t.Errorf("too large: status %d, want 413", status)
	}
}
