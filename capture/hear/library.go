//go:build !novoice

package hear

import (
	"errors"
	"fmt"
	"sync"

	ort "github.com/yalue/onnxruntime_go"
)

// library counts who uses the runtime: it can be started once in a process.
var library struct {
	sync.Mutex
	users int
}

func openLibrary(path string) error {
	library.Lock()
	defer library.Unlock()
	if library.users == 0 {
		ort.SetSharedLibraryPath(path)
		if err := ort.InitializeEnvironment(ort.WithLogLevelFatal()); err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
	}
	library.users++
	return nil
}

func closeLibrary() {
	library.Lock()
	defer library.Unlock()
	if library.users--; library.users == 0 {
		_ = ort.DestroyEnvironment()
	}
}

// session loads a model. One thread: the first listener has the other core.
func session(path string, in, out []string) (*ort.DynamicAdvancedSession, error) {
	options, err := ort.NewSessionOptions()
	if err != nil {
		return nil, err
	}
	defer options.Destroy()
	if err := errors.Join(options.SetIntraOpNumThreads(1), options.SetInterOpNumThreads(1), options.SetCpuMemArena(false)); err != nil {
		return nil, err
	}
	return ort.NewDynamicAdvancedSession(path, in, out, options)
}

// Version names the model and the library that runs it; a Neural is open.
func Version() string { return "Moonshine tiny, English, in ONNX Runtime " + ort.GetVersion() }
