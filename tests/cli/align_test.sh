#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# `ohmglow align` as a user runs it, on the sample: what it prints and writes, and one clear line for
# bad input with the result folder untouched.
#   align_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"
files() { (cd "$1" && find . -type f -printf '%P\n' | LC_ALL=C sort | tr '\n' ' '); }

name="help"
run align --help
expect_code 0
expect_no_error
grep -q -e '--out DIR' "$work/stdout" || fail "$name: no --out"
[ "$(awk 'length > 100' "$work/stdout" | wc -l)" -eq 0 ] || fail "$name: wider than 100"

name="align"
run align "$sample" --out "$work/out"
expect_code 0
expect_no_error
[ "$(files "$work/out")" = "align.json align.png motion.csv residual.tiff static.tiff " ] ||
  fail "$name: the folder holds $(files "$work/out")"
[ "$(wc -l < "$work/stdout")" -le 15 ] || fail "$name: summary of more than 15 lines"
grep -q '^Registration ' "$work/stdout" || fail "$name: $(head -n 1 "$work/stdout")"

# One engine: `locate` must say the same of every frame.
name="the same motion"
run locate "$sample" --out "$work/located"
expect_code 0
cmp -s "$work/out/motion.csv" "$work/located/motion.csv" || fail "$name: locate and align differ"

name="again"
cp -r "$work/out" "$work/first"
run align "$sample" --out "$work/out"
expect_code 0
diff -r "$work/first" "$work/out" > "$work/diff" || fail "$name: $(cat "$work/diff")"

name="json"
run align "$sample" --json -
expect_code 0
cmp -s "$work/stdout" "$work/out/align.json" || fail "$name: not the file's text"

# Frames alone are enough: no supply log, no photo, no landmarks.
name="bare"
cp -r "$(dirname "$sample")" "$work/bare"
chmod -R u+w "$work/bare"
sed -i '/^log\|^photo\|^points\|^parts\|^contacts\|^clock/d' "$work/bare/case.ini"
run align "$work/bare/case.ini" --out "$work/bare-out"
expect_code 0
grep -q 'not tied to a photo' "$work/stdout" || fail "$name: does not say that there is no photo"

bad() { expect_refusal align "$@"; }
bad "no case"        2 'case file' -- --out "$work/new"
bad "two cases"      2 'case file' -- "$sample" "$sample" --out "$work/new"
bad "no output"      2 '--out' -- "$sample"
bad "unknown option" 2 'did you mean' -- "$sample" --oot "$work/new"
bad "missing case"   3 'none\.ini' -- "$work/none.ini" --out "$work/new"
bad "parent missing" 5 'no/out' -- "$sample" --out "$work/no/out"
mkdir "$work/strange"
echo holiday > "$work/strange/align.png"
bad "strange folder" 5 'strange' 'no result' -- "$sample" --out "$work/strange"
[ "$(cat "$work/strange/align.png")" = holiday ] || fail "strange folder: changed"
[ ! -e "$work/new" ] || fail "a refused run left a folder"

finish "align_test"
