#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# The program as a user runs it, on the sample: texts, exit codes, what is written where.
#   program_test.sh PROGRAM CASE.ini VERSION
set -euo pipefail
program=$1
case_file=$2
version=$3
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"

name=version
run --version
expect_code 0
expect_no_error
[ "$(head -n 1 "$work/stdout")" = "ohmglow $version" ] || fail "version: $(cat "$work/stdout")"
grep -qE '^Built with OpenCV [0-9.]+, Eigen [0-9.]+, libtiff [0-9.]+, .*libarchive [0-9.]+, CFITSIO [0-9.]*[0-9]\.$' "$work/stdout" ||
  fail "version: libraries are missing in $(cat "$work/stdout")"

name=help
run --help
expect_code 0
expect_no_error
grep -q 'ohmglow locate CASE.ini --out DIR' "$work/stdout" || fail "help: no usage"
for number in 0 1 2 3 4 5 6; do
  grep -qE "^ +$number  [a-z\"]" "$work/stdout" || fail "help: no exit code $number"
done

name="locate help"
run locate --help
expect_code 0
expect_no_error
grep -q -e '--false-alarm-prob N' "$work/stdout" || fail "locate help: no options"
[ "$(awk 'length > 100' "$work/stdout" | wc -l)" -eq 0 ] || fail "locate help: wider than 100"

name="manual page"
run help locate
expect_code 0
expect_no_error
[ "$(head -c 4 "$work/stdout")" = NAME ] && grep -q '^SEE ALSO$' "$work/stdout" || fail "help locate: no page"
run help nothing
expect_code 2

name=locate
run locate "$case_file" --out "$work/out"
expect_code 0
expect_no_error  # No progress where standard error is no terminal.
[ "$(ls "$work/out" | sort | tr '\n' ' ')" = "board_photo.png limit.tiff map.png motion.csv overlay.png power.png power.tiff response.tiff result.json static.tiff " ] ||
  fail "locate: the folder holds $(ls "$work/out")"
[ "$(wc -l < "$work/stdout")" -le 15 ] && [ -s "$work/stdout" ] || fail "locate: summary of other than 1 to 15 lines"
# Characters, not bytes.
python3 -c 'import sys; sys.exit(max(map(len, open(sys.argv[1], encoding="utf-8"))) > 101)' "$work/stdout" ||
  fail "locate: summary wider than 100"
for picture in overlay map power; do
  [ "$(head -c 8 "$work/out/$picture.png" | od -An -tx1 | tr -d ' ')" = 89504e470d0a1a0a ] ||
    fail "locate: $picture.png is no PNG"
done

# Maps tell what they hold, in the file and in result.json.
python3 - "$work/out" << 'END' || fail "locate: power.tiff or limit.tiff is not what result.json says"
import json, math, struct, sys
folder = sys.argv[1]
result = json.load(open(f"{folder}/result.json"))
for key, unit in (("power", "W"), ("limit", "W"), ("response", "K"), ("static", "K")):
    entry = result["pictures"][key]
    assert entry["unit"] == unit and entry["meaning"], entry
    data = open(f"{folder}/{entry['file']}", "rb").read()
    assert data[:4] == b"II*\0", key
    at, = struct.unpack_from("<I", data, 4)
    count, = struct.unpack_from("<H", data, at)
    fields = {}
    for i in range(count):
        tag, kind, num, value = struct.unpack_from("<HHII", data, at + 2 + 12 * i)
        fields[tag] = num if tag == 270 else value
        if tag == 270:
            text = data[value:value + num - 1].decode("ascii")
    assert text == f"{entry['meaning']} Unit: {unit}.", text
    assert (fields[258], fields[339], fields[259]) == (32, 3, 1)
    parts, per = struct.unpack_from("<II", data, fields[282])
    assert abs(parts / per * result["board"]["mm_per_pixel"] - 10) < 1e-2, parts / per
    num = fields[256] * fields[257]
    values = [v for v in struct.unpack_from(f"<{num}f", data, fields[273]) if not math.isnan(v)]
    assert len(values) > 0.5 * num, key
    if key == "limit":
        assert 0 < min(values) < 10
END

name="json"
run locate "$case_file" --json - --threads 1
expect_code 0
expect_no_error
# One thread or many, folder or standard output: the same answer.
# But that no pictures stand beside standard output.
python3 - "$work/stdout" "$work/out/result.json" << 'END' || fail "json: differs from result.json"
import json, sys
printed, saved = (json.load(open(name)) for name in sys.argv[1:])
sys.exit(0 if saved.pop("pictures") and printed == saved else 1)
END

name="json to a full device"
code=0
"$program" locate --help > /dev/full 2> "$work/stderr" || code=$?
: > "$work/stdout"
expect_code 5
expect_one_line "standard output"

finish program_test
