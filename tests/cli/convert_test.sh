#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# `ohmglow convert` on the sample: the same answer from the converted case, counts as libtiff's tiffcmp
# reads them, nothing of a photo's or a path's words, nothing half-written, one clear line for what is refused.
#   convert_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"
from=$(dirname "$sample")

copy() {
  cp -r "$from" "$work/$1"
  chmod -R u+w "$work/$1"
}

nothing_left() {
  [ ! -e "$1" ] || fail "$name: $1 was written"
  [ -z "$(find "$work" -name '*.partial-*')" ] || fail "$name: something half-written is left"
}

# The same verdict, candidates within 0.02 px and 1 % of power.
same_answer() {
  python3 - "$1" "$2" << 'END' || fail "$name: another answer"
import json, sys
first, second = (json.load(open(name, encoding="utf-8")) for name in sys.argv[1:])
assert first["verdict"] == second["verdict"] == "found", (first["verdict"], second["verdict"])
assert len(first["candidates"]) == len(second["candidates"]) > 0
for a, b in zip(first["candidates"], second["candidates"]):
    assert abs(a["frame_x"] - b["frame_x"]) < 0.02 and abs(a["frame_y"] - b["frame_y"]) < 0.02, (a, b)
    assert abs(a["power_w"] / b["power_w"] - 1) < 0.01, (a["power_w"], b["power_w"])
    assert [p["ref"] for p in a["parts"]] == [p["ref"] for p in b["parts"]]
END
}

locate() {
  run locate "$1" --json - --threads 1
  expect_code 0
  cp "$work/stdout" "$2"
}
locate "$sample" "$work/first.json"

name="sample"
run convert "$sample" --out "$work/kept"
expect_code 0
expect_no_error
grep -q '241 frames of 160 x 120 px' "$work/stdout" || fail "$name: $(cat "$work/stdout")"
[ "$(cd "$work/kept" && echo *)" = "case.ini contacts.csv frames.csv frames.tiff parts.csv photo.png points.csv supply.csv" ] ||
  fail "$name: holds $(cd "$work/kept" && echo *)"
[ "$(awk 'length > 102' "$work/kept/case.ini" | wc -l)" -eq 0 ] || fail "$name: case.ini is wider than 100"
locate "$work/kept/case.ini" "$work/second.json"
same_answer "$work/first.json" "$work/second.json"
# Whole counts keep their steps: not one differs.
if command -v tiffcmp > /dev/null; then
  tiffcmp "$from/frames.tiff" "$work/kept/frames.tiff" > "$work/differences" 2>&1 || true
  ! grep -v '^Directory' "$work/differences" > "$work/lines" || fail "$name: $(head -n 3 "$work/lines")"
  [ "$(tiffinfo "$work/kept/frames.tiff" | grep -c 'Bits/Sample: 16')" -eq 241 ] || fail "$name: no 241 pages"
else
  echo "tiffcmp (libtiff-tools) is missing: the pixels were NOT compared"
fi

# Converted again, it is what it was: nothing drifts from copy to copy.
name="again"
mkdir "$work/again"
run convert "$work/kept" --out "$work/again"
expect_code 0
diff -r "$work/kept" "$work/again" > /dev/null || fail "$name: not the same"

# A messy case: a table of counts, a log in another dialect, defaults, a title with comment signs, a photo
# with a comment, a part and a place of another emissivity.
name="messy"
copy messy
python3 - "$work/messy" << 'END'
import sys, zlib
folder = sys.argv[1]
with open(f"{folder}/counts.csv", "w") as table:
    table.write("count,kelvin\n" + "".join(f"{c},{273.15 + 0.025 * c}\n" for c in range(0, 6001, 200)))
text = open(f"{folder}/case.ini").read()
text = text.replace("scale = 0.025000", "table = counts.csv").replace("zero = 273.15\n", "")
text = text.replace("mm_per_pixel = 0.3971\n", "").replace("supply.csv", "psu.txt")
title = text.splitlines()[0]
text = text.replace(title, 'title = "Board #3 ; second try"')
text += "regions = shiny.csv\nparts = C9 0.5\n"  # [surface] is the last section.
open(f"{folder}/case.ini", "w").write(text)
open(f"{folder}/shiny.csv", "w").write("frame_x,frame_y,width_px,height_px,emissivity\n20,30,9,7,0.25\n")
rows = [row.split(",") for row in open(f"{folder}/supply.csv").read().split()[1:]]
with open(f"{folder}/psu.txt", "w") as log:
    log.write("Log\n\nZeit (s);Spannung (V);Strom (mA)\n")
    for time, volts, amps in rows:
        log.write("??;;\n" if time == rows[7][0] else f"{time};{volts};{float(amps) * 1000:.1f}\n".replace(".", ","))
# PNG (W3C 2003), 11.3.4.3: a chunk of text behind the header's 33 bytes.
png = open(f"{folder}/photo.png", "rb").read()
body = b"tEXtComment\0taken at a secret place"
chunk = (len(body) - 4).to_bytes(4, "big") + body + zlib.crc32(body).to_bytes(4, "big")
open(f"{folder}/photo.png", "wb").write(png[:33] + chunk + png[33:])
END
run convert "$work/messy/case.ini" --out "$work/tidy"
expect_code 0
grep -q '1.000 mK a step' "$work/stdout" || fail "$name: $(cat "$work/stdout")"
grep -qF 'title = "Board #3 ; second try"' "$work/tidy/case.ini" || fail "$name: $(head -n 5 "$work/tidy/case.ini")"
grep -q '^; mm_per_pixel = 0.39' "$work/tidy/case.ini" || fail "$name: what was assumed is not a comment"
grep -q '^; - supply.log = without 1 of its' "$work/tidy/case.ini" || fail "$name: a lost row is not told"
! grep -rlaE "secret place|$work" "$work/tidy" || fail "$name: metadata or paths are left"
head -n 1 "$work/tidy/supply.csv" | grep -qx 'time_s,volts,amps' || fail "$name: supply.csv"
tail -n 1 "$work/tidy/surface.csv" | grep -qx '20,30,9,7,,,,,0.25,' || fail "$name: $(cat "$work/tidy/surface.csv")"
grep -q '^,,,,.*,0.5,C9$' "$work/tidy/surface.csv" || fail "$name: $(cat "$work/tidy/surface.csv")"
locate "$work/messy/case.ini" "$work/first.json"
locate "$work/tidy/case.ini" "$work/second.json"
same_answer "$work/first.json" "$work/second.json"

# Black beyond the board, the same within.
name="blank"
run convert "$sample" --out "$work/blank" --blank-surroundings
expect_code 0
if command -v identify > /dev/null; then
  corner=$(convert "$work/blank/photo.png" -format '%[hex:u.p{2,2}] %[hex:u.p{999,2}]' info:)
  [ "$corner" = "000000 000000" ] || fail "$name: corners are $corner"
  middle='%[hex:u.p{500,400}] %[hex:u.p{400,420}]'
  [ "$(convert "$work/blank/photo.png" -format "$middle" info:)" = "$(convert "$from/photo.png" -format "$middle" info:)" ] ||
    fail "$name: the board changed"
else
  echo "identify (imagemagick) is missing: the blanked photo was NOT looked at"
fi

name="blank without landmarks"
copy bare
sed -i '/^points/d' "$work/bare/case.ini"
bad() { expect_refusal convert "$@"; }
bad "blank without landmarks" 4 'blank-surroundings.*landmarks' -- "$work/bare/case.ini" --out "$work/none" --blank-surroundings
nothing_left "$work/none"

bad "no out"      2 'out' -- "$sample"
bad "no case"     3 'none\.ini' -- "$work/none.ini" --out "$work/none"
nothing_left "$work/none"
bad "no parent"   5 'missing; make it first' -- "$sample" --out "$work/no/where"
bad "a file"      5 'is a file' -- "$sample" --out "$work/first.json"
before=$(ls -l --time-style=full-iso "$work/kept")
bad "there already" 5 'is there already' -- "$sample" --out "$work/kept"
[ "$(ls -l --time-style=full-iso "$work/kept")" = "$before" ] || fail "$name: it was touched"

# Many pages that do not decode: refused after the new folder was begun.
copy damaged
python3 - "$work/damaged/frames.tiff" << 'END'
import sys
with open(sys.argv[1], "r+b") as file:
    size = file.seek(0, 2)
    for part in range(20, 80):
        file.seek(size * part // 100)
        file.write(b"\xff" * 2000)
END
name="damaged"
run convert "$work/damaged/case.ini" --out "$work/none"
[ "$code" -ne 0 ] || fail "$name: converted"
expect_one_line 'frames.tiff'
nothing_left "$work/none"

# A few pages that do not decode are left out with their times, and no killed run's folder stays.
copy scratched
python3 - "$work/scratched/frames.tiff" << 'END'
import sys
with open(sys.argv[1], "r+b") as file:
    size = file.seek(0, 2)
    file.seek(size * 55 // 100)
    file.write(b"\xff" * 2000)
END
name="scratched"
sleep 0.01 & gone=$!
wait "$gone"
mkdir "$work/less.partial-$gone"
touch "$work/less.partial-$gone/frames.tiff"
run convert "$work/scratched/case.ini" --out "$work/less"
expect_code 0
left=$(sed -n 's/^\([0-9]*\) frames could not be read and are left out.*/\1/p' "$work/stdout")
[ "${left:-0}" -ge 1 ] || fail "$name: $(cat "$work/stdout")"
[ "$(tail -n +2 "$work/less/frames.csv" | wc -l)" -eq $((241 - left)) ] || fail "$name: times"
[ ! -e "$work/less.partial-$gone" ] || fail "$name: a killed run's folder is left"
locate "$work/less/case.ini" "$work/less.json"
if grep -q saturated "$work/less.json"; then fail "$name: left out frames came as saturated"; fi

# Pictures are no measurements.
copy pictures
python3 - "$work/pictures" << 'END'
import os, random, sys
folder = sys.argv[1]
os.mkdir(f"{folder}/raw")
random.seed(1)
for i in range(241):
    with open(f"{folder}/raw/f{i:03}.pgm", "wb") as file:
        file.write(b"P5\n64 48\n255\n" + bytes(random.randrange(90, 110) for _ in range(64 * 48)))
text = open(f"{folder}/case.ini").read().replace("source = frames.tiff", "source = raw/*.pgm\nunit = relative")
text = text.replace("scale = 0.025000\n", "").replace("zero = 273.15\n", "")
open(f"{folder}/case.ini", "w").write(text)
END
bad "pictures" 4 'pictures or video' -- "$work/pictures/case.ini" --out "$work/none"
nothing_left "$work/none"

finish convert_test
