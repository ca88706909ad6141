package capture

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// needs skips the test when a program is absent, naming the package to install.
func needs(t testing.TB, program, pkg string) {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Skipf("%s is not installed: apt-get install %s", program, pkg)
	}
}

// pulse starts a sound server of the test's own with one output that nobody
// hears, and makes it the one that is used. kill ends it at once.
func pulse(t testing.TB) (kill func()) {
	t.Helper()
	needs(t, "pulseaudio", "pulseaudio")
	dir := t.TempDir()
	t.Setenv("XDG_RUNTIME_DIR", dir)
	t.Setenv("PULSE_RUNTIME_PATH", dir)
	t.Setenv("HOME", dir)
	t.Setenv("PULSE_SERVER", "unix:"+filepath.Join(dir, "socket"))
	return startPulse(t, dir)
}

func startPulse(t testing.TB, dir string) (kill func()) {
	t.Helper()
	socket := filepath.Join(dir, "socket")
	cmd := exec.Command("pulseaudio", "-n", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=-1",
		"-L", "module-native-protocol-unix socket="+socket+" auth-anonymous=1",
		"-L", "module-null-sink sink_name=lab rate=16000 channels=1 format=s16le")
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() { _ = cmd.Wait(); close(ended) }()
	kill = func() {
		_ = cmd.Process.Kill()
		<-ended
		_ = os.Remove(socket)
	}
	t.Cleanup(kill)
	for range 100 {
		if exec.Command("pactl", "info").Run() == nil {
			return kill
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatal("the sound server did not start")
	return nil
}

func TestSpokenAnswerHeardBack(t *testing.T) {
	pulse(t)
	needs(t, "flite", "flite")
	r := pointsRecogniser(t)
	mic, err := OpenMicrophone(MicrophoneConfig{})
	if err != nil {
		t.Fatal(err)
	}
	defer mic.Close()
	v, err := NewVoice(VoiceConfig{})
	if err != nil {
		t.Fatal(err)
	}
	defer v.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	const said = "ground block dish side pass minus forty one"
	spoken := make(chan error, 1)
	go func() { spoken <- v.Say(ctx, said) }()
	for u, err := range Listen(ctx, mic, r, ListenConfig{}) {
		if err != nil {
			t.Fatal(err)
		}
		if u.Text != said {
			t.Errorf("heard %q, want %q", u.Text, said)
		}
		if got := DefaultThresholds().Decide(u.Scores); got != Accept {
			t.Errorf("%v for %+v, want accept", got, u.Scores)
		}
		break
	}
	if err := <-spoken; err != nil && !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}
