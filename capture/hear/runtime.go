package hear

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// ErrMissing is wrapped by the error for a folder without the second listener.
var ErrMissing = errors.New("it is not here; fetch it with: downlead setup --yes --second fetch")

// ErrLeftOut is the error of Open in a build with -tags novoice.
var ErrLeftOut = errors.New("this build leaves the second listener out")

// Files of the folder.
const (
	encoderFile   = "encoder_model.ort"
	decoderFile   = "decoder_model_merged.ort"
	tokenizerFile = "tokenizer.bin"
	libraryFile   = "libonnxruntime.so"
)

// sums are the SHA-256 of the files that the measurements were made with. The
// library differs by processor; set-up checks the package that it comes in.
func sums() map[string]string {
	return map[string]string{
		encoderFile:   "94e90a4654fc45cdfedb77c4c08e1739f48862998e58fada384b25118134f221",
		decoderFile:   "cf524c4862d36e9e5ab032eddc73637efd822d70e868ac575cf1a46e1e4708a0",
		tokenizerFile: "6884b35fd6377d4c4d32336a0bc152f36b64d1e45b6503683cdc238250a8472d",
	}
}

// Folder is where set-up puts the second listener: $DOWNLEAD_HEAR, or
// downlead/hear under the user's data folder.
func Folder() string {
	if dir := os.Getenv("DOWNLEAD_HEAR"); dir != "" {
		return dir
	}
	data := os.Getenv("XDG_DATA_HOME")
	if data == "" {
		home, _ := os.UserHomeDir()
		data = filepath.Join(home, ".local", "share")
	}
	return filepath.Join(data, "downlead", "hear")
}

// check checks the sum of a file of the folder.
func check(dir, name string) error {
	f, err := os.Open(filepath.Join(dir, name))
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%w (%v)", ErrMissing, err)
	}
	if err != nil {
		return err
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, f); err != nil {
		return err
	}
	if hex.EncodeToString(sum.Sum(nil)) != sums()[name] {
		return fmt.Errorf("%s is damaged or another version: remove %s, then: downlead setup --yes --second fetch", f.Name(), dir)
	}
	return nil
}
