package main

import (
	"bytes"
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"downlead/capture/sound"
	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
	"downlead/grammar/entry"
	"downlead/journal"
	"downlead/journal/record"
	"downlead/testdata/demo"
)

// opening is the silence at the beginning of a recording: the browser's fake
// microphone runs from when it is opened, and a starved page is late to listen.
const opening = 4 * time.Second

// callSound is a recording of phrases of the demo call, from the n-th on, each
// with the silence after it that a person leaves.
func callSound(t testing.TB, gap time.Duration, phrases ...int) (file string, samples []int16) {
	t.Helper()
	samples = make([]int16, int(opening.Seconds()*sound.Rate))
	for _, n := range phrases {
		b, err := demo.Sound.ReadFile(fmt.Sprintf("sound/%02d.wav", n))
		if err != nil {
			t.Fatal(err)
		}
		src, err := sound.NewWAV(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		said, err := sound.ReadAll(t.Context(), src)
		if err != nil {
			t.Fatal(err)
		}
		samples = append(append(samples, said...), make([]int16, int(gap.Seconds()*sound.Rate))...)
	}
	samples = append(samples, make([]int16, 6*sound.Rate)...) // the browser stops before its file does
	file = filepath.Join(t.TempDir(), "call.wav")
	if err := os.WriteFile(file, sound.WAV(samples), 0o600); err != nil {
		t.Fatal(err)
	}
	return file, samples
}

// phoneRun is a listener with a phone, in this process.
type phoneRun struct {
	t       testing.TB
	journal string
	home    string
	out     lockedBuffer
	errs    lockedBuffer
	stop    context.CancelFunc
	ended   chan int
	port    int
}

// startPhone starts downlead listen --phone; again on the same port and with
// the same folders where before is not nil.
func startPhone(t testing.TB, before *phoneRun, args ...string) *phoneRun {
	t.Helper()
	p := &phoneRun{t: t, ended: make(chan int, 1)}
	if before != nil {
		p.home, p.journal, p.port = before.home, before.journal, before.port
	} else {
		p.home = t.TempDir()
		p.journal = filepath.Join(p.home, "journal.db")
	}
	p.seldomAsks()
	e := cli.SystemEnv()
	e.In, e.Out, e.Err, e.InTTY, e.OutTTY, e.ErrTTY = strings.NewReader(""), &p.out, &p.errs, false, false, false
	e.Getenv = func(name string) string {
		switch name {
		case "HOME":
			return p.home
		case "XDG_DATA_HOME", "XDG_CONFIG_HOME":
			return ""
		}
		return os.Getenv(name)
	}
	var ctx context.Context
	ctx, p.stop = context.WithCancel(context.Background())
	all := append([]string{"--journal", p.journal, "listen", "--phone", "--address", "127.0.0.1", "--port", fmt.Sprint(p.port)}, args...)
	go func() { p.ended <- run(ctx, e, all) }()
	t.Cleanup(func() { p.end() })
	for end := time.Now().Add(60 * time.Second); p.url() == ""; time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("the listener did not start: %s", p.errs.String())
		}
	}
	fmt.Sscanf(p.url(), "https://127.0.0.1:%d/", &p.port)
	return p
}

// seldomAsks lets a number stand whose rival is near: the sound that a browser hands on,
// its echo taken out, is another every time, and the margin of "start job four four one
// two" is now above the usual limit and now below it.
func (p *phoneRun) seldomAsks() {
	p.t.Helper()
	dir := filepath.Join(p.home, ".config", "downlead")
	err := os.MkdirAll(dir, 0o700)
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, "listen.toml"), []byte("[thresholds]\nmargin = -400\n"), 0o600)
	}
	if err != nil {
		p.t.Fatal(err)
	}
}

var pageURL = regexp.MustCompile(`https://\S+#[A-Z0-9]+`)

func (p *phoneRun) url() string { return pageURL.FindString(p.errs.String()) }

// end stops the listener and waits for it.
func (p *phoneRun) end() {
	p.stop()
	select {
	case code := <-p.ended:
		p.ended <- code
	case <-time.After(time.Minute):
		p.t.Error("the listener does not end")
	}
}

// entries are what counts in the journal, of the job that the call starts.
func (p *phoneRun) entries() []string { return entriesOf(p.t, p.journal) }

func entriesOf(t testing.TB, file string) []string {
	t.Helper()
	ctx := context.Background()
	j, err := journal.Open(ctx, file, journal.Options{ReadOnly: true})
	if err != nil {
		return nil
	}
	defer j.Close()
	records, err := j.Job(ctx, "4412")
	if err != nil {
		return nil
	}
	var out []string
	for _, r := range record.Current(records) {
		raw, err := entry.Encode(r.Entry)
		if err != nil {
			t.Error(err)
		}
		out = append(out, string(raw))
	}
	return out
}

// fromFile is what listen --file makes of the same sound.
func fromFile(t testing.TB, wav string) []string {
	t.Helper()
	e, _, errs := clitest.Env(t, "")
	file := filepath.Join(t.TempDir(), "file.db")
	if code := run(t.Context(), e, []string{"--journal", file, "listen", "--file", wav, "--mute"}); code != cli.ExitDone {
		t.Fatalf("exit code %d: %s", code, errs)
	}
	return entriesOf(t, file)
}

// fakePhone is Chromium with a recording as its microphone.
type fakePhone struct {
	t   testing.TB
	ctx context.Context
}

func newFakePhone(t testing.TB, wav string, more ...chromedp.ExecAllocatorOption) *fakePhone {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed: the phone's page is not tested in a browser (apt-get install chromium)")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("ignore-certificate-errors", true), chromedp.Flag("hide-scrollbars", true),
		chromedp.Flag("use-fake-device-for-media-capture", true), chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true),
		chromedp.Flag("use-file-for-fake-audio-capture", wav+"%noloop"), chromedp.Flag("autoplay-policy", "no-user-gesture-required"))
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), append(options, more...)...)
	ctx, stop := chromedp.NewContext(alloc)
	t.Cleanup(func() { stop(); stopAlloc() })
	b := &fakePhone{t: t, ctx: ctx}
	b.do(chromedp.EmulateViewport(412, 915))
	return b
}

func (b *fakePhone) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

func (b *fakePhone) text(id string) string {
	b.t.Helper()
	s, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](fmt.Sprintf(`(document.getElementById(%q) || {}).textContent || ""`, id)))
	if err != nil {
		b.t.Fatal(err)
	}
	return s
}

// until waits until an expression is true in the page.
func (b *fakePhone) until(most time.Duration, expression string) {
	b.t.Helper()
	for end := time.Now().Add(most); ; time.Sleep(50 * time.Millisecond) {
		v, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](expression))
		if err == nil && v {
			return
		}
		if time.Now().After(end) {
			body, _ := chromedp.Run(b.ctx, chromedp.Evaluate[string](`document.body.innerText`))
			b.t.Fatalf("never came true: %s (%v)\n%s", expression, err, body)
		}
	}
}

// pair opens the address of the QR code and waits for the page.
func (b *fakePhone) pair(url string) {
	b.t.Helper()
	b.do(chromedp.Navigate(url))
	b.until(20*time.Second, `document.documentElement.dataset.state === "ready"`)
}

func (b *fakePhone) click(id string) {
	b.t.Helper()
	b.until(5*time.Second, fmt.Sprintf(`(() => { const e = document.getElementById(%q); if (!e || e.hidden) return false; e.click(); return true; })()`, id))
}

// held is how many seconds of sound the page still keeps.
const held = `(async () => { const db = await new Promise(r => { const o = indexedDB.open("downlead-phone", 1); o.onsuccess = () => r(o.result); });
	const n = await new Promise(r => { const q = db.transaction("frames").objectStore("frames").count(); q.onsuccess = () => r(q.result); }); db.close(); return n / 25; })()`

func (b *fakePhone) held() float64 {
	b.t.Helper()
	n, err := chromedp.Run(b.ctx, chromedp.Evaluate[float64](held, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatal(err)
	}
	return n
}

// beginning are phrases of the demo call that raise no question.
var beginning = []int{1, 7, 10, 11, 12, 13, 18}

// waitEntries waits until the journal has as many entries as are wanted, and
// compares them.
func (p *phoneRun) waitEntries(want []string, most time.Duration) {
	p.t.Helper()
	var got []string
	for end := time.Now().Add(most); time.Now().Before(end); time.Sleep(200 * time.Millisecond) {
		if got = p.entries(); len(got) >= len(want) {
			break
		}
	}
	time.Sleep(time.Second) // what would come twice comes now
	if got = p.entries(); !slices.Equal(got, want) {
		p.t.Errorf("entries:\n%s\nwant:\n%s\n%s\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"), p.out.String(), p.errs.String())
	}
}

// The demo call's first phrases go through a browser's microphone, over the
// link and into the journal: the same entries as from the file, whatever the
// link does meanwhile. The tests wait for real sound; two of them do it together,
// and no more, as a browser that is starved loses sound of its own.
func TestPhone(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a minute of real sound")
	}
	long := os.Getenv("DOWNLEAD_LONG") != ""
	beginning := beginning
	if !long {
		beginning = beginning[:5] // three until the link is cut, and two after
	}
	wav, _ := callSound(t, 1500*time.Millisecond, beginning...)
	want := fromFile(t, wav)
	if len(want) != len(beginning) {
		t.Fatalf("the file gives %d entries: %q", len(want), want)
	}
	t.Run("gives what the file gives", func(t *testing.T) {
		if !long {
			t.Skip("the cut link gives the same, and more: make phone")
		}
		some, _ := callSound(t, 1500*time.Millisecond, beginning[:4]...)
		phoneGives(t, some, want[:4])
	})
	cuts := []time.Duration{time.Second}
	if long {
		cuts = append(cuts, 30*time.Second, 300*time.Second)
	}
	for _, cut := range cuts {
		t.Run("link cut for "+cut.String(), func(t *testing.T) {
			t.Parallel()
			phoneLinkCut(t, wav, want, cut)
		})
	}
	t.Run("delay and loss", func(t *testing.T) {
		if !long {
			t.Skip("takes minutes: make phone")
		}
		t.Parallel()
		phoneDelayAndLoss(t, wav, want)
	})
	t.Run("full disk", func(t *testing.T) {
		t.Parallel()
		some, _ := callSound(t, 1500*time.Millisecond, beginning[:3]...)
		phoneFullDisk(t, some, want[:3])
	})
}

func phoneGives(t *testing.T, wav string, want []string) {
	p := startPhone(t, nil, "--mute")
	b := newFakePhone(t, wav)
	b.pair(p.url())
	b.click("start")
	p.waitEntries(want, 90*time.Second)
	b.showsFigure()
}

// showsFigure waits until the page shows the level that was read last.
func (b *fakePhone) showsFigure() {
	b.t.Helper()
	b.until(5*time.Second, `document.getElementById("figure").textContent.startsWith("−")`)
	b.t.Log("on the page: ", b.text("state"), b.text("figure"), b.text("heard"), b.text("next"))
}

// The machine is gone in the middle of the call, and comes back: the page goes
// on recording, hands over what it holds, and nothing is lost or doubled.
func phoneLinkCut(t *testing.T, wav string, want []string, cut time.Duration) {
	p := startPhone(t, nil, "--mute")
	b := newFakePhone(t, wav)
	b.pair(p.url())
	b.click("start")
	for end := time.Now().Add(60 * time.Second); len(p.entries()) < 3 && time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
	}
	b.showsFigure() // of the third
	p.end()
	b.until(20*time.Second, `document.documentElement.dataset.state !== "listening"`)
	time.Sleep(cut)
	t.Logf("after %v the page says %q and holds %.1f s", cut, b.text("trouble"), b.held())
	again := startPhone(t, p, "--mute")
	again.waitEntries(want, 120*time.Second)
	b.until(30*time.Second, `document.getElementById("away").textContent !== "" || document.getElementById("log").children.length > 0`)
	t.Logf("then: %q\n%s", b.text("away"), p.out.String())
}

// A link with 200 ms of delay each way, on which every twentieth piece comes half
// a second later, as one that was lost and sent again: nothing is lost or doubled.
// A relay stands in for the kernel's emulation, which needs a module of its own.
func phoneDelayAndLoss(t *testing.T, wav string, want []string) {
	p := startPhone(t, nil, "--mute")
	relay, passed := slowRelay(t, p.port)
	b := newFakePhone(t, wav, chromedp.Flag("host-resolver-rules", fmt.Sprintf("MAP 127.0.0.1:%d 127.0.0.1:%d", p.port, relay)))
	b.pair(p.url())
	b.click("start")
	p.waitEntries(want, 150*time.Second)
	if passed.Load() < 200 {
		t.Errorf("only %d pieces went over the slow link", passed.Load())
	}
	t.Logf("%d pieces; the page: %s %s", passed.Load(), b.text("state"), b.text("figure"))
}

// slowRelay hands connections on to a port of this machine, late.
func slowRelay(t testing.TB, to int) (port int, passed *atomic.Int64) {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	passed = &atomic.Int64{}
	go func() {
		for {
			from, err := l.Accept()
			if err != nil {
				return
			}
			on, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", to))
			if err != nil {
				from.Close()
				continue
			}
			go late(on, from, passed)
			go late(from, on, passed)
		}
	}()
	return l.Addr().(*net.TCPAddr).Port, passed
}

// late copies what comes to another connection, in order, late.
func late(dst, src net.Conn, passed *atomic.Int64) {
	type piece struct {
		at    time.Time
		bytes []byte
	}
	pieces := make(chan piece, 1<<14)
	go func() {
		defer dst.Close()
		for p := range pieces {
			time.Sleep(time.Until(p.at))
			if _, err := dst.Write(p.bytes); err != nil {
				return
			}
		}
	}()
	defer close(pieces)
	for buf := make([]byte, 1400); ; {
		n, err := src.Read(buf)
		if err != nil {
			return
		}
		delay := 200 * time.Millisecond
		if passed.Add(1)%20 == 0 {
			delay += 500 * time.Millisecond
		}
		pieces <- piece{time.Now().Add(delay), bytes.Clone(buf[:n])}
	}
}

// The disk of the machine is full: the page says so and keeps what was said, and
// with space again the listener hears it.
func phoneFullDisk(t *testing.T, wav string, want []string) {
	disk := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", disk).CombinedOutput(); err != nil {
		t.Skipf("a disk of its own cannot be mounted here (root is needed): %v %s", err, out)
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", disk).CombinedOutput(); err != nil {
			t.Errorf("umount: %v %s", err, out)
		}
	})
	p := startPhone(t, &phoneRun{home: t.TempDir(), journal: filepath.Join(disk, "journal.db")}, "--mute")
	ballast := filepath.Join(disk, "ballast")
	if err := os.WriteFile(ballast, make([]byte, 4<<20), 0o600); err == nil {
		t.Fatal("the disk is not full")
	}
	b := newFakePhone(t, wav)
	b.pair(p.url())
	b.click("start")
	b.until(60*time.Second, `document.getElementById("trouble").textContent.includes("free some space")`)
	if got := p.entries(); len(got) > 0 {
		t.Errorf("kept on a full disk: %q", got)
	}
	if code := <-p.ended; code != cli.ExitFailed {
		t.Errorf("the listener ended with %d", code)
	}
	p.ended <- cli.ExitFailed
	for end := time.Now().Add(40 * time.Second); b.held() < 10 && time.Now().Before(end); time.Sleep(time.Second) {
	}
	t.Logf("the page says %q and holds %.1f s; the machine: %s", b.text("trouble"), b.held(), p.errs.String())
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	startPhone(t, p, "--mute").waitEntries(want, 90*time.Second)
}
