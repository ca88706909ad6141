#!/bin/sh
# Builds the Debian package into a folder: build.sh FOLDER. Run from the top of
# the repository, with NFPM and LICENCES (a folder, gathered before) set.
set -eu
out=$1
ARCH=${ARCH:-$(dpkg --print-architecture)}
VERSION=$(sed -n 's/^const Release = "\(.*\)"/\1/p' cmd/downlead/cli/version.go)
# The last commit dates every file, so that the same commit gives the same bytes.
SOURCE_DATE_EPOCH=${SOURCE_DATE_EPOCH:-$(git log -1 --format=%ct)}
STAGE=$(mktemp -d)
trap 'rm -rf "$STAGE"' EXIT
umask 022
export ARCH VERSION SOURCE_DATE_EPOCH STAGE

# BINARY is one that was built before, for another processor.
if [ -n "${BINARY:-}" ]; then
	cp "$BINARY" "$STAGE/downlead"
else
	go build -trimpath -ldflags '-s -w -buildid=' -o "$STAGE/downlead" ./cmd/downlead
fi
mkdir "$STAGE/man"
cp cmd/downlead/man/*.1 "$STAGE/man"
gzip -9n "$STAGE"/man/*
# Another processor's binary cannot be asked: the one built for here can.
tool=${TOOL:-$STAGE/downlead}
"$tool" completion bash >"$STAGE/downlead.bash"
"$tool" completion zsh >"$STAGE/_downlead"
"$tool" completion fish >"$STAGE/downlead.fish"
(
	echo "downlead, $VERSION"
	echo "Source: https://downlead.example.org"
	echo
	cat LICENSE
	cd "$LICENCES"
	find . -type f | LC_ALL=C sort | while read -r f; do
		printf '\n%s\n' "-- Inside the program: ${f#./} --"
		echo
		# Debian's rule for this licence: a pointer, and the notices beside it.
		if grep -q '^ *Apache License' "$f" && grep -q 'TERMS AND CONDITIONS FOR USE' "$f"; then
			echo "Apache License, Version 2.0: see /usr/share/common-licenses/Apache-2.0"
			tr -d '\r' <"$f" | sed '/^ *Apache License/,/END OF TERMS AND CONDITIONS/d;/^ *APPENDIX: How to apply/,/identification within third-party archives/d'
		else
			tr -d '\r' <"$f"
		fi
	done
) >"$STAGE/copyright"
mkdir -p "$out"
$NFPM package --config cmd/downlead/package/nfpm.yaml --packager deb --target "$out/"
