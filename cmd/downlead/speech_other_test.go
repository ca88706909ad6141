package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"downlead/capture/sound"
)

// Speech that is no phrase: human prompts, descriptions of pictures and a
// spoken story of Debian's packages, and sentences of testdata/speech.

// humanPrompts are human speech that is no phrase.
func humanPrompts(most int) []said {
	var out []said
	_ = filepath.WalkDir(humanSounds, func(path string, d fs.DirEntry, err error) error {
		for _, other := range []string{"digits", "letters", "phonetic", "silence", "beep", "tone"} {
			if strings.Contains(path, other) {
				return nil
			}
		}
		if err == nil && filepath.Ext(path) == ".g722" && len(out) < most {
			out = append(out, said{
				id: filepath.Base(path), voice: "human prompts", noise: "quiet",
				sound: func(t testing.TB) []int16 { return padded(readSound(t, path)) },
			})
		}
		return nil
	})
	return out
}

// unphrases are the sentences of a file of testdata/speech, by every voice in turn.
func unphrases(t testing.TB, file string, rounds int) []said {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "speech", file+".txt"))
	if err != nil {
		t.Fatal(err)
	}
	names := voiceNames()
	var out []said
	for round := range rounds {
		for i, text := range strings.Split(strings.TrimSpace(string(b)), "\n") {
			if strings.HasPrefix(text, "#") {
				continue
			}
			voice := names[(i+round)%len(names)]
			out = append(out, said{
				id: voice + text, voice: file, noise: "quiet",
				sound: func(t testing.TB) []int16 { return padded(voiced(t, voice, text, 1)) },
			})
		}
	}
	return out
}

// humanDescriptions are English descriptions of pictures and names of things,
// read by people, of Debian's tuxpaint-stamps-default and ktuberling-data.
func humanDescriptions() []said {
	var out []said
	for root, want := range map[string]func(name string) bool{
		"/usr/share/tuxpaint/stamps":      func(name string) bool { return strings.HasSuffix(name, "_desc.ogg") },
		"/usr/share/ktuberling/sounds/en": func(name string) bool { return true },
	} {
		_ = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err == nil && d.Type().IsRegular() && want(d.Name()) {
				out = append(out, said{
					id: path, voice: "human descriptions", noise: "quiet",
					sound: func(t testing.TB) []int16 { return padded(readSound(t, path)) },
				})
			}
			return nil
		})
	}
	return out
}

// humanExclamations are what the figures of a game call out, one word to a dozen, by
// some ten people, of Debian's hedgewars-data; voices of other languages are left out.
func humanExclamations() []said {
	const root = "/usr/share/games/hedgewars/Data/Sounds/voices"
	var out []said
	for _, voice := range []string{"British", "Classic", "Default", "HillBilly", "Mobster", "Pirate", "Robot", "Russian", "Singer", "Surfer"} {
		files, _ := filepath.Glob(filepath.Join(root, voice, "*.ogg"))
		for _, path := range files {
			out = append(out, said{
				id: voice + "/" + filepath.Base(path), voice: "human exclamations", noise: "quiet",
				sound: func(t testing.TB) []int16 { return padded(readSound(t, path)) },
			})
		}
	}
	return out
}

// storyFile holds the spoken lines of Debian's flight-of-the-amazon-queen.
const storyFile = "/usr/share/scummvm/flight-of-the-amazon-queen/queen.1c"

// humanStory are the lines of a spoken story by several actors, four hours. The
// file begins with 13 bytes and the number of entries; then comes for each
// its name in 12 bytes, one byte, offset and size; the lines are MP3s.
func humanStory(t testing.TB) []said {
	t.Helper()
	b, err := os.ReadFile(storyFile)
	if err != nil {
		t.Skip("apt-get install flight-of-the-amazon-queen")
	}
	var out []said
	const entry = 12 + 1 + 4 + 4
	for table := b[15:]; bytes.IndexByte(table[:12], '.') > 0; table = table[entry:] {
		name := strings.TrimRight(string(table[:12]), "\x00")
		from, size := binary.BigEndian.Uint32(table[13:]), binary.BigEndian.Uint32(table[17:])
		if !strings.HasSuffix(name, ".SB") {
			continue
		}
		out = append(out, said{
			id: name, voice: "human story", noise: "quiet",
			sound: func(t testing.TB) []int16 { return padded(decoded(t, b[from:from+size])) },
		})
	}
	return out
}

// decoded decodes a sound file's bytes with ffmpeg.
func decoded(t testing.TB, file []byte) []int16 {
	t.Helper()
	cmd := exec.Command("ffmpeg", "-loglevel", "error", "-i", "-", "-f", "s16le", "-ac", "1", "-ar", fmt.Sprint(sound.Rate), "-")
	cmd.Stdin = bytes.NewReader(file)
	raw, err := cmd.Output()
	if err != nil {
		t.Fatalf("ffmpeg: %v", err)
	}
	samples := make([]int16, len(raw)/2)
	for i := range samples {
		samples[i] = int16(binary.LittleEndian.Uint16(raw[2*i:]))
	}
	return samples
}
