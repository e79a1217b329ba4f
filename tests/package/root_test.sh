#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Makes the Debian packages, unpacks them into a bare root folder, and uses what is there.
#   root_test.sh BUILD_DIR WORK_DIR VERSION CASE.ini CONSUMER.cc
set -euo pipefail
build=$1
work=$2
version=$3
case_file=$4
consumer=$5
failures=0
fail() { echo "FAILED: $*"; failures=$((failures + 1)); }
skip() { echo "SKIPPED: $*" >&2; }

rm -rf "$work"
mkdir -p "$work/unpacked" "$work/bare"
(cd "$build" && cpack -B "$work" > "$work/cpack.log") || { cat "$work/cpack.log"; exit 1; }
program=$(echo "$work"/ohmglow_"$version"_*.deb)
dev=$(echo "$work"/ohmglow-dev_"$version"_*.deb)
dpkg-deb -x "$program" "$work/bare"
dpkg-deb -x "$program" "$work/unpacked"
dpkg-deb -x "$dev" "$work/unpacked"

# What is in the packages, and what they ask for.
size_kb=$(du -sk "$work/bare" | cut -f1)
echo "the program's package takes $size_kb kB"
[ "$size_kb" -le 8192 ] || fail "the program's package takes $size_kb kB, more than 8 MB"
for wanted in libopencv-core libtiff libpango libc6 fonts-dejavu-core; do
  dpkg-deb -f "$program" Depends | grep -q "$wanted" || fail "the package does not depend on $wanted"
done
dpkg-deb -f "$dev" Depends | grep -q "ohmglow (= $version)" || fail "ohmglow-dev: not with its program"
[ "$(dpkg-deb -f "$program" Version)" = "$version" ] || fail "version of the package"
for file in doc/ohmglow/copyright doc/ohmglow/changelog.gz ohmglow/words/en.ini ohmglow/words/de.ini; do
  [ -s "$work/bare/usr/share/$file" ] || fail "no /usr/share/$file"
done
zcat "$work/bare/usr/share/doc/ohmglow/changelog.gz" | head -n 1 | grep -q "^ohmglow ($version) " ||
  fail "the changelog does not start with $version"
! find "$work/bare" -name '*.a' -o -name '*.h' | grep -q . || fail "libraries in the program's package"

# The program, from that root alone.
ohmglow="$work/bare/usr/bin/ohmglow"
[ "$("$ohmglow" --version | head -n 1)" = "ohmglow $version" ] || fail "version of the program"
"$ohmglow" locate "$case_file" --out "$work/result" > "$work/summary.txt" || fail "locate"
[ -s "$work/result/overlay.png" ] || fail "locate wrote no overlay.png"

# Every page is there, is found, and is rendered without a complaint.
for command in $("$ohmglow" --help | sed -nE 's/^  ([a-z]+) .*/\1/p' | grep -vx -e ohmglow -e help); do
  [ -s "$work/bare/usr/share/man/man1/ohmglow-$command.1" ] || fail "no page for $command"
done
for page in "$work"/bare/usr/share/man/man?/*; do
  groff -K utf8 -t -man -T utf8 -ww -z "$page" 2> "$work/groff.txt" || fail "$page: groff"
  [ ! -s "$work/groff.txt" ] || fail "$page: $(head -n 2 "$work/groff.txt")"
done
if command -v man > /dev/null; then
  MANPATH="$work/bare/usr/share/man" man -P cat ohmglow-locate > "$work/man.txt" 2>&1 ||
    fail "man ohmglow-locate"
  # On small machines man is replaced by a note that says how to get it.
  if grep -q 'NAME' "$work/man.txt"; then
    grep -q -e '--max-candidates' "$work/man.txt" || fail "man: no options"
  else
    skip "man shows no pages on this machine"
  fi
else
  skip "man is not installed"
fi

# Completion: parsed by each shell that is there, and used.
share="$work/bare/usr/share"
bash -n "$share/bash-completion/completions/ohmglow" || fail "bash completion"
complete_bash() {  # The words before the cursor, the last one unfinished.
  bash -c 'source "$1"; shift; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _ohmglow
    printf "%s " "${COMPREPLY[@]}"' _ "$share/bash-completion/completions/ohmglow" "$@"
}
[ "$(complete_bash ohmglow loc)" = "locate " ] || fail "bash: loc -> $(complete_bash ohmglow loc)"
[ "$(complete_bash ohmglow sheet --paper "")" = "a4 letter " ] || fail "bash: --paper"
[ "$(complete_bash ohmglow locate --oth)" = "--other-side " ] || fail "bash: --oth"
mkdir -p "$work/some folder"
[ "$(complete_bash ohmglow locate --out "$work/so")" = "$work/some folder " ] || fail "bash: --out"
if command -v zsh > /dev/null; then
  zsh -n "$share/zsh/vendor-completions/_ohmglow" || fail "zsh completion"
else
  skip "zsh is not installed"
fi
if command -v fish > /dev/null; then
  fish="$share/fish/vendor_completions.d/ohmglow.fish"
  fish -n "$fish" || fail "fish completion"
  fish -c "source '$fish'; complete -C 'ohmglow loc'" | grep -q '^locate' || fail "fish: loc"
else
  skip "fish is not installed"
fi

# A program of one's own by pkg-config, moved with its root.
export PKG_CONFIG_PATH="$work/unpacked/usr/lib/pkgconfig"
[ "$(pkg-config --modversion ohmglow)" = "$version" ] || fail "pkg-config: version"
# shellcheck disable=SC2046
g++ -std=c++20 -w -o "$work/consumer" "$consumer" $(pkg-config --cflags --libs ohmglow) &&
  "$work/consumer" "$version" || fail "a program built with pkg-config"

echo "root_test: $failures failures"
[ "$failures" -eq 0 ]
