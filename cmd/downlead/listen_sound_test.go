package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"downlead/capture"
	"downlead/capture/sound"
	"downlead/cmd/downlead/cli"
	"downlead/cmd/downlead/clitest"
	"downlead/journal"
	"downlead/journal/record"
)

func needs(t testing.TB, program, pkg string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Skipf("%s is not here: apt-get install %s", program, pkg)
	}
}

// soundServer starts a PulseAudio server whose one output is also its one
// microphone.
func soundServer(t *testing.T) {
	t.Helper()
	for program, pkg := range map[string]string{"pulseaudio": "pulseaudio", "paplay": "pulseaudio-utils", "flite": "flite"} {
		needs(t, program, pkg)
	}
	dir := t.TempDir()
	t.Setenv("XDG_RUNTIME_DIR", dir)
	t.Setenv("PULSE_SERVER", "unix:"+filepath.Join(dir, "socket"))
	start := func(name string, args ...string) {
		cmd := exec.Command(name, args...)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = cmd.Process.Kill(); _ = cmd.Wait() })
	}
	start("pulseaudio", "-n", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=-1",
		"-L", "module-native-protocol-unix socket="+filepath.Join(dir, "socket")+" auth-anonymous=1",
		"-L", "module-null-sink sink_name=lab rate=16000 channels=1 format=s16le")
	for range 100 {
		if exec.Command("pactl", "info").Run() == nil {
			// The monitor of an output that plays nothing gives nothing.
			start("pacat", "--latency-msec=40", "--device=lab", "--raw", "--rate=16000", "--channels=1", "--format=s16le", "/dev/zero")
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal("the sound server did not start")
}

// lockedBuffer is written by the command and read by the test.
type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// A phrase goes out of a loudspeaker, into the microphone, into the journal;
// its answer is spoken, and a recording of the room holds it.
func TestListenHearsKeepsAndAnswers(t *testing.T) {
	if testing.Short() {
		t.Skip("takes a quarter of a minute of real sound")
	}
	soundServer(t)
	room := filepath.Join(t.TempDir(), "room.wav")
	recording := exec.Command("parec", "--device=lab.monitor", "--rate=16000", "--channels=1", "--format=s16le", "--file-format=wav", room)
	if err := recording.Start(); err != nil {
		t.Fatal(err)
	}
	e, _, _ := clitest.Env(t, "")
	var out, errs lockedBuffer
	e.Out, e.Err, e.Now = &out, &errs, time.Now
	path := filepath.Join(t.TempDir(), "journal.db")
	if got := run(t.Context(), e, []string{"--journal", path, "say", "start job 61"}); got != cli.ExitDone {
		t.Fatalf("exit code %d: %s", got, errs.String())
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan int, 1)
	go func() { ended <- run(ctx, e, []string{"--journal", path, "listen", "--device", "monitor"}) }()
	wait(t, &errs, "listening", 20*time.Second)
	time.Sleep(2 * time.Second) // the monitor starts late
	speak(t, "ground block dish side, pass, minus thirty six")
	wait(t, &out, "Ground block dish side, pass, minus thirty six", 20*time.Second)
	time.Sleep(6 * time.Second) // while the answer is spoken it is deaf
	stop()
	if got := <-ended; got != cli.ExitInterrupted {
		t.Errorf("exit code %d, want %d: %s", got, cli.ExitInterrupted, errs.String())
	}
	_ = recording.Process.Signal(os.Interrupt)
	_ = recording.Wait()

	j, err := journal.Open(t.Context(), path, journal.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	records, err := j.Job(t.Context(), "61")
	if err != nil {
		t.Fatal(err)
	}
	if len(records) != 2 || records[1].Origin != record.Voice || records[1].Heard == nil || records[1].Clip != "" {
		t.Errorf("records %+v; want one more, by voice, with its figures and without its sound", records)
	}
	if heard := strings.Join(heardIn(t, room), "; "); strings.Count(heard, "ground block dish side pass") < 2 {
		t.Errorf("in the room: %q; want the phrase, and its answer that repeats it", heard)
	}
}

// wait waits until an output says something.
func wait(t *testing.T, out *lockedBuffer, want string, most time.Duration) {
	t.Helper()
	for end := time.Now().Add(most); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if strings.Contains(out.String(), want) {
			return
		}
	}
	t.Fatalf("after %v: %q, want %q", most, out.String(), want)
}

// speak plays a phrase to the room.
func speak(t *testing.T, text string) {
	t.Helper()
	wav := filepath.Join(t.TempDir(), "say.wav")
	if b, err := exec.Command("flite", "-voice", "slt", "-t", text, "-o", wav).CombinedOutput(); err != nil {
		t.Fatalf("flite: %v: %s", err, b)
	}
	if b, err := exec.Command("paplay", "--device=lab", wav).CombinedOutput(); err != nil {
		t.Fatalf("paplay: %v: %s", err, b)
	}
}

// heardIn recognises a recording with a grammar of its own.
func heardIn(t *testing.T, wav string) []string {
	t.Helper()
	r, err := capture.NewRecogniser(capture.Config{JSGF: `#JSGF V1.0;
grammar room;
public <heard> = ground block dish side pass minus thirty six | next measure behind the receiver;
`})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	src, err := sound.OpenFile(wav)
	if err != nil {
		t.Fatal(err)
	}
	defer src.Close()
	var heard []string
	for u, err := range capture.Listen(t.Context(), src, r, capture.ListenConfig{}) {
		if err != nil {
			break // the recorder leaves its header open-ended
		}
		heard = append(heard, u.Text)
	}
	return heard
}

// Set-up shows the level while it listens, and says what it heard.
func TestSetupTriesTheMicrophone(t *testing.T) {
	if testing.Short() {
		t.Skip("listens for ten seconds")
	}
	soundServer(t)
	e, _, _ := clitest.Env(t, "")
	var out, errs lockedBuffer
	e.Out, e.Err, e.ErrTTY, e.Now = &out, &errs, true, time.Now
	ended := make(chan int, 1)
	go func() { ended <- run(t.Context(), e, []string{"setup", "--yes", "--mic", "test"}) }()
	wait(t, &errs, "listening", 20*time.Second)
	time.Sleep(4 * time.Second)
	speak(t, "ground block dish side, pass, minus forty one")
	if got := <-ended; got != cli.ExitDone {
		t.Errorf("exit code %d: %s", got, errs.String())
	}
	if !strings.Contains(errs.String(), "\r[#####") {
		t.Errorf("the level stays down: %q", errs.String())
	}
	if !strings.Contains(out.String(), "speech -") {
		t.Errorf("nothing is said of the speech: %s", out.String())
	}
}
