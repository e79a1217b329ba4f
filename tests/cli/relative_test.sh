#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Frames that are no temperatures: the sample's counts as if nobody knew their scale.
# No watts and no kelvin anywhere.
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
def texts(value):
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from texts(inner)
# The case's own title and what was assumed of the surface are no findings.
findings = {key: value for key, value in result.items() if key not in ("case", "assumed")}
unit = re.compile(r"[0-9] *(m|µ|k)?(W|K|V|Ohm|Ω)\b|\b(kelvin|ohms|volts)\b")
wrong = [text for text in texts(findings) if unit.search(text)]
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

name="aligned"
run align "$work/case/case.ini" --out "$work/aligned"
expect_code 0
python3 - "$work/aligned/align.json" << 'END' || fail "$name: align.json"
import json, sys
with open(sys.argv[1], encoding="utf-8") as file:
    text = file.read()
check = json.loads(text)
assert check["frames"]["values"] == "relative" and check["maps"]["unit"] != "K", check["maps"]
assert '_k"' not in text and " K" not in text, text
assert 0 < check["motion"]["noise_relative"] < 1, check["motion"]
END
grep -aq "share of the scene" "$work/aligned/residual.tiff" || fail "$name: unit of residual.tiff"

name="no comparison"
run compare "$work/case/case.ini" "$work/case/case.ini" --json -
expect_code 4
expect_one_line "no temperatures"
finish relative_test
