#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# What is drawn on the desk: currents on the time line, parts where there is no list.
#   draw_test.sh PROGRAM CASE_FOLDER
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/open.sh"

# bare FOLDER LINE...: the sample without log, parts and what those lines of its case file name.
bare() {
  local folder=$1
  shift
  cp -r "$sample" "$folder"
  chmod -R u+w "$folder"
  rm -f "$folder/supply.csv" "$folder/parts.csv"
  local line
  for line in '^log *=' '^clock_offset' '^parts *=' "$@"; do sed -i "/$line/d" "$folder/case.ini"; done
}
tables() { ask "${address}api/tables"; expect_status 200; }
levels() { tables; post api/levels "{\"version\":\"$(value levels version)\",\"rows\":$1}"; }
part() { tables; post api/part "{\"version\":\"$(value parts version)\",$1}"; }

bare "$work/case"
sed -i 's/^\[supply\]/&\nlevels = 0 0.5 ; roughly/' "$work/case/case.ini"
open_desk "$work/case/case.ini"

name="levels go to where they stand"
tables
[ "$(value levels rows)" = '[{"amps": 0.0, "row": 0}, {"amps": 0.5, "row": 1}]' ] || fail "$name: $(value levels)"
levels '[{"row":0,"amps":0},{"row":1,"amps":0.476,"time_s":18.504},{"amps":1.0404,"time_s":24.5},{"amps":1.5,"time_s":30.5}]'
expect_status 200
grep -qx 'levels = 0 0.476@18.5 1.04@24.5 1.5@30.5 ; roughly' "$work/case/case.ini" ||
  fail "$name: $(grep levels "$work/case/case.ini")"
[ "$(value levels rows 3 time_s)" = 30.5 ] || fail "$name: read back as $(value levels)"

name="levels that cannot be"
cp "$work/case/case.ini" "$work/case.ini"
for bad in '[]' '[{"amps":0}]' '[{"amps":0},{"amps":0,"time_s":20}]' '[{"amps":0},{"amps":-1}]' \
  '[{"amps":0},{"amps":1,"time_s":20},{"amps":0,"time_s":19}]' '[{"amps":0},{"amps":"x"}]' '7'; do
  levels "$bad"
  [ "$status" = 400 ] || [ "$status" = 422 ] || fail "$name: $bad: $status"
done
cmp -s "$work/case.ini" "$work/case/case.ini" || fail "$name: written"

name="a part where there is no list"
tables
[ "$(value parts ground)" = board ] || fail "$name: $(value parts ground)"
part '"ref":"C1","box":[[71,40],[77,45]]'
expect_status 200
[ "$(head -n 1 "$work/case/parts.csv")" = "ref,x_mm,y_mm,width_mm,height_mm,side" ] || fail "$name: header"
grep -qx 'parts = parts.csv' "$work/case/case.ini" || fail "$name: not named by the case"
# The fault of the sample is C1, at 31.5, 33.0 mm (truth.json).
"$program" locate "$work/case/case.ini" --out "$work/result" --threads 2 > /dev/null
[ "$(/usr/bin/python3 -c 'import json,sys; print(json.load(open(sys.argv[1]))["candidates"][0]["parts"][0]["ref"])' \
  "$work/result/result.json")" = C1 ] || fail "$name: locate does not name it"

name="renamed, moved, taken out"
part '"row":0,"ref":"C1, left"'
grep -q '^"C1, left",' "$work/case/parts.csv" || fail "$name: $(cat "$work/case/parts.csv")"
before=$(value parts rows 0 corners)
part '"row":0,"box":[[100,40],[110,50]]'
[ "$(value parts rows 0 corners)" != "$before" ] || fail "$name: not moved"
[ "$(value parts rows 0 ref)" = "C1, left" ] || fail "$name: $(value parts rows)"
part '"ref":"C1, left","box":[[10,40],[20,50]]'
expect_status 400
part '"ref":"C9","box":[[10,40],[10.01,40.01]]'
expect_status 400
part '"row":0,"remove":true'
[ "$(wc -l < "$work/case/parts.csv")" = 1 ] || fail "$name: still there"
tables
[ "$(value parts rows)" = "[]" ] || fail "$name: $(value parts rows)"
for back in 1 2 3; do post api/undo; expect_status 200; done
grep -q '^C1,' "$work/case/parts.csv" || fail "$name: undone to $(cat "$work/case/parts.csv")"

name="a surface of its own emissivity"
region() { tables; post api/region "{\"version\":\"$(value regions version)\",$1}"; }
region '"emissivity":0.3,"box":[[55,26],[67,35]]'
expect_status 200
[ "$(cat "$work/case/emissivity.csv")" = "$(printf 'frame_x,frame_y,width_px,height_px,emissivity\n61.00,30.50,12.00,9.00,0.300')" ] ||
  fail "$name: $(cat "$work/case/emissivity.csv")"
grep -qx 'regions = emissivity.csv' "$work/case/case.ini" || fail "$name: not named by the case"
[ "$(value regions rows 0 corners 0)" = "[55.0, 26.0]" ] || fail "$name: drawn at $(value regions rows)"
region '"row":0,"emissivity":0.15'
[ "$(value regions rows 0 emissivity)" = 0.15 ] || fail "$name: $(value regions rows)"
region '"row":0,"box":[[10,10],[20,30]]'
[ "$(value regions rows 0 corners 2)" = "[20.0, 30.0]" ] || fail "$name: moved to $(value regions rows)"
for bad in '"row":0,"emissivity":0' '"row":0,"emissivity":1.2' '"row":7,"emissivity":0.5' '"emissivity":0.5' \
  '"emissivity":0.5,"box":[[1,1],[1,9]]'; do
  region "$bad"
  expect_status 400
done
region '"row":0,"remove":true'
[ "$(value regions rows)" = "[]" ] || fail "$name: $(value regions rows)"
for back in 1 2 3 4; do post api/undo; expect_status 200; done
[ "$(value regions rows)" = "[]" ] || fail "$name: $(value regions rows)"

name="a surface that is written in millimetres"
printf 'frame_x,frame_y,width_px,height_px,x_mm,y_mm,width_mm,height_mm,emissivity,name\n,,,,31.5,33,2,1,0.2,can\n' > "$work/case/emissivity.csv"
tables
post api/setting "{\"version\":\"$(value case_version)\",\"key\":\"surface.regions\",\"value\":\"emissivity.csv\"}"
expect_status 200
tables
# Part C1 of the sample lies there, near frame 74, 42 (truth.json).
[[ $(value regions rows 0 corners 0) == "[7"[0-3].*", 4"[0-2].* ]] || fail "$name: drawn at $(value regions rows)"
region '"row":0,"box":[[10,10],[20,30]]'
[ "$(tail -n 1 "$work/case/emissivity.csv")" = "15.00,20.00,10.00,20.00,,,,,0.2,can" ] ||
  fail "$name: $(cat "$work/case/emissivity.csv")"

name="another program's change"
version=$(value parts version)
echo 'R1,1,1,1,1,top' >> "$work/case/parts.csv"
post api/part "{\"version\":\"$version\",\"row\":0,\"remove\":true}"
expect_status 409
close_desk

name="steps in a table"
bare "$work/steps"
printf 'amps;time_s;who\n0;;me\n0,5;20;me\n' > "$work/steps/steps.csv"
sed -i 's/^\[supply\]/&\nsteps = steps.csv/' "$work/steps/case.ini"
open_desk "$work/steps/case.ini"
tables
levels '[{"row":0,"amps":0},{"amps":1,"time_s":16},{"row":1,"amps":0.5,"time_s":21.25}]'
expect_status 200
[ "$(cat "$work/steps/steps.csv")" = "$(printf 'amps;time_s;who\n0;;me\n1,000;16,00;\n0,5;21,25;me')" ] ||
  fail "$name: $(cat "$work/steps/steps.csv")"
close_desk

name="without a scale"
bare "$work/flat" '^photo' '^points' '^mm_per_pixel'
rm "$work/flat/points.csv"
open_desk "$work/flat/case.ini"
tables
[ "$(value parts ground)" = scale ] || fail "$name: $(value parts ground)"
part '"ref":"C1","box":[[71,40],[77,45]]'
expect_status 400
[ ! -e "$work/flat/parts.csv" ] || fail "$name: written"

name="without landmarks and photo, to scale"
post api/setting "{\"version\":\"$(tables; value case_version)\",\"key\":\"board.mm_per_pixel\",\"value\":\"0.4\"}"
expect_status 200
cp "$work/flat/case.ini" "$work/case.ini"
tables
part '"ref":"C1","box":[[71,40],[77,45]]'
expect_status 200
[ "$(tail -n 1 "$work/flat/parts.csv")" = "C1,29.60,17.00,2.40,2.00,top" ] || fail "$name: $(cat "$work/flat/parts.csv")"
[ "$(wc -l < "$work/flat/points.csv")" = 5 ] || fail "$name: $(cat "$work/flat/points.csv")"
corner=$(value parts rows 0 corners 2 0)
[ "${corner%.*}" = 76 ] || [ "${corner%.*}" = 77 ] || fail "$name: drawn back at $(value parts rows)"
post api/undo
expect_status 200
cmp -s "$work/case.ini" "$work/flat/case.ini" || fail "$name: undo leaves the case file changed"
close_desk

name="with a photo, by three landmarks"
bare "$work/photo"
sed -i 's/,board_x_mm.*//; 2,$s/\(\([^,]*,\)\{3\}[^,]*\),.*/\1/; 3q' "$work/photo/points.csv"
open_desk "$work/photo/case.ini"
tables
[ "$(value parts ground)" = landmarks ] || fail "$name: $(value parts ground)"
rows=$(value landmarks rows)
post api/landmarks "{\"version\":\"$(value landmarks version)\",\"rows\":${rows%]},{\"frame\":[38.6,4],\"photo\":[332,304.6]}]}"
[ "$(value parts ground)" = frame ] || fail "$name: $(value parts ground)"
part '"ref":"C1","box":[[71,40],[77,45]]'
expect_status 200
[ "$(sed -n 2p "$work/photo/points.csv")" = "5.21,77.72,136.21,712.59,2.07,30.86" ] ||
  fail "$name: $(cat "$work/photo/points.csv")"
# A landmark that is dragged afterwards must not bend the board.
rows=$(value landmarks rows)
post api/landmarks "{\"version\":\"$(value landmarks version)\",\"rows\":${rows/38.6/41.6}}"
expect_status 200
[ "$(sed -n 4p "$work/photo/points.csv")" = "41.60,4.00,332.00,304.60,16.52,1.59" ] ||
  fail "$name: $(cat "$work/photo/points.csv")"

finish "desk, draw"
