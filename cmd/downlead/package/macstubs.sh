#!/bin/sh
# Lists, for a linker that has no macOS SDK, the functions of macOS that Go's own
# library calls, as it names them: macstubs.sh FOLDER. Only names are in there:
# the functions are found on the Mac that runs the program.
set -eu
out=$1
root=$(go env GOROOT)/src
stub() { # file on the Mac, stub
	mkdir -p "$(dirname "$out/$2")"
	{
		echo '--- !tapi-tbd'
		echo 'tbd-version: 4'
		echo 'targets: [ arm64-macos, x86_64-macos ]'
		echo "install-name: '$1'"
		echo 'exports:'
		echo '  - targets: [ arm64-macos, x86_64-macos ]'
		printf '    symbols: ['
		# What is named in cgo_import_dynamic.
		grep -rh --include='*.go' "cgo_import_dynamic .*\"$1\"" "$root/crypto" "$root/net" "$root/internal/syscall" "$root/runtime" |
			awk '{print $3}' | sort -u | awk '{printf "%s _%s", n++ ? "," : "", $1}'
		echo ' ]'
		echo '...'
	} >"$out/$2"
}
stub /System/Library/Frameworks/CoreFoundation.framework/Versions/A/CoreFoundation CoreFoundation.framework/CoreFoundation.tbd
stub /System/Library/Frameworks/Security.framework/Versions/A/Security Security.framework/Security.tbd
stub /usr/lib/libresolv.9.dylib libresolv.tbd
