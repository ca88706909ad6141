#!/bin/sh
# Builds for other machines than this one: cross.sh FOLDER, from the top of the
# repository. ROOT is a Debian for arm64 to link against, ZIG a command that
# compiles for macOS, TEST the packages whose tests are compiled, too.
set -eu
out=$1
mkdir -p "$out"
out=$(cd "$out" && pwd)
root=$(cd "$ROOT" && pwd -P)

lib=/usr/lib/aarch64-linux-gnu

# all ARGUMENT...: look the whole over, build the program, compile tests. What
# sets the target stands in the environment.
all() {
	name=$1
	shift
	echo "== $name: vet"
	go vet "$@" ./...
	echo "== $name: build"
	go build "$@" -ldflags "-s -w ${LINK:-}" -o "$out/$name" ./cmd/downlead
	echo "== $name: tests of $TEST"
	mkdir -p "$out/$name.tests"
	# shellcheck disable=SC2086 # several packages
	go test -c "$@" -ldflags "${LINK:+-w $LINK}" -o "$out/$name.tests/" $TEST
}

# One setting for all steps: C is compiled once for each machine.
export CGO_ENABLED=1 GOFLAGS="${GOFLAGS:--trimpath}"
# With voice: the recogniser's library is that of Debian for arm64.
(
	export GOOS=linux GOARCH=arm64 CC="aarch64-linux-gnu-gcc --sysroot=$root"
	export PKG_CONFIG_SYSROOT_DIR="$root" PKG_CONFIG_LIBDIR="$root/usr/lib/aarch64-linux-gnu/pkgconfig:$root/usr/share/pkgconfig"
	# Two libraries lie where only an installation would link them from.
	LINK="-extldflags '-Wl,-rpath-link,$root$lib/blas:$root$lib/lapack'"
	all downlead-linux-arm64
)
# Without voice: typed, the page, the records.
(
	export GOOS=windows GOARCH=amd64 CC=x86_64-w64-mingw32-gcc
	all downlead-windows-amd64.exe -tags novoice
)
sh cmd/downlead/package/macstubs.sh "$out/stubs"
(
	export GOOS=darwin GOARCH=arm64 CC="$ZIG cc -target aarch64-macos"
	LINK="-extldflags '-F$out/stubs -L$out/stubs'"
	all downlead-darwin-arm64 -tags novoice
)

# The arm64 program for real, in an emulator: a call, typed, and its record.
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
export HOME="$tmp" XDG_DATA_HOME="$tmp" XDG_CONFIG_HOME="$tmp" QEMU_LD_PREFIX="$root"
run() { echo "\$ downlead $*" && qemu-aarch64-static -E "LD_LIBRARY_PATH=$lib/blas:$lib/lapack" "$out/downlead-linux-arm64" "$@"; }
run say start job 1001
run say behind receiver one, fail, minus sixty three
run say ground block receiver side, fail, minus fifty four
run say ground block dish side, pass, minus thirty six
run diagnose
run closeout --pdf "$tmp/1001.pdf" 2>/dev/null
head -c 5 "$tmp/1001.pdf" | grep -q %PDF-
run verify
