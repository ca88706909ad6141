#!/bin/sh
# Renders the demo call's phrases as sound, with the free voice "slt" of flite:
# sound/LINE.wav for every line of call.txt that is spoken, 16 kHz mono. The
# address is typed on a real call too: no grammar lists the world's streets.
set -eu
cd "$(dirname "$0")"
rm -rf sound
mkdir sound
n=0
while read -r _ phrase; do
	n=$((n + 1))
	case "$phrase" in
	site\ *) continue ;;
	esac
	flite -voice slt -t "$phrase" -o "sound/$(printf %02d $n).wav"
done < call.txt
for word in yes no; do
	flite -voice slt -t "$word" -o "sound/$word.wav"
done
