#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# The sample without its supply log: nothing given at all, and levels that the frames cannot show.
#   no_log_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"
from=$(dirname "$sample")

cp -r "$from" "$work/bench"
chmod -R u+w "$work/bench"
rm "$work/bench/supply.csv"
sed -i '/^log = /d; /^clock_offset_s/d' "$work/bench/case.ini"

name="nothing given"
run locate "$work/bench" --out "$work/found" --threads 1
expect_code 0
expect_no_error
grep -q "^When the supply was switched was found in the frames alone" "$work/stdout" || fail "$name: not said"
grep -q "^Almost certainly the fault: C1" "$work/stdout" || fail "$name: not found: $(cat "$work/stdout")"
python3 - "$work/found/result.json" <<'CHECK' || fail "result.json tells more than is known"
import json, sys
result = json.load(open(sys.argv[1], encoding="utf-8"))
supply = result["supply"]
assert supply["currents_known"] is False, supply
# By the log, laid on the frames by the offset of truth.json, the steps are at 17.05, 22.8 and 28.6 s.
starts = [level["start_s"] for level in supply["levels"]][1:]
assert len(starts) == 3 and all(abs(a - b) < 0.5 for a, b in zip(starts, (17.05, 22.8, 28.6))), starts
assert not any("amps" in level or "watts" in level for level in supply["levels"])
for place in result["candidates"]:
    for key in ("current_exponent", "share_of_supply", "resistance_ohm", "drop_v", "levels"):
        assert key not in place, key
    assert not any("current to the power" in text or "If all the current" in text for text in place["remarks"])
CHECK

# One level too few, and the right list with one that was set after the film's end.
name="levels that do not fit"
sed "s/^\[supply\]/&\nlevels = 0 0.5 1.5/" "$work/bench/case.ini" > "$work/bench/wrong.ini"
run locate "$work/bench/wrong.ini" --out "$work/wrong" --threads 1
expect_code 0
grep -q "^The currents that were given do not fit the frames" "$work/stdout" || fail "$name: $(cat "$work/stdout")"
grep -q "^Almost certainly the fault: C1" "$work/stdout" || fail "$name: $(cat "$work/stdout")"
run check "$work/bench/wrong.ini"
expect_code 7
tr -s ' \n' ' ' < "$work/stdout" | grep -q "currents not known" || fail "$name: $(cat "$work/stdout")"
grep -q "levels .* A for" "$work/stdout" && fail "$name: check shows amps that nobody gave"
name="levels that fit"
sed "s/^\[supply\]/&\nlevels = 0 0.5 1 1.5 0/" "$work/bench/case.ini" > "$work/bench/right.ini"
run locate "$work/bench/right.ini" --out "$work/right" --threads 1
expect_code 0
grep -q "^Almost certainly the fault: C1" "$work/stdout" || fail "$name: $(cat "$work/stdout")"
grep -q "^Note: The change to level 5 (0 A) leaves no trace" "$work/stdout" || fail "$name: $(cat "$work/stdout")"

# A corner in which nothing of the supply warms.
sed -i '/^photo/d; /^points/d; /^parts/d; /^contacts/d; /^times/d; s/^source = .*/&\ncrop = 100 0 60 50/' \
  "$work/bench/case.ini"
name="nothing given, nothing seen"
run locate "$work/bench/case.ini" --out "$work/none" --threads 1
expect_code 4
expect_one_line "no supply log and its frames do not show by themselves when a current was switched: give --log"
[ ! -e "$work/none" ] || fail "a folder is left"

name="levels that the frames do not show"
sed -i 's/^\[supply\]/&\nlevels = 0 1.5 0/' "$work/bench/case.ini"
run locate "$work/bench/case.ini" --out "$work/unseen" --threads 1
expect_code 0
grep -q "^Could not see when the supply was switched" "$work/stdout" || fail "$name: not said"
! grep -q "No fault seen" "$work/stdout" || fail "$name: says that no fault was seen"
run sheet "$work/unseen" --out "$work/sheet.pdf" --png "$work/sheet.png"
expect_code 0
finish "no_log_test"
