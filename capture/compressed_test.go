package capture

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
)

// FLAC is lossless (RFC 9639): what ffmpeg encodes comes back to the sample.
func TestFLACIsExactWithoutFFmpeg(t *testing.T) {
	needs(t, "ffmpeg", "ffmpeg")
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
	needs(t, "ffmpeg", "ffmpeg")
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
	needs(t, "ffmpeg", "ffmpeg")
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
