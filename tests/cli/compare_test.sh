#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# `ohmglow compare` as a user runs it: what it prints and writes, and one clear line for bad input
# with the result folder untouched. The second capture is a copy of the sample.
#   compare_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
before=$2
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"
cp -r "$(dirname "$before")" "$work/second"
chmod -R u+w "$work/second"
after=$work/second/case.ini
files() { (cd "$1" && find . -type f -printf '%P\n' | LC_ALL=C sort | tr '\n' ' '); }

cat > "$work/regions.csv" <<'TABLE'
name,x_mm,y_mm,width_mm,height_mm
U2 cooler,20,20,12,10
"pad, left",35,25,4,4
off the board,500,500,3,3
TABLE

name="help"
run compare --help
expect_code 0
expect_no_error
grep -q -e '--regions FILE' "$work/stdout" || fail "$name: no --regions"
[ "$(awk 'length > 100' "$work/stdout" | wc -l)" -eq 0 ] || fail "$name: wider than 100"

name="compare"
run compare "$before" "$after" --out "$work/out" --regions "$work/regions.csv"
expect_code 0
expect_no_error
[ "$(files "$work/out")" = "after.tiff before.tiff compare.json compare.png " ] ||
  fail "$name: the folder holds $(files "$work/out")"
[ "$(wc -l < "$work/stdout")" -le 15 ] || fail "$name: summary of more than 15 lines"
# Characters, not bytes: there are signs beyond ASCII.
python3 -c 'import sys; sys.exit(max(map(len, open(sys.argv[1], encoding="utf-8"))) > 101)' "$work/stdout" ||
  fail "$name: summary wider than 100"
grep -q '^Undecided' "$work/stdout" || fail "$name: $(head -n 1 "$work/stdout")"
grep -q 'same capture' "$work/stdout" || fail "$name: does not say that both are one capture"
grep -q '^U2 cooler ' "$work/stdout" || fail "$name: no regions in the summary"

# The same capture twice: nothing has changed, the maps say so, and it is no verdict on any work.
python3 - "$work/out" <<'PYTHON' || fail "$name: compare.json"
import json, sys
folder = sys.argv[1]
result = json.load(open(folder + "/compare.json"))
assert result["verdict"] == "undecided", result["verdict"]
first = result["places"][0]
assert first["name"] == "A" and first["suspect"] and first["change"] == "unchanged", first
assert abs(first["ratio"] - 1) < 0.1, first
assert abs(result["registration"]["rotation_deg"]) < 0.05, result["registration"]
names = [r["name"] for r in result["regions"]]
assert names == ["U2 cooler", "pad, left", "off the board"], names
assert abs(result["regions"][0]["before"]["mean_c"] - result["regions"][0]["after"]["mean_c"]) < 0.01
assert "before" not in result["regions"][2]
sizes = [len(open(folder + "/" + result["maps"][k], "rb").read()) for k in ("before", "after")]
assert sizes[0] == sizes[1] > 1000, sizes
PYTHON

name="json"
run compare "$before" "$after" --json - --regions "$work/regions.csv" --threads 1
expect_code 0
expect_no_error
cmp -s "$work/stdout" "$work/out/compare.json" || fail "$name: differs from compare.json"

name="only regions"
sed -i '/^log/d' "$after"
run compare "$before" "$after" --out "$work/out" --regions "$work/regions.csv"
expect_code 0
expect_no_error
# The maps of the older result are not left beside the new one.
[ "$(files "$work/out")" = "compare.json compare.png " ] || fail "$name: the folder holds $(files "$work/out")"
grep -q '^Regions of the board' "$work/stdout" || fail "$name: $(head -n 1 "$work/stdout")"
python3 -c 'import json, sys; r = json.load(open(sys.argv[1])); sys.exit("maps" in r or r["places"] != [] or r["verdict"] != "undecided")' \
  "$work/out/compare.json" || fail "$name: compare.json"

name="beside other results"
cp "$(dirname "$before")/case.ini" "$after"
mkdir "$work/both"
echo '{"program": {"name": "ohmglow"}}' > "$work/both/result.json"
echo older > "$work/both/overlay.png"
run compare "$before" "$after" --out "$work/both"
expect_code 0
[ "$(files "$work/both")" = "after.tiff before.tiff compare.json compare.png overlay.png result.json " ] ||
  fail "$name: the folder holds $(files "$work/both")"
[ "$(cat "$work/both/overlay.png")" = older ] || fail "$name: overlay.png was changed"

# bad NAME EXIT_CODE PATTERN... -- ARGUMENTS: one line, and neither a new result nor a lost one.
older=$work/older
mkdir "$older"
echo '{"program": {"name": "ohmglow"}, "mark": "older"}' > "$older/compare.json"
echo older > "$older/compare.png"
num_bad=0
bad() {
  num_bad=$((num_bad + 1))
  expect_refusal compare "$@"
  if [ "$(files "$older")" != "compare.json compare.png " ] || ! grep -qx older "$older/compare.png" ||
    [ -e "$work/new" ] || compgen -G "$work/*.partial-*" > /dev/null; then
    fail "$name: a result folder was made or changed"
  fi
}
table() { printf 'name,x_mm,y_mm,width_mm,height_mm\n%b' "$2" > "$work/$1.csv"; }
broken() { # broken NAME 'COMMANDS': a copy of the case, changed.
  rm -rf "$work/$1"
  cp -r "$(dirname "$before")" "$work/$1"
  chmod -R u+w "$work/$1"
  (cd "$work/$1" && eval "$2")
}

bad "no case"           2 'two case files' -- --out "$older"
bad "one case"          2 'two case files' -- "$before" --out "$older"
bad "three cases"       2 'too much' "'c.ini'" -- "$before" "$after" c.ini --out "$older"
bad "no out"            2 'give --out DIR' -- "$before" "$after"
bad "json to a file"    2 '--json' -- "$before" "$after" --json a.json
bad "unknown option"    2 "'--region'" "'--regions'" -- "$before" "$after" --out "$older" --region a.csv
bad "out of range"      2 'max-candidates' '1 to' -- "$before" "$after" --out "$older" --max-candidates 0
bad "no first case"     3 'no/case\.ini' -- "$work/no/case.ini" "$after" --out "$older"
bad "no second case"    3 'no/case\.ini' -- "$before" "$work/no/case.ini" --out "$older"
mkdir "$work/empty"
bad "second is an empty folder" 3 'where are the frames' -- "$before" "$work/empty" --out "$work/new"
bad "no regions file"   3 'none\.csv' '--regions' -- "$before" "$after" --out "$older" --regions "$work/none.csv"
table word 'a,1,1,2,2\nb,left,1,2,2\n'
bad "region no number"  3 'word\.csv, row 3, column x_mm' 'left' -- "$before" "$after" --out "$older" --regions "$work/word.csv"
table zero 'a,1,1,0,2\n'
bad "region of no size" 3 'zero\.csv, row 2, column width_mm' 'above 0' -- "$before" "$after" --out "$work/new" --regions "$work/zero.csv"
table twice 'a,1,1,2,2\na,4,4,2,2\n'
bad "region twice"      3 'twice\.csv, row 3, column name' 'row 2' -- "$before" "$after" --out "$older" --regions "$work/twice.csv"
table unnamed ' ,1,1,2,2\n'
bad "region no name"    3 'unnamed\.csv, row 2, column name' -- "$before" "$after" --out "$older" --regions "$work/unnamed.csv"
table empty ''
bad "no regions"        3 'empty\.csv' '0 regions' -- "$before" "$after" --out "$older" --regions "$work/empty.csv"
broken bottom 'sed -i "s/^side *=.*/side = bottom/" case.ini'
bad "another side"      4 'side' -- "$before" "$work/bottom/case.ini" --out "$older"
broken silent 'sed -i "/^log/d" case.ini'
bad "no supply log"     4 'supply' -- "$before" "$work/silent/case.ini" --out "$older"
broken unmapped 'sed -i "/^points/d; /^parts/d" case.ini'
bad "regions, no board" 4 'regions' 'landmarks' -- "$work/unmapped/case.ini" "$after" --out "$older" --regions "$work/regions.csv"
: > "$work/file"
bad "out is a file"     5 "$work/file" 'is a file' -- "$before" "$after" --out "$work/file"
bad "parent missing"    5 'no/out' -- "$before" "$after" --out "$work/no/out"
mkdir "$work/strange"
echo holiday > "$work/strange/compare.png"
bad "strange folder"    5 'strange' 'no result' -- "$before" "$after" --out "$work/strange"
[ "$(cat "$work/strange/compare.png")" = holiday ] || fail "strange folder: changed"

finish "compare_test: $num_bad bad inputs"
