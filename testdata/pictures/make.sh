#!/bin/sh
# Makes the README's pictures from the program itself, on the invented call:
#   make.sh PROGRAM FOLDER PHONE.png
# It needs chromium and pdftoppm. The picture of the phone is one of those that
# the phone's own browser test leaves.
set -eu
program=$1 out=$2 phone=$3
call=$(dirname "$0")/../demo/call.txt
tmp=$(mktemp -d)
tour=
trap '[ -z "$tour" ] || kill "$tour"; rm -rf "$tmp"' EXIT
export HOME="$tmp" XDG_CONFIG_HOME= XDG_DATA_HOME= DOWNLEAD_JOURNAL="$tmp/call.db" TZ=America/Denver

# The review page, as the tour shows it once the fault is found.
"$program" tour --no-open --at 14 >"$tmp/address" &
tour=$!
until [ -s "$tmp/address" ]; do sleep 0.2; done
chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --force-color-profile=srgb --user-data-dir="$tmp/browser" \
	--window-size=1100,1000 --screenshot="$tmp/review.png" --timeout=20000 "$(head -1 "$tmp/address")" >/dev/null 2>&1
kill "$tour"
tour=
cp "$tmp/review.png" "$out/review.png"
cp "$phone" "$out/phone.png"

# The terminal, as drawing: what is known of the fault at the same place.
head -14 "$call" | "$program" say - >/dev/null
{ echo '$ downlead diagnose'; "$program" diagnose; echo; echo '$ downlead path'; "$program" path; } >"$tmp/terminal.txt"
awk '
	function plain(s) { gsub(/&/, "\\&amp;", s); gsub(/</, "\\&lt;", s); return s }
	{ line[NR] = $0; if (length($0) > wide) wide = length($0) }
	END {
		w = int(wide * 7.85 + 34); h = NR * 18 + 28
		printf "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\" role=\"img\" aria-label=\"downlead diagnose and downlead path in a terminal\">\n", w, h, w, h
		printf "<rect width=\"%d\" height=\"%d\" rx=\"6\" fill=\"#1b1f24\"/>\n<g font-family=\"ui-monospace, monospace\" font-size=\"13\" fill=\"#e6e6e6\" xml:space=\"preserve\">\n", w, h
		for (i = 1; i <= NR; i++) printf "<text x=\"16\" y=\"%d\"%s>%s</text>\n", i * 18 + 12, line[i] ~ /^\$/ ? " fill=\"#9ecbff\"" : "", plain(line[i])
		print "</g>\n</svg>"
	}' "$tmp/terminal.txt" >"$out/terminal.svg"

# The first page of the closeout, once the call is over.
tail -n +15 "$call" | "$program" say - >/dev/null
"$program" closeout --job 4412 --pdf "$tmp/closeout.pdf" --quiet
pdftoppm -r 70 -gray -png -singlefile "$tmp/closeout.pdf" "$out/closeout"
