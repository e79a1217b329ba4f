#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# `ohmglow check` as a user runs it, on the sample: what it prints, its exit codes, and one clear line
# for bad input.
#   check_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"

# The sample's current only rises, and a part of the board is not in view.
name="warnings"
run check "$sample"
expect_code 7
expect_no_error
grep -q '^Usable, but' "$work/stdout" || fail "$name: $(head -n 1 "$work/stdout")"
for row in 'frames .*frames.tiff .*241 frames' 'supply .*supply.csv .*rows' 'photo .*1000 x 800' 'noise .*mK' \
           'levels .*0 A for .*1.5 A' "clock .*the log's clock is .* of the frames" 'shows .*mW' 'only rises'; do
  grep -q -e "$row" "$work/stdout" || fail "$name: no '$row' in $(cat "$work/stdout")"
done
[ "$(awk 'length > 82' "$work/stdout" | wc -l)" -eq 0 ] || fail "$name: wider than 80"

# By the locale, and by the option against it.
name="German"
LC_ALL=de_DE.UTF-8 run check "$sample"
expect_code 7
grep -q '^Brauchbar, aber' "$work/stdout" || fail "$name: $(head -n 1 "$work/stdout")"
for row in 'Bilder .*frames.tiff .*241 Bilder von' 'Netzteil .*Zeilen in .*,.* s; 0 bis .* A, 0 bis .* V' \
           'Spalte .*Zeit in s, ab irgendeinem Anfang' 'getrennt durch Kommas, Dezimalpunkt'; do
  grep -q -e "$row" "$work/stdout" || fail "$name: no '$row' in $(cat "$work/stdout")"
done
LC_ALL=de_DE.UTF-8 run check "$sample" --language en
grep -q '^Usable, but' "$work/stdout" || fail "$name: --language en: $(head -n 1 "$work/stdout")"

# The same verdict as JSON, and nothing left behind.
name="json"
run check "$sample" --json -
expect_code 7
grep -q '"usable": "with_warnings"' "$work/stdout" || fail "$name: $(head -n 12 "$work/stdout")"
[ -z "$(find "$work" -name '*.partial-*')" ] || fail "$name: wrote something"

# A list of an assembly house: what its columns were taken for, and what else may hold sizes.
cp -r "$(dirname "$sample")" "$work/list"
chmod -R u+w "$work/list"
name="columns of a list"
awk -F, 'NR == 1 { print "Ref;X;Y;Seite;Laenge;Breite" } NR > 1 { print $1 ";" $2 ";" $3 ";" $6 ";" $4 ";" $5 }' \
  "$(dirname "$sample")/parts.csv" > "$work/list/parts.csv"
run check "$work/list/case.ini"
for row in 'column .*Laenge .*length of the body' 'column .*Breite .*width of the body' 'column .*Seite .*side'; do
  grep -q -e "$row" "$work/stdout" || fail "$name: no '$row' in $(cat "$work/stdout")"
done
flat() { tr -s ' \n' ' ' < "$work/stdout"; }
flat | grep -q 'guessed from their kinds' && fail "$name: sizes guessed"
sed -i '1s/Laenge;Breite/A;B/' "$work/list/parts.csv"
run check "$work/list/case.ini"
flat | grep -q 'no sizes found; these columns hold numbers: A, B' || fail "$name: $(cat "$work/stdout")"

cp -r "$(dirname "$sample")" "$work/case"
chmod -R u+w "$work/case"
name="no step"
awk -F, -v OFS=, 'NR > 1 { $3 = "1.000" } { print }' "$work/case/supply.csv" > "$work/flat"
cp "$work/flat" "$work/case/supply.csv"
run check "$work/case/case.ini"
expect_code 4
expect_no_error
grep -q '^Not usable' "$work/stdout" || fail "$name: $(head -n 1 "$work/stdout")"
grep -q 'amps stay at 1 A' "$work/stdout" || fail "$name: $(cat "$work/stdout")"
grep -q 'noise .*mK' "$work/stdout" || fail "$name: the frames are not described"

bad() { expect_refusal check "$@"; }
bad "no case"      2 'case' --
bad "json to file" 2 'standard output' -- "$sample" --json check.json
bad "no --out"     2 'write --json - > check.json' -- "$sample" --json check.json
bad "missing"      3 'none\.ini' -- "$work/none.ini"

finish "check_test"
