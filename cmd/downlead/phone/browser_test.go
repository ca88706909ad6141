package phone

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"downlead/cmd/downlead/axe"
	"downlead/cmd/downlead/browsertest"
)

// screen is the page in Debian's Chromium, whose microphone beeps.
type screen struct {
	t   testing.TB
	ctx context.Context
}

var chromium = browsertest.New(
	chromedp.Flag("ignore-certificate-errors", true), chromedp.Flag("use-fake-device-for-media-stream", true),
	chromedp.Flag("use-fake-ui-for-media-stream", true), // the page has the microphone without asking
	chromedp.Flag("autoplay-policy", "no-user-gesture-required"))

func TestMain(m *testing.M) { chromium.Main(m) }

// openScreen opens a page that shares nothing with others; before is a script
// that runs before the page's own.
func openScreen(t testing.TB, before string) *screen {
	t.Helper()
	ctx, stop := chromedp.NewContext(chromium.Open(t), chromedp.WithNewBrowserContext())
	t.Cleanup(stop)
	b := &screen{t, ctx}
	b.do(chromedp.EmulateViewport(412, 915))
	if before != "" {
		b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := chromedp.Call(ctx, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{Source: before})
			return err
		}))
	}
	return b
}

func (b *screen) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

func value[T any](b *screen, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

func (b *screen) until(expression string) {
	b.t.Helper()
	for end := time.Now().Add(30 * time.Second); ; time.Sleep(50 * time.Millisecond) {
		v, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](expression))
		if err == nil && v {
			return
		}
		if time.Now().After(end) {
			b.t.Fatalf("never came true: %s (%v)\n%s", expression, err, value[string](b, `document.body.innerText`))
		}
	}
}

func (b *screen) look(width, height int64, scheme string) {
	b.t.Helper()
	b.do(chromedp.EmulateViewport(width, height), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
		})
		return err
	}))
}

// invited opens the page by a fresh code.
func (b *screen) invited(s *served) {
	b.t.Helper()
	i, err := s.Invite()
	if err != nil {
		b.t.Fatal(err)
	}
	b.do(chromedp.Navigate(i.URL))
	b.until(`document.documentElement.dataset.state === "ready"`)
}

// realClock has a station follow the browser's clock.
func realClock() Config { return Config{Now: time.Now} }

// views are what the page may show.
func views() map[string]view {
	reading := view{
		Job: "4412", Heard: "ground block dish side pass minus thirty six strength eighty eight", Outcome: "taken", Verdict: "pass", Figure: "−36", Unit: "dBm",
		Point: "ground block, dish side", Answer: "Ground block dish side, pass, minus thirty six, strength eighty eight.",
		Next:     "Fault is in the ground block or its fittings. Mend the ground block or its fittings, then read behind receiver one again.", // as in the invented call
		Cautions: []string{"Ladder: firm and level, about 1 ft out for 4 ft up; three points of contact."},
		Log:      []line{{"on the road", "taken", "on the road"}, {"mumble", "unparsed", ""}},
	}
	asking := reading
	asking.Outcome, asking.Verdict, asking.Figure = "asked", "fail", "−52.5"
	asking.Question = "Did you say: splitter dish side, fail, minus fifty two point five, strength eighteen?"
	away := reading
	away.Away = "While you were away I kept three readings: wall plate, receiver side, fail, minus sixty; splitter, dish side, fail, minus fifty two point five; ground block, dish side, pass, minus forty one."
	away.Trouble = "This phone's clock is 3 h 0 min ahead of the machine's. Entries get the machine's time."
	return map[string]view{"fresh": {}, "reading": reading, "asking": asking, "away": away}
}

// TestLook has axe-core judge the page in every state, light and dark, and looks
// for what is wider than the screen or too small for a thumb. With
// DOWNLEAD_SHOTS naming a folder it leaves pictures there, to be looked at.
func TestLook(t *testing.T) {
	source := axe.Source(t)
	s := serveStation(t, realClock())
	b := openScreen(t, "")
	b.do(chromedp.Navigate(s.Address()))
	b.judge(source, "pair")
	b.invited(s)
	b.judge(source, "ready")
	value[bool](b, `document.getElementById("start").click(), true`)
	b.until(`document.documentElement.dataset.state === "listening"`)
	for name, v := range views() {
		s.mu.Lock()
		s.view = v
		s.mu.Unlock()
		s.show()
		want, _ := json.Marshal(v.Question + v.Away)
		b.until(fmt.Sprintf(`document.getElementById("question").textContent + document.getElementById("away").textContent === %s`, want))
		b.judge(source, name)
	}
	value[bool](b, `document.getElementById("holdmode").click(), true`)
	b.judge(source, "hold")
}

func (b *screen) judge(source, name string) {
	b.t.Helper()
	for _, look := range []struct {
		width, height int64
		scheme        string
	}{{360, 640, "light"}, {360, 640, "dark"}, {412, 915, "light"}, {412, 915, "dark"}, {740, 360, "light"}} {
		b.look(look.width, look.height, look.scheme)
		shot := fmt.Sprintf("%s-%dx%d-%s", name, look.width, look.height, look.scheme)
		b.picture(shot)
		value[bool](b, `document.querySelectorAll("details").forEach(d => { d.open = true; }), true`)
		if wide := value[int](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); wide > 0 {
			b.t.Errorf("%s is %d px too wide", shot, wide)
		}
		if small := value[string](b, `[...document.querySelectorAll("button, input:not([type=checkbox]), summary, .mode")].filter(e => e.offsetParent && e.getBoundingClientRect().height < 44).map(e => e.id || e.textContent).join(", ")`); small != "" {
			b.t.Errorf("%s: too small for a thumb: %s", shot, small)
		}
		value[bool](b, source+"; true")
		for _, found := range value[[]string](b, `axe.run(document, {resultTypes: ["violations"]}).then(r => r.violations.map(v =>
			v.id + " (" + v.impact + "): " + v.help + " " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 160) + " | " + n.failureSummary).join("; ")))`) {
			b.t.Errorf("%s: %s", shot, found)
		}
		value[bool](b, `document.querySelectorAll("details").forEach(d => { d.open = false; }), true`)
	}
}

func (b *screen) picture(name string) {
	b.t.Helper()
	shots := os.Getenv("DOWNLEAD_SHOTS")
	if shots == "" {
		return
	}
	png, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(shots, name+".png"), png, 0o600); err != nil {
		b.t.Fatal(err)
	}
}

// What a browser lacks or a technician refuses is said in clear words, and
// typing goes on.
func TestWithoutMicrophone(t *testing.T) {
	for name, tt := range map[string]struct{ before, want string }{
		"no AudioWorklet":     {`delete window.AudioWorkletNode`, "no AudioWorklet"},
		"an insecure page":    {`Object.defineProperty(window, "isSecureContext", {value: false})`, "begins with https"},
		"a refused one":       {`navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("no", "NotAllowedError"))`, "was refused. Allow it"},
		"none":                {`navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("no", "NotFoundError"))`, "gives no microphone"},
		"one that is in use":  {`navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException("no", "NotReadableError"))`, "another program may be using it"},
		"a browser's private": {`indexedDB.open = () => { throw new DOMException("no", "SecurityError"); }`, "keeps nothing"},
	} {
		t.Run(name, func(t *testing.T) {
			s := serveStation(t, realClock())
			b := openScreen(t, tt.before)
			b.invited(s)
			value[bool](b, `document.getElementById("start").click(), true`)
			b.until(fmt.Sprintf(`document.getElementById("trouble").textContent.includes(%q)`, tt.want))
		})
	}
}

// The page's resampler against the published figures that the program's own is
// held to: flat below 6.4 kHz, and nothing of what lies above 9.6 kHz (Kaiser
// and Schafer, IEEE Trans. ASSP 28, 1980, eq. 4).
func TestResampler(t *testing.T) {
	source, err := staticFiles.ReadFile("static/worklet.js")
	if err != nil {
		t.Fatal(err)
	}
	b := openScreen(t, "")
	value[bool](b, `globalThis.AudioWorkletProcessor = class {}; globalThis.registerProcessor = () => {}; globalThis.sampleRate = 48000; true`)
	value[bool](b, string(source)+`; globalThis.Resampler = Resampler; true`)
	for _, rate := range []int{48000, 44100, 16000} {
		for _, hz := range []float64{100, 1000, 3400, 6400, 9600, 12000, 20000} {
			if hz >= float64(rate)/2 {
				continue
			}
			// The level of a full tone's second half, in dB of what went in.
			level := value[float64](b, fmt.Sprintf(`(() => {
				const r = new Resampler(%d), out = [];
				for (let at = 0; at < %d; at += 128) r.process(Float32Array.from({length: 128}, (_, i) => Math.sin(2 * Math.PI * %g * (at + i) / %d)), v => out.push(v));
				const half = out.slice(out.length / 2);
				return 10 * Math.log10(2 * half.reduce((s, v) => s + v * v, 0) / half.length + 1e-20);
			})()`, rate, rate, hz, rate))
			t.Logf("%d Hz, tone of %g Hz: %.4f dB", rate, hz, level)
			switch {
			case hz <= 6400 && math.Abs(level) > 0.01:
				t.Errorf("%d Hz: a tone of %g Hz comes out at %.4f dB", rate, hz, level)
			case hz >= 9600 && level > -80:
				t.Errorf("%d Hz: a tone of %g Hz is left at %.1f dB", rate, hz, level)
			}
		}
	}
}

// A page that was reloaded, or crashed, hands over what it held.
func TestReloadLosesNothing(t *testing.T) {
	s := serveStation(t, realClock())
	b := openScreen(t, "")
	b.invited(s)
	value[bool](b, `document.getElementById("start").click(), true`)
	arrived := func() time.Duration {
		s.Sound.mu.Lock()
		defer s.Sound.mu.Unlock()
		return samplesLong(s.put)
	}
	await(t, func() bool { return arrived() > time.Second })
	// The machine does not say that anything is safe: the page keeps it all.
	b.do(chromedp.Reload())
	b.until(`document.documentElement.dataset.state === "ready"`)
	before := arrived()
	value[bool](b, `document.getElementById("start").click(), true`)
	await(t, func() bool { return arrived() > before+2*time.Second })
	s.Sound.mu.Lock()
	next, safe := s.next, s.safe
	s.Sound.mu.Unlock()
	if safe != 0 || next < 50 {
		t.Errorf("next %d, safe %d", next, safe)
	}
	// What the page holds is what came.
	if kept := value[int](b, `new Promise(done => { const o = indexedDB.open("downlead-phone", 1); o.onsuccess = () => { const q = o.result.transaction("frames").objectStore("frames").count(); q.onsuccess = () => { o.result.close(); done(q.result); }; }; })`); int64(kept) < next {
		t.Errorf("the page keeps %d frames, %d came", kept, next)
	}
	s.heard(arrived())
	await(t, func() bool {
		return value[int](b, `new Promise(done => { const o = indexedDB.open("downlead-phone", 1); o.onsuccess = () => { const q = o.result.transaction("frames").objectStore("frames").count(); q.onsuccess = () => { o.result.close(); done(q.result); }; }; })`) < 40
	})
}

func await(t testing.TB, ready func() bool) {
	t.Helper()
	for end := time.Now().Add(40 * time.Second); !ready(); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("never came true")
		}
	}
}

// What the link adds to the wire of a microphone and a loudspeaker, over
// loopback: from a sample at the page's microphone to its place in the queue,
// and from an answer's sound to its first sample at the page's loudspeaker.
func TestLatencyOfTheLink(t *testing.T) {
	s := serveStation(t, realClock())
	b := openScreen(t, "")
	b.invited(s)
	value[bool](b, `document.getElementById("start").click(), true`)
	next := func() (int64, time.Time) {
		n, _, _ := s.acknowledged()
		s.Sound.mu.Lock()
		defer s.Sound.mu.Unlock()
		return n, time.UnixMilli(int64(s.ends + s.offset))
	}
	var up, down []float64
	before, _ := next()
	listen, answers := 3*time.Second, 5
	if os.Getenv("DOWNLEAD_LONG") != "" { // enough for a p95
		listen, answers = 8*time.Second, 20
	}
	for end := time.Now().Add(listen); time.Now().Before(end); time.Sleep(500 * time.Microsecond) {
		if n, at := next(); n > before {
			before = n
			up = append(up, float64(time.Since(at).Microseconds())/1000)
		}
	}
	for range answers {
		asked := time.Now()
		s.sound(say{make([]int16, 1600), 0.8})
		var at float64
		await(t, func() bool {
			at = value[float64](b, `Number(document.documentElement.dataset.answered || 0)`)
			return at > float64(asked.UnixMilli())
		})
		down = append(down, at-float64(asked.UnixMicro())/1000)
		time.Sleep(400 * time.Millisecond)
	}
	if len(up) < 6*int(listen.Seconds()) {
		t.Errorf("only %d frames came in %v", len(up), listen)
	}
	t.Logf("up, end of a frame to the queue: p50 %.0f ms, p95 %.0f ms (n %d); down, answer to first sample: p50 %.0f ms, p95 %.0f ms (n %d)",
		quantile(up, .5), quantile(up, .95), len(up), quantile(down, .5), quantile(down, .95), len(down))
}

func quantile(v []float64, q float64) float64 {
	slices.Sort(v)
	return v[int(q*float64(len(v)-1))]
}
