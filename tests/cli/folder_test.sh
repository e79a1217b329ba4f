#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# A folder in place of a case file, as a user has it: `ohmglow new`, `check` and `locate` on the sample's
# files under other names.
#   folder_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"
from=$(dirname "$sample")

mkdir -p "$work/bench/pics"
cp "$from/frames.tiff" "$work/bench/REC0007.tiff"
cp "$from/frames.csv" "$work/bench/times of the frames.csv"
cp "$from/supply.csv" "$work/bench/psu export.csv"
cp "$from/photo.png" "$work/bench/pics/IMG_4711.png"
cp "$from/points.csv" "$from/parts.csv" "$from/contacts.csv" "$work/bench"
echo "shorted rail, second try" > "$work/bench/notes.txt"
chmod -R u+w "$work/bench"
# What no file says: the unit of the counts, and two things that the sample states.
printf '[frames]\nscale = 0.025\nzero = 273.15\n[board]\nthickness_mm = 1.2\n[surface]\nreflected_c = 20.8\nfilm_w_m2k = 8.2\n' \
  > "$work/bench/case.ini"

# The sample's case.ini says mm_per_pixel as well; from the landmarks it comes out alike.
name="locate"
run locate "$work/bench" --json - --threads 1
expect_code 0
expect_no_error
cp "$work/stdout" "$work/folder.json"
grep -q '"frames.source = REC0007.tiff (found' "$work/folder.json" || fail "$name: not said under assumed"
grep -q '"board.photo = pics/IMG_4711.png (found' "$work/folder.json" || fail "$name: no photo"
run locate "$sample" --json - --threads 1
first() { grep -m 1 '"ref"' "$1"; }
[ "$(first "$work/folder.json")" = "$(first "$work/stdout")" ] || fail "$name: another part"

# A result among the files is no input the next time, nor is a folder of results.
name="result beside the input"
run locate "$work/bench" --out "$work/bench/out" --threads 1
expect_code 0
run check "$work/bench"
expect_code 7
grep -q 'photo .*IMG_4711' "$work/stdout" || fail "$name: $(cat "$work/stdout")"

name="new does not overwrite"
before=$(cat "$work/bench/case.ini")
run new "$work/bench"
expect_code 5
expect_one_line 'case\.ini' 'already'
[ "$(cat "$work/bench/case.ini")" = "$before" ] || fail "$name: changed"

name="new"
rm "$work/bench/case.ini"
run new "$work/bench"
expect_no_error
[ -f "$work/bench/case.ini" ] || fail "$name: no case file"
grep -q '^source = REC0007.tiff' "$work/bench/case.ini" || fail "$name: $(cat "$work/bench/case.ini")"
grep -q 'IMG_4711.png *(the only colour picture' "$work/stdout" || fail "$name: $(cat "$work/stdout")"
[ "$(awk 'length > 102' "$work/stdout" "$work/bench/case.ini" | wc -l)" -eq 0 ] || fail "$name: wider than 100"

name="a question"
rm "$work/bench/case.ini"
cp "$from/supply.csv" "$work/bench/other.csv"
run locate "$work/bench" --json -
expect_code 3
expect_one_line 'other.csv and psu export.csv' '--log'
run new "$work/bench"
expect_code 7
grep -q '^Question: which of other.csv and psu export.csv' "$work/stdout" || fail "$name: $(cat "$work/stdout")"
grep -q 'OPEN: which' "$work/bench/case.ini" || fail "$name: not in the case file"

name="a list nobody can read and two photos"
rm -f "$work/bench/case.ini" "$work/bench/other.csv"
printf 'Kennung;Ost;Nord\nC1;1,5;2,5\nU1;30,5;22,5\nU1;31;4\nC5;31;4\n' > "$work/bench/parts.csv"
cp "$from/photo.png" "$work/bench/pics/other side.png"
printf '[frames]\nscale = 0.025\nzero = 273.15\n' > "$work/bench/case.ini"
run locate "$work/bench" --out "$work/bench/out" --threads 1
expect_code 0
for wanted in '^Note: No photo is used: which of pics/IMG_4711.png and pics/other side.png' \
    '^Note: No parts list is used: .*parts.csv, row 1' '^- Caution' ; do
  grep -q "$wanted" "$work/stdout" || fail "$name: $wanted in $(cat "$work/stdout")"
done
run check "$work/bench"
expect_code 7
grep -q '^- No parts list is used' "$work/stdout" || fail "$name: $(cat "$work/stdout")"
grep -q '^  column *time_s *time in s, from some start' "$work/stdout" || fail "$name: no columns"

name="no log"
rm -f "$work/bench/case.ini" "$work/bench/other.csv" "$work/bench/psu export.csv"
printf 'x' > "$work/bench/odd"$'\n\e'"name.txt"
run new "$work/bench"
expect_code 7
grep -q 'Question: .*' "$work/stdout" || fail "$name: $(cat "$work/stdout")"
grep -q 'OPEN: which currents were set' "$work/bench/case.ini" || fail "$name: not in the case file"
tr '\n' ' ' < "$work/bench/case.ini" | grep -q -e '--levels "0 0.5 0"' || fail "$name: no option named"
# Counts whose scale nothing tells: lines to uncomment, and the option that says the same.
grep -q '^; OPEN: the first frame.s median' "$work/bench/case.ini" || fail "$name: no scale asked for"
for line in '; scale = 0.01' '; zero = 273.15' '; unit = relative'; do
  grep -qx -e "$line" "$work/bench/case.ini" || fail "$name: no '$line' in $(cat "$work/bench/case.ini")"
done
sed -i '/^parts = /d; s/^; unit = relative/unit = relative/' "$work/bench/case.ini"
run check "$work/bench" --levels '0 0.5 1 1.5'
expect_code 7
rm "$work/bench/case.ini"
run locate "$work/bench" --json - --threads 1
expect_code 3
expect_one_line 'scale = 0.01 and zero = 273.15' '--unit "0.01 273.15"' '--unit relative'
run check "$work/bench" --unit '0.025 273.15'
expect_code 7
grep -q 'shows .*W' "$work/stdout" || fail "$name: no watts: $(cat "$work/stdout")"
printf '[frames]\nscale = 0.025\nzero = 273.15\n' > "$work/bench/case.ini"
# Its heat is strong enough to show by itself when the current was switched.
run locate "$work/bench" --json - --threads 1
expect_code 0
grep -q '"currents_known": false' "$work/stdout" || fail "$name: $(cat "$work/stderr")"
rm "$work/bench/case.ini"
run new "$work/bench"
grep -q 'rename' "$work/stdout" || fail "$name: odd name not told"
if grep -q $'\e' "$work/stdout"; then fail "$name: an escape was printed"; fi

bad() { expect_refusal "$@"; }
bad new    "no folder"        3 'no such folder' -- "$work/none"
bad locate "nothing in it"    3 'where are the frames' -- "$work/bench/pics" --json -
bad locate "option of folder" 2 '--photo works with a folder' "change 'photo = " -- "$sample" --photo x.png --json -
bad locate "option, no folder" 3 'none: no such folder' -- "$work/none" --levels "0 1 0" --json -
bad locate "frames"           3 'frames.tiff: is no case file; give the folder' -- "$from/frames.tiff" --json -
bad check  "no unit"          3 "--unit: 'warm' is no unit; give kelvin" -- "$work/bench" --unit warm
bad check  "unit of a case"   2 "--unit works with a folder; here change 'unit = " -- "$sample" --unit kelvin
bad help   "no word near"     2 "no page 'foo'; 'ohmglow help' names all" -- foo
bad help   "a slip"           2 "did you mean 'ohmglow help locate'" -- locat

name="no log, checked"
mkdir "$work/nolog"
cp "$from/frames.tiff" "$from/frames.csv" "$work/nolog"
# A corner in which nothing of the supply warms.
printf '[frames]\nscale = 0.025\nzero = 273.15\ncrop = 100 0 60 50\n' > "$work/nolog/case.ini"
run check "$work/nolog"
expect_code 4
tr -s ' \n' ' ' < "$work/stdout" | grep -q -e '--log NAME' || fail "$name: $(cat "$work/stdout")"
grep -q 'The scale is a guess (0.5 mm a pixel)' "$work/stdout" || fail "$name: the scale is not doubted"

bad check  "photo missing"    3 '--photo: .*no such file' -- "$work/nolog" --photo "$work/none.png"
mkdir "$work/empty"
bad new    "empty folder"     3 'no frames' -- "$work/empty"
[ -z "$(ls "$work/empty")" ] || fail "$name: wrote $(ls "$work/empty")"
name="levels"
run locate "$work/nolog" --levels "0 0,34,1" --json -
expect_code 3
expect_one_line '--levels' 'with a point'
run locate "$work/nolog" --levels 0 0.34 --json -
expect_code 2
expect_one_line '--levels' 'put the currents in quotes'

finish "folder_test"
