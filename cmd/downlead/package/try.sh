#!/bin/sh
# Installs the package in a minimal system, works a call there from start to
# closeout, removes it again: try.sh ROOT.tar PACKAGE.deb, as root.
set -eu
root=$(mktemp -d)
trap 'rm -rf "$root"' EXIT
tar -C "$root" -xf "$1"
cp "$2" "$root/tmp/downlead.deb"
cp /etc/resolv.conf "$root/etc/resolv.conf"
cat >"$root/tmp/try" <<'TRY'
set -eu
fail() { echo "package-test: $*" >&2; exit 1; }
show() { echo "\$ $*"; "$@"; }
export DEBIAN_FRONTEND=noninteractive PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/home/ana
useradd -m ana
apt-get -qq update
apt-get -qq install -y --no-install-recommends /tmp/downlead.deb >/tmp/apt.log 2>&1 || { cat /tmp/apt.log; fail "does not install"; }
[ -z "$(command -v go)" ] || fail "there is a compiler here"

for f in man/man1/downlead.1.gz man/man1/downlead-say.1.gz bash-completion/completions/downlead zsh/vendor-completions/_downlead \
	fish/vendor_completions.d/downlead.fish applications/downlead.desktop metainfo/org.example.downlead.metainfo.xml doc/downlead/copyright; do
	dpkg -L downlead | grep -qx "/usr/share/$f" || fail "$f is not in the package"
	# A minimal system may be told to leave manual pages out.
	case $f in man/*) ;; *) [ -s "/usr/share/$f" ] || fail "$f is empty" ;; esac
done
cat >/tmp/call <<'CALL'
set -eu
cd
say() { echo "\$ downlead say $*"; downlead say "$@"; }
echo '$ downlead setup --yes --name T-17 --threshold 75 --zone America/Denver'
downlead setup --yes --name T-17 --threshold 75 --zone America/Denver --mic skip
grep -q '^name = "T-17"' .config/downlead/technician.toml
say start job 1001
say on the road
say arrived
say behind receiver one, fail, minus sixty three
say ground block receiver side, fail, minus fifty four
say ground block dish side, pass, minus thirty six
echo '$ downlead diagnose'; downlead diagnose
say replaced ground block
say behind receiver one, pass, minus forty six, strength eighty one
say outlet pass
say receiver input test pass
say dish pass
say mount pass
say cabling pass
say components pass
say grounding pass
say education done
say leaving
say close job done
echo '$ downlead closeout --job 1001 --pdf 1001.pdf --json'; downlead closeout --job 1001 --pdf 1001.pdf
head -c 5 1001.pdf | grep -q %PDF-
downlead closeout --job 1001 | grep 'ground block' | head -3
downlead verify
downlead doctor
downlead __complete diagnose --job '' 2>/dev/null | grep -q 1001
CALL
su ana -c 'sh /tmp/call' || fail "the call"
dpkg --verify downlead 2>&1 | grep -v 'usr/share/\(man\|doc\)' && fail "files are not as packed"

apt-get -qq purge -y downlead >/dev/null 2>&1 || fail "is not removed"
[ ! -e /usr/bin/downlead ] || fail "the program stays after removal"
[ -s /home/ana/.local/share/downlead/journal.db ] || fail "the removal took the journal"
echo "package-test: installed, worked a call, removed; the journal stays"
TRY
chroot "$root" sh /tmp/try
