#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# locate --growth on the sample, and what locate --other-side refuses.
#   growth_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
case_file=$2
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"

name=growth
run locate "$case_file" --growth --out "$work/out"
expect_code 0
expect_no_error
python3 - "$work/out" << 'END' || fail "growth: table, plots and result.json do not agree"
import csv, json, os, struct, sys
folder = sys.argv[1]
result = json.load(open(f"{folder}/result.json"))
rows = list(csv.DictReader(open(f"{folder}/growth.csv")))
wanted = [(c["rank"], p) for c in result["candidates"] for p in c["growth"]]
assert len(rows) == len(wanted) > 50, (len(rows), len(wanted))
for row, (rank, point) in zip(rows, wanted):
    assert int(row["candidate"]) == rank
    for key, value in point.items():
        assert float(row[key]) == value, (rank, key, row[key], value)
for c in result["candidates"]:
    entry = result["pictures"][f"growth_{c['rank']}"]
    data = open(f"{folder}/{entry['file']}", "rb").read()
    assert data[:8] == b"\x89PNG\r\n\x1a\n" and struct.unpack(">I", data[16:20]) == (1600,)
    levels = [level["amps"] for level in c.get("levels", [])]  # None where nothing fits.
    assert levels == sorted(levels)
assert len(result["candidates"][0]["levels"]) == 3
# What is fitted and its error hold the rise: C1 warms by more than a kelvin.
first = result["candidates"][0]
last = first["growth"][-1]
assert abs(last["fit_k"] - last["rise_k"]) < 0.1 and 0 < last["fit_sigma_k"] < 0.1
assert abs(first["levels"][-1]["rise_k"] / first["rise_k"] - 1) < 0.2
END

name="growth gone"
run locate "$case_file" --out "$work/out"
expect_code 0
[ -z "$(ls "$work/out" | grep growth || true)" ] || fail "growth of an older result is left"

expect_refusal locate "growth without a folder" 2 '--growth writes files' -- "$case_file" --growth --json -

# The same side twice; the bottom without board coordinates; the bottom not mirrored.
cp -r "$(dirname "$case_file")" "$work/bottom"
chmod -R u+w "$work/bottom"
expect_refusal locate "one side twice" 3 'bottom/case.ini: \[board\] side = top' 'other side' -- \
  "$case_file" --other-side "$work/bottom/case.ini" --out "$work/both"
sed -i 's/^side = top/side = bottom/' "$work/bottom/case.ini"
expect_refusal locate "not mirrored" 3 'bottom/case.ini: \[board\] points' 'same way round' -- \
  "$case_file" --other-side "$work/bottom/case.ini" --out "$work/both"
cut -d, -f1-4 "$work/bottom/points.csv" > "$work/points.csv"
mv "$work/points.csv" "$work/bottom/points.csv"
expect_refusal locate "no board coordinates" 3 'bottom/case.ini: \[board\] points' 'board_x_mm' -- \
  "$case_file" --other-side "$work/bottom/case.ini" --out "$work/both"
expect_refusal locate "no such file" 3 'missing.ini' -- \
  "$case_file" --other-side "$work/missing.ini" --out "$work/both"
[ ! -e "$work/both" ] || fail "a refused run left a folder"

finish growth_test
