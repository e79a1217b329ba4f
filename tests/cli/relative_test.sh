#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Frames that are no temperatures: the sample's counts as if nobody knew their scale, and
# the same capture as a video in grey. No watts and no kelvin anywhere.
#   relative_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
case_file=$2
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"

cp -r "$(dirname "$case_file")" "$work/case"
chmod -R u+w "$work/case"
sed -i -e '/^scale *=/d' -e '/^zero *=/d' -e 's/^\[frames\].*/[frames]\nunit = relative/' "$work/case/case.ini"

check_relative() {
  expect_code 0
  expect_no_error
  head -n 1 "$work/stdout" | grep -q 'not temperatures.*no watts' || fail "$name: first line: $(head -n 1 "$work/stdout")"
  ! grep -qE '[0-9] (m|µ)?W\b|[0-9] m?K\b' "$work/stdout" || fail "$name: kelvin or watts: $(cat "$work/stdout")"
  for file in power.png power.tiff limit.tiff; do
    [ ! -e "$work/out/$file" ] || fail "$name: $file was written"
  done
  python3 - "$work/out/result.json" "$1" << 'END' || fail "$name: result.json"
import json, re, sys
with open(sys.argv[1], encoding="utf-8") as file:
    result = json.load(file)
assert result["frames"]["values"] == "relative"
def keys(value):
    if isinstance(value, dict):
        for key, inner in value.items():
            yield key
            yield from keys(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from keys(inner)
wrong = sorted({key for key in keys(result) if re.search(r"(_k|_w|_w_k|_ohm|watts)$", key)})
assert not wrong, wrong
first = result["candidates"][0]
assert result["verdict"] == "found" and first["parts"][0]["ref"] == sys.argv[2], first["parts"]
assert abs(first["rise_relative"] - 1) < 0.01, first["rise_relative"]
assert abs(first["current_exponent"] - 2) < 0.5, first["current_exponent"]
END
}

# What the capture shows, with its temperatures.
run locate "$case_file" --json -
part=$(python3 -c 'import json, sys; print(json.load(open(sys.argv[1]))["candidates"][0]["parts"][0]["ref"])' "$work/stdout")

name="counts of unknown scale"
run locate "$work/case/case.ini" --out "$work/out" --growth
check_relative "$part"
head -n 1 "$work/out/growth.csv" | grep -q rise_relative || fail "$name: growth.csv"

name="no comparison"
run compare "$work/case/case.ini" "$work/case/case.ini" --json -
expect_code 4
expect_one_line "no temperatures"
finish relative_test
