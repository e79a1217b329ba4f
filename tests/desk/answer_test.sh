#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# What the desk answers, held against the command: the same places, the same pictures.
#   answer_test.sh PROGRAM CASE_FOLDER
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/open.sh"

cp -r "$sample" "$work/case"
chmod -R u+w "$work/case"
open_desk "$work/case"

# wait_for STATE: of the computation.
wait_for() {
  local waited
  for waited in $(seq 1200); do
    ask "${address}api/state"
    grep -q "\"state\":\"$1\"" "$work/body" && return 0
    sleep 0.1
  done
  fail "$name: not $1: $(cat "$work/body")"
}

name="nothing computed"
ask "${address}api/result"
expect_status 400

name="stop"
post api/run
expect_status 200
post api/run
expect_status 409
post api/stop
wait_for stopped
ask "${address}api/result"
expect_status 400

name="the same places as the command"
post api/run
wait_for done
ask "${address}api/result"
expect_status 200
cp "$work/body" "$work/desk.json"
run locate "$work/case/case.ini" --json - --out "$work/again" --threads 1
expect_code 0
cp "$work/stdout" "$work/locate.json"
/usr/bin/python3 - "$work" <<'PY' || fail "$name"
import json, sys
desk, locate = (json.load(open(f"{sys.argv[1]}/{name}.json")) for name in ("desk", "locate"))
maps = desk.pop("maps")
locate.pop("pictures", None)  # Of the folder beside it.
assert desk == locate, "another result"
assert len(maps["photo_from_frame"]) == 9
PY

name="the same in German"
ask "${address}api/result?language=de"
expect_status 200
python3 - "$work/desk.json" "$work/body" <<'PYTHON' || fail "$name"
import json, sys
english, german = (json.load(open(path, encoding="utf-8")) for path in sys.argv[1:])
assert german["advice_values"] == english["advice_values"]
assert len(german["advice"]) == len(english["advice"])
assert german["advice"] != english["advice"]
assert any(line.startswith("Vorsicht: ") for line in german["advice"]), german["advice"]
first, same = english["candidates"][0], german["candidates"][0]
assert same["evidence"][0]["name"] != first["evidence"][0]["name"], same["evidence"]
assert same["power_w"] == first["power_w"]
PYTHON
ask "${address}api/result?language=xx"
expect_status 400

name="maps"
for of in rest rise power limit; do
  ask "${address}api/map?of=$of"
  expect_status 200
  grep -qi '^x-width: 160' "$work/head" || fail "$name: width of $of"
  [ "$(stat -c %s "$work/body")" -eq $((160 * 120 * 4)) ] || fail "$name: size of $of"
  cp "$work/body" "$work/$of.f32"
done

name="curve"
x=$(/usr/bin/python3 -c "import json; print(json.load(open('$work/locate.json'))['candidates'][0]['frame_x'])")
y=$(/usr/bin/python3 -c "import json; print(json.load(open('$work/locate.json'))['candidates'][0]['frame_y'])")
ask "${address}api/curve?x=$x&y=$y"
expect_status 200
cp "$work/body" "$work/curve.json"
/usr/bin/python3 - "$work" <<'PY' || fail "$name"
import json, sys
import numpy as np
place = json.load(open(f"{sys.argv[1]}/locate.json"))["candidates"][0]
curve = json.load(open(f"{sys.argv[1]}/curve.json"))
assert curve["seen"]
# The place's own course, measured by the command: the desk asks the same of any spot.
wanted = np.array([p["rise_k"] for p in place["growth"]])
got = np.array([p[2] for p in curve["points"]])
assert wanted.shape == got.shape, (wanted.shape, got.shape)
assert np.abs(wanted - got).max() < 0.1 * wanted.max(), np.abs(wanted - got).max()
assert abs(curve["exponent"] - place["current_exponent"]) < 4 * place["current_exponent_sigma"]
# The warm map peaks where the place is.
rise = np.fromfile(f"{sys.argv[1]}/rise.f32", "<f4").reshape(120, 160)
row, column = np.unravel_index(np.nanargmax(rise), rise.shape)
assert abs(column - place["frame_x"]) < 2 and abs(row - place["frame_y"]) < 2, (column, row)
PY
ask "${address}api/curve?x=-5&y=900"
grep -q '"seen":false' "$work/body" || fail "$name: outside the frame"
ask "${address}api/curve?x=nan&y=3"
expect_status 400

name="film"
ask "${address}api/film"
expect_status 200
bins=$(/usr/bin/python3 -c "import json; print(len(json.load(open('$work/body'))['time_s']))")
ask "${address}api/film-picture?bin=$bins"
expect_status 400
ask "${address}api/film-picture?bin=$((bins - 1))"
expect_status 200
cp "$work/body" "$work/last.f32"
/usr/bin/python3 - "$work" <<'PY' || fail "$name"
import json, sys
import numpy as np
last, rise = (np.fromfile(f"{sys.argv[1]}/{name}.f32", "<f4").reshape(120, 160) for name in ("last", "rise"))
place = json.load(open(f"{sys.argv[1]}/locate.json"))["candidates"][0]
row, column = np.unravel_index(np.nanargmax(last), last.shape)
assert abs(column - place["frame_x"]) < 2 and abs(row - place["frame_y"]) < 2, (column, row)
# The capture ends at its highest current: the last picture is the rise, but for noise and its smoothing.
assert 0.6 < np.nanmax(last) / np.nanmax(rise) < 1.5, (np.nanmax(last), np.nanmax(rise))
PY

name="keep"
post api/keep
expect_status 200
for file in motion.csv result.json power.tiff overlay.png; do
  cmp -s "$work/case/result/$file" "$work/again/$file" || fail "$name: another $file than the command's"
done

name="keep does not follow links"
mv "$work/case/result" "$work/elsewhere"
ln -s "$work/elsewhere" "$work/case/result"
before=$(stat -c %Y.%s "$work/elsewhere/result.json")
post api/keep
expect_status 422
[ "$(stat -c %Y.%s "$work/elsewhere/result.json")" = "$before" ] || fail "$name: written through"
rm "$work/case/result"

name="photo"
ask "${address}api/photo"
expect_status 200
[ "$(head -c 2 "$work/body" | od -An -tx1 | tr -d ' ')" = ffd8 ] || fail "$name: no JPEG"

name="size of the page"
total=0
for file in "" $(ls "$(dirname "${BASH_SOURCE[0]}")/../../src/desk/page"); do
  ask "$address$file"
  expect_status 200
  total=$((total + $(stat -c %s "$work/body")))
done
# More would no longer come up in a moment on an old tablet; common practice, no source.
[ "$total" -lt 500000 ] || fail "$name: $total bytes"
name="the shop's lines"
ask "${address}api/shop"
expect_status 200
[ "$(value name)" = "" ] || fail "$name: $(cat "$work/body")"
post api/shop '{"name":"Bench & Board","address":"Quay 4; left","phone":"","mail":"a@b.invalid"}'
expect_status 200
shop=$XDG_CONFIG_HOME/ohmglow/shop.ini
[ "$(stat -c %a "$XDG_CONFIG_HOME")" = 700 ] || fail "$name: the folder is open to others"
printf 'tax = 12-345 ; ours\n' >> "$shop"
post api/shop '{"name":"Bench","address":"Quay 4; left","phone":"","mail":""}'
expect_status 200
grep -qx 'tax = 12-345 ; ours' "$shop" || fail "$name: other lines are lost: $(cat "$shop")"
ask "${address}api/shop"
[ "$(value name)/$(value address)" = "Bench/Quay 4; left" ] || fail "$name: $(cat "$work/body")"
"$program" sheet "$work/again" --out "$work/page.pdf" --shop "$shop" > /dev/null || fail "$name: sheet cannot read it"
post api/shop '{"name":"a\nb","address":"","phone":"","mail":""}'
expect_status 400
grep -q '^name = Bench$' "$shop" || fail "$name: $(cat "$shop")"

finish "desk, answer"
