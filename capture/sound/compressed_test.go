package sound

import (
	"bytes"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"downlead/capture/soundtest"
)

// FLAC is lossless (RFC 9639): what ffmpeg encodes comes back to the sample.
func TestFLACIsExactWithoutFFmpeg(t *testing.T) {
	soundtest.Needs(t, "ffmpeg", "ffmpeg")
	dir := t.TempDir()
	want := pcm16(sine(2*Rate, 1000, Rate))
	wav, path := filepath.Join(dir, "x.wav"), filepath.Join(dir, "x.flac")
	if err := os.WriteFile(wav, WAV(want), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("ffmpeg", "-v", "error", "-i", wav, path).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	t.Setenv("PATH", "")
	if got := readSound(t, path); !slices.Equal(got, want) {
		t.Errorf("%d samples differ from the %d encoded", len(got), len(want))
	}
}

func TestMP3WithoutFFmpeg(t *testing.T) {
	soundtest.Needs(t, "ffmpeg", "ffmpeg")
	dir := t.TempDir()
	wav, path := filepath.Join(dir, "x.wav"), filepath.Join(dir, "x.mp3")
	if err := os.WriteFile(wav, WAV(pcm16(sine(2*Rate, 1000, Rate))), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("ffmpeg", "-v", "error", "-i", wav, "-ar", "44100", path).CombinedOutput(); err != nil {
		t.Skipf("this ffmpeg cannot write MP3: %s", out)
	}
	t.Setenv("PATH", "")
	checkTone(t, path, 1000)
}

// FuzzCompressed reads damaged FLAC and MP3: an error, never a panic, and
// never without an end.
func FuzzCompressed(f *testing.F) {
	f.Add([]byte("fLaC\x00\x00\x00\x22"))
	f.Add([]byte("ID3\x04\x00\x00\x00\x00\x00\x00\xff\xfb\x90\x64"))
	if _, err := exec.LookPath("ffmpeg"); err == nil {
		f.Add(encoded(f, "-f", "flac"))
		f.Add(encoded(f, "-f", "mp3"))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		path := filepath.Join(t.TempDir(), "x")
		if !isFLAC(b) && !isMP3(b) {
			return
		}
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		file, err := OpenFile(path)
		if err != nil {
			return
		}
		defer file.Close()
		for total := 0; total < 1<<22; {
			n, err := file.Read(t.Context(), make([]int16, 1<<12))
			if err != nil {
				return
			}
			total += n
		}
	})
}

func TestCutFLAC(t *testing.T) {
	soundtest.Needs(t, "ffmpeg", "ffmpeg")
	out, err := exec.Command("ffmpeg", "-v", "error", "-f", "lavfi", "-i", "sine=1000:duration=3", "-f", "flac", "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	file, err := openFLAC(bytes.NewReader(out[:len(out)/2]))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := ReadAll(t.Context(), file); err == nil || err == io.EOF {
		t.Errorf("half a FLAC file read to its end without an error")
	}
}

// encoded is sound as ffmpeg writes it.
func encoded(t testing.TB, args ...string) []byte {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		t.Skip("install ffmpeg")
	}
	args = append([]string{"-v", "error", "-f", "lavfi", "-i", "sine=1000:duration=0.3"}, args...)
	out, err := exec.Command("ffmpeg", append(args, "-")...).Output()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// readToTheEnd reads sound and returns the error that ended it; a panic fails.
func readToTheEnd(t testing.TB, path string) error {
	t.Helper()
	file, err := OpenFile(path)
	if err != nil {
		return err
	}
	defer file.Close()
	for p := make([]int16, 1<<12); ; {
		if _, err := file.Read(t.Context(), p); err != nil {
			return err
		}
	}
}

// A FLAC file whose header says more channels than its frames have: eight, in
// the three bits of byte 20 (RFC 9639, section 8.2), over frames of one.
func TestFLACHeaderAgainstFrames(t *testing.T) {
	flac := encoded(t, "-ac", "1", "-f", "flac")
	flac[20] |= 0x0e
	path := filepath.Join(t.TempDir(), "x.flac")
	if err := os.WriteFile(path, flac, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := readToTheEnd(t, path); err == nil || err == io.EOF || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("read as %v", err)
	}
}

// Whatever bytes of a file are changed, it is an error or sound.
func TestDamagedCompressedSound(t *testing.T) {
	for name, b := range map[string][]byte{"flac": encoded(t, "-f", "flac"), "mp3": encoded(t, "-f", "mp3")} {
		random := rand.New(rand.NewPCG(1, 2))
		path := filepath.Join(t.TempDir(), "x")
		for range 150 {
			damaged := bytes.Clone(b)
			for range 1 + random.IntN(8) {
				at := random.IntN(len(damaged))
				if random.IntN(2) == 0 {
					at = random.IntN(min(len(damaged), 200))
				}
				damaged[at] = byte(random.Uint32())
			}
			if err := os.WriteFile(path, damaged, 0o600); err != nil {
				t.Fatal(err)
			}
			if err := readToTheEnd(t, path); err == nil {
				t.Errorf("%s: no end", name)
			}
		}
	}
}

func TestUnpanickedTurnsAPanicIntoAnError(t *testing.T) {
	if err := unpanicked(func() error { var b []byte; _ = b[len(b)]; return nil }); err == nil || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("unpanicked = %v", err)
	}
}

// ffmpeg is told what it reads: a playlist, which names other files and
// addresses, is not sound, whatever it is called.
func TestPlaylistsAreNotRead(t *testing.T) {
	dir := t.TempDir()
	other := filepath.Join(dir, "other.ogg")
	if err := os.WriteFile(other, encoded(t, "-f", "ogg"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := readToTheEnd(t, other); err != io.EOF {
		t.Fatalf("Ogg itself: %v", err)
	}
	for name, text := range map[string]string{
		"x.m3u8": "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\n" + other + "\n#EXT-X-ENDLIST\n",
		"x.ogg":  "ffconcat version 1.0\nfile other.ogg\n",
		"x.m4a":  "#EXTM3U\nfile:" + other + "\n",
		"x.sdp":  "v=0\nm=audio 5004 RTP/AVP 0\n",
		"x.mpd":  "<?xml version=\"1.0\"?><MPD></MPD>",
	} {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := OpenFile(path); err == nil || !strings.Contains(err.Error(), "cannot read it as sound") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
