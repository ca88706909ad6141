package main

import (
	"runtime/debug"
)

// release is the version of the product. Change it with the change log in
// DEVELOPERS.md.
const release = "0.1.0"

func version() string {
	v := release
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" && len(s.Value) >= 12 {
				v += "+" + s.Value[:12]
			}
		}
	}
	return v
}
