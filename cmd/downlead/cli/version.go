package cli

import "runtime/debug"

// Release is the version of the product. Change it with the change log,
// package/changelog.yaml.
const Release = "0.1.0"

func Version() string {
	v := Release
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" && len(s.Value) >= 12 {
				v += "+" + s.Value[:12]
			}
		}
	}
	return v
}
