#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Folders as they come from a bench, made of the sample's files: other spellings of the same capture
# must give the part that the tidy case gives, or one question. tools/trials/messy has thirty more.
#   messy_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"
from=$(dirname "$sample")

# The first place's part.
part() { grep -m 1 '"ref"' "$work/stdout" || echo none; }
run locate "$sample" --json - --threads 1
wanted=$(part)

# What lies in each of them; the scale of the counts is what no file says.
folder() {
  bench="$work/Prüfling $1"
  mkdir -p "$bench"
  cp "$from/frames.tiff" "$bench/Aufnahme (2).TIF"
  cp "$from/points.csv" "$bench/landmarks.csv"
  printf 'Board 7, second try. Rail shorted.\nLeads on the left, 0,5 A steps.\n' > "$bench/readme.txt"
  printf '[view]\nmode=1\n' > "$bench/desktop.ini"
  chmod -R u+w "$bench"
}
scale() { printf '[frames]\nscale = 0.025\nzero = 273.15\n' > "$bench/case.ini"; }
same_part() {
  run locate "$bench" --json - --threads 1
  expect_code 0
  expect_no_error
  grep -q '"verdict": "found"' "$work/stdout" || fail "$name: not found"
  [ "$(part)" = "$wanted" ] || fail "$name: $(part), not $wanted"
}

name="German log in UTF-16, list in mil"
folder one
scale
awk -F, 'BEGIN { print "Protokoll\r\n\r\nZeit (s);Spannung (V);Strom (mA)\r" }
  NR > 1 { s = $1 ";" $2 ";" $3 * 1000; gsub(/[.]/, ",", s); print s "\r" }' "$from/supply.csv" |
  iconv -f UTF-8 -t UTF-16 > "$bench/Netzgerät.txt"
awk -F, 'BEGIN { print "Designator,Mid X (mil),Mid Y (mil),Width (mil),Height (mil),Layer" }
  NR > 1 { printf "%s,%.1f,%.1f,%.1f,%.1f,%s\n", $1, $2 / 0.0254, $3 / 0.0254, $4 / 0.0254,
           $5 / 0.0254, $6 == "top" ? "T" : "B" }' "$from/parts.csv" > "$bench/placement.txt"
cp "$from/photo.png" "$bench/IMG 17.jpg"
same_part

name="log with clock times and a second channel that is off"
folder two
scale
awk -F, 'BEGIN { print "Time,CH1 V,CH1 A,CH2 V,CH2 A" }
  NR > 1 { printf "14:%02d:%06.3f,%s,%s,0,0\n", $1 / 60, $1 % 60, $2, $3 }' "$from/supply.csv" \
  > "$bench/log.csv"
cp "$from/parts.csv" "$bench"
same_part

name="counts of unknown scale"
folder three
cp "$from/supply.csv" "$bench"
run locate "$bench" --json - --threads 1
expect_code 3
expect_one_line 'Aufnahme \(2\)\.TIF' 'scale|unit'

finish "messy_test"
