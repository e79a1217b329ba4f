#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# A shelf of small cases as a user runs it: folders, summary, resuming, bad cases, parts and merging.
#   program_test.sh PROGRAM SIMULATE DESCRIPTION.ini
set -euo pipefail
program=$1
simulate=$2
description=$3
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
source "$here/../cli/check.sh"
source "$here/shelf.sh"
shelf=$work/shelf
out=$work/out

make_case "$shelf/f2" 1
make_case "$shelf/f10" 2
make_case "$shelf/tue/f1" 3
cp -r "$shelf/f2" "$shelf/bad"
echo "[nonsense]" >> "$shelf/bad/case.ini"
title="=HYPERLINK(\"x\") <script>alert(1)</script>"
sed -i "1s|.*|title = \"$title\"|" "$shelf/f10/case.ini"
printf 'title = @%s\n' "$(head -c 1000000 /dev/zero | tr '\0' '<')" > "$work/huge"
sed 1d "$shelf/tue/f1/case.ini" >> "$work/huge"
cp "$work/huge" "$shelf/tue/f1/case.ini"

name="options"
run batch "$shelf" --out "$out" --shard 3/2
expect_code 2
expect_one_line "--shard" "2/3"
run batch "$shelf" --list x --out "$out"
expect_code 2
run batch --merge --jobs 2 "$out" --out "$out"
expect_code 2
run batch "$work/none" --out "$out"
expect_code 3
expect_one_line "is no folder"
run batch "$shelf" --out "$work/none/out"
expect_code 5
expect_one_line "make it first"
[ ! -e "$out" ] || fail "options: made the folder"

name="first run"
run batch "$shelf" --out "$out" --jobs 2
expect_code 6
[ "$(cat "$work/stderr")" = "ohmglow: 1 of 4 cases failed: bad; see the summary" ] ||
  fail "first run: $(cat "$work/stderr")"
expect_text '^4 cases, 2 at a time'
expect_text '^Memory of one: at most'
expect_text '^f2: [A-Z]'
expect_text '^bad: FAILED: case.ini, line [0-9]+: unknown section'
expect_text '^4 cases: 3 done, 1 failed, 0 unchanged'
[ "$(cut -d, -f1 "$out/summary.csv" | uniq | tr '\n' ' ')" = "case bad f2 f10 tue/f1 " ] ||
  fail "first run: order: $(cut -d, -f1 "$out/summary.csv" | uniq | tr '\n' ' ')"
[ "$(find "$out" -name '*.partial*' | wc -l)" -eq 0 ] || fail "first run: leftovers"
grep -q "'=HYPERLINK" "$out/summary.csv" || fail "first run: a formula in summary.csv"
grep -qE '(^|,)"?[=@+]' "$out/summary.csv" && fail "first run: a cell begins as a formula"
grep -q '<script>alert' "$out/index.html" && fail "first run: a script from a title in index.html"
[ "$(stat -c %s "$out/index.html")" -lt 30000 ] || fail "first run: index.html is huge"
python3 "$here/check_page.py" "$out" || fail "first run: index.html"

name="as locate"
run locate "$shelf/f2/case.ini" --out "$work/single"
expect_code 0
for file in "$work/single"/*; do
  cmp "$file" "$out/f2/$(basename "$file")" || fail "as locate: differs"
done

name="second run"
cp -r "$out" "$work/before"
run batch "$shelf" --out "$out" --jobs 1
expect_code 6
expect_text '^f2: unchanged, skipped\.'
expect_text '^bad: FAILED, unchanged, skipped: '
expect_text '^4 cases: 0 done, 1 failed, 3 unchanged'
expect_same "$work/before" "$out" "two runs"

name="changed input and option"
echo "; a note" >> "$shelf/f2/case.ini"
run batch "$shelf" --out "$out"
expect_text '^4 cases: 1 done, 1 failed, 2 unchanged'
run batch "$shelf" --out "$out" --max-candidates 1
expect_text '^4 cases: 3 done, 1 failed, 0 unchanged'
[ "$(grep -c '^f2,' "$out/summary.csv")" -eq 1 ] || fail "option: more than one row of f2"
sed -i '/a note/d' "$shelf/f2/case.ini"

name="spoilt and healed"
mv "$shelf/f2/supply.csv" "$work/aside.csv"
run batch "$shelf" --out "$out"
expect_code 6
expect_text '^f2: FAILED: supply.csv: '
[ "$(ls "$out/f2" | tr '\n' ' ')" = "error.json inputs.json " ] || fail "spoilt: the old result is shown"
mv "$work/aside.csv" "$shelf/f2/supply.csv"
rm "$out/f10/map.png"
run batch "$shelf" --out "$out"
expect_text '^4 cases: 2 done, 1 failed, 1 unchanged'
expect_same "$work/before" "$out" "healed and undisturbed run"

name="a folder without case.ini"
mkdir "$shelf/bare"
cp "$shelf/f2/frames.tiff" "$shelf/bare/"
run batch "$shelf" --out "$out" --jobs 1
expect_code 6
grep -q '^ohmglow: 1 folder was left out, as said at the start' "$work/stderr" ||
  fail "$name: $(cat "$work/stderr")"
rm -r "$shelf/bare"

name="other files"
echo "mine" > "$work/mine"
mkdir "$work/page"
cp "$work/mine" "$work/page/index.html"
run batch "$shelf" --out "$work/page"
expect_code 5
expect_one_line "index.html" "not of ohmglow"
cmp "$work/mine" "$work/page/index.html" || fail "other files: overwritten"

name="a folder that cannot be written"
mkdir "$work/blocked"
cp "$work/mine" "$work/blocked/f10"
run batch "$shelf" --out "$work/blocked"
expect_code 5
grep -q 'f10: is a file' "$work/stderr" || fail "$name: $(cat "$work/stderr")"
expect_text '^4 cases: 2 done, 2 failed, 0 unchanged'
[ "$(grep -c ',missing,' "$work/blocked/summary.csv")" -eq 1 ] || fail "$name: no row 'missing'"
expect_same "$work/before/f2" "$work/blocked/f2" "the other cases"

name="list"
(cd "$shelf" && printf 'f10\ntue/f1/case.ini\n') > "$work/list"
code=0
(cd "$shelf" && "$program" batch --list - --out "$work/listed") < "$work/list" > "$work/stdout" || code=$?
expect_code 0
expect_same "$work/before/f10" "$work/listed/f10" "cases of list and folder"
expect_same "$work/before/tue/f1" "$work/listed/tue/f1" "cases of list and folder"

name="parts by GNU parallel"
code=0
parallel --will-cite -j 2 "$program" batch "$shelf" --out "$work/part{}" --shard {}/3 --jobs 1 \
  ::: 1 2 3 > "$work/stdout" 2> "$work/stderr" || code=$?
[ "$code" -eq 1 ] || fail "parts: exit code $code, not 1 (one part has the bad case): $(cat "$work/stderr")"
[ "$(cat "$work"/part?/summary.csv | cut -d, -f1 | grep -vx case | sort -u | wc -l)" -eq 4 ] ||
  fail "parts: not every case once"
run batch --merge "$work/part3" "$work/part1" --out "$work/merged"
expect_code 3
expect_one_line "part 2 of 3 is not among"
for again in 1 2; do
  run batch --merge "$work/part3" "$work/part1" "$work/part2" --out "$work/merged"
  expect_code 6
  expect_same "$work/before" "$work/merged" "merged parts and single run"
done
run batch --merge "$work/part1" "$work/part2" "$work/part3" --out "$work/part1"
expect_code 5
expect_one_line "is one of the folders"
sed -i 's/"bad"/"..\/..\/x"/' "$work"/part?/summary.json
run batch --merge "$work/part3" "$work/part1" "$work/part2" --out "$work/merged2"
expect_code 3
expect_one_line "summary.json" "name"

name="stopped"
setsid "$program" batch "$shelf" --out "$work/stopped" --again --jobs 2 > "$work/stdout" 2> "$work/stderr" &
process=$!
sleep 0.5
kill -INT "$process" 2> /dev/null || kill -TERM "$process"
code=0
wait "$process" || code=$?
# A shell's background process may be told to ignore SIGINT; then it has run to its end.
[ "$code" -eq 130 ] || [ "$code" -eq 143 ] || [ "$code" -eq 6 ] || fail "stopped: exit code $code"
[ "$(find "$work/stopped" -name '*.partial-*' | wc -l)" -eq 0 ] || fail "stopped: leftovers"

finish "batch program_test"
