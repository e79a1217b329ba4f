#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# `ohmglow why` as a user runs it, on the sample's result.
#   why_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"

name="help"
run why --help
expect_code 0
expect_no_error
grep -q -e '--against PLACE' "$work/stdout" || fail "$name: no --against"

name="locate"
run locate "$sample" --out "$work/out"
expect_code 0

name="why"
run why "$work/out" 2
expect_code 0
expect_no_error
grep -q 'place 2 *place 1' "$work/stdout" || fail "$name: $(head -n 1 "$work/stdout")"
grep -q 'stands out of the noise' "$work/stdout" || fail "$name: no evidence"
[ "$(awk 'length > 110' "$work/stdout" | wc -l)" -eq 0 ] || fail "$name: wider than 110"

name="in German"
run why "$work/out" 2 --language de
expect_code 0
expect_no_error
grep -q 'Stelle 2 *Stelle 1' "$work/stdout" || fail "$name: $(head -n 1 "$work/stdout")"
grep -q 'hebt sich aus dem Rauschen' "$work/stdout" || fail "$name: evidence in English"
[ "$(grep -c '\[en\]\|{' "$work/stdout")" -eq 0 ] || fail "$name: $(cat "$work/stdout")"
LC_ALL=de_DE.UTF-8 "$program" why "$work/out" 2 > "$work/locale"
cmp -s "$work/stdout" "$work/locale" || fail "$name: not by the locale"
run why "$work/out" 2

# As many items as result.json has; in German, too, though that was written in English.
name="advice"
run why "$work/out" advice
expect_code 0
expect_no_error
num_advice=$(python3 -c 'import json, sys; print(len(json.load(open(sys.argv[1]))["advice"]))' "$work/out/result.json")
[ "$(grep -c '^- ' "$work/stdout")" -eq "$num_advice" ] || fail "$name: $(cat "$work/stdout")"
grep -q 'voltage limit' "$work/stdout" || fail "$name: no caution"
run why "$work/out" advice --language de
grep -q '[äöüß]' "$work/stdout" || fail "$name: not in German: $(cat "$work/stdout")"
run why "$work/out" 2

# The factors of a place multiplied are its odds by itself; others only take from them.
name="product"
python3 - "$work/out/result.json" <<'PYTHON' || fail "$name: $(cat "$work/stdout")"
import json, math, sys
for place in json.load(open(sys.argv[1]))["candidates"]:
    odds = math.prod(e["factor"] for e in place["evidence"])
    assert place["confidence"] < odds / (1 + odds) + 0.01, (odds, place["confidence"])
best = max(json.load(open(sys.argv[1]))["candidates"], key=lambda place: place["confidence"])
odds = math.prod(e["factor"] for e in best["evidence"])
assert abs(min(0.99, odds / (1 + odds)) - best["confidence"]) < 0.02, (odds, best["confidence"])
PYTHON

name="the first against the second"
run why "$work/out" 1
expect_code 0
grep -q 'place 1 *place 2' "$work/stdout" || fail "$name: $(head -n 1 "$work/stdout")"
run why "$work/out" 3 --against 2
expect_code 0
grep -q 'place 3 *place 2' "$work/stdout" || fail "$name: --against"

name="a part's name in place of a number"
part=$(grep -m 1 '"ref"' "$work/out/result.json" | sed 's/.*: *"//; s/".*//')
run why "$work/out" 1
cp "$work/stdout" "$work/by_number"
run why "$work/out" "$(tr '[:upper:]' '[:lower:]' <<< "$part")"
expect_code 0
cmp -s "$work/stdout" "$work/by_number" || fail "$name: $(head -n 1 "$work/stdout")"
run why "$work/out" 2 --against "$part"
expect_code 0
grep -q 'place 2 *place 1' "$work/stdout" || fail "$name: --against"

name="a lead contact's name"
run why "$work/out" pc1
expect_code 0
grep -q '^Place 2: lead contact PC1' "$work/stdout" || fail "$name: $(cat "$work/stdout")"

bad() { expect_refusal why "$@"; }
bad "no place"      2 'a place: its number' -- "$work/out"
bad "no number"     2 'first' 'from 1, or the name of its part or lead contact: C1, PC1' -- "$work/out" first
bad "not listed"    2 'place 99' 'lists' -- "$work/out" 99
bad "itself"        2 'against itself' -- "$work/out" 2 --against 2
bad "no folder"     3 'result\.json' -- "$work/none" 1
mkdir "$work/foreign"
echo '{}' > "$work/foreign/result.json"
bad "foreign file"  3 'result\.json' -- "$work/foreign" 1
mkdir "$work/old"
python3 - "$work/out/result.json" "$work/old/result.json" <<'PYTHON'
import json, sys
result = json.load(open(sys.argv[1]))
for place in result["candidates"]: del place["evidence"]
json.dump(result, open(sys.argv[2], "w"))
PYTHON
bad "older result"  4 'no evidence' 'locate' -- "$work/old" 1

finish "why_test"
