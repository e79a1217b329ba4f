#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Copies the sample case, breaks the copy in one way, and runs the program: each time one line on
# standard error that names the place, the right exit code, and a result folder that is untouched:
# absent where there was none, the older result byte by byte where there was one.
#   bad_inputs_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
sample=$(dirname "$2")
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"
num_bad=0

# A result that an earlier run might have left.
older=$work/older
lay_older_result() {
  rm -rf "$older" "$work/out"
  mkdir "$older"
  echo '{"program": {"name": "ohmglow"}, "mark": "older"}' > "$older/result.json"
  echo older > "$older/overlay.png"
}
lay_older_result

expect_untouched() {
  if ! grep -qx older "$older/overlay.png" || ! grep -q '"older"' "$older/result.json" ||
    [ -e "$work/out" ] || compgen -G "$work/*.partial-*" > /dev/null; then
    fail "$name: a result folder was made or changed"
    lay_older_result
  fi
}

# bad NAME EXIT_CODE 'COMMANDS that break the copy, run inside it' PATTERN...
bad() {
  name=$1
  local expected=$2 commands=$3 out
  shift 3
  num_bad=$((num_bad + 1))
  rm -rf "$work/case"
  cp -r "$sample" "$work/case"
  chmod -R u+w "$work/case"
  (cd "$work/case" && eval "$commands") || fail "$name: could not be made"
  for out in "$work/out" "$older"; do
    run locate "$work/case/case.ini" --out "$out"
    expect_code "$expected"
    expect_one_line "$@"
    expect_untouched
  done
}

# bad_options NAME EXIT_CODE 'ARGUMENTS' PATTERN...
bad_options() {
  name=$1
  local expected=$2 arguments
  read -ra arguments <<< "$3"
  shift 3
  num_bad=$((num_bad + 1))
  run "${arguments[@]}"
  expect_code "$expected"
  expect_one_line "$@"
  expect_untouched
}

# Edits of the copy. set_key KEY VALUE: in case.ini. set_cell TABLE ROW COLUMN TEXT: ROW counts
# the header as 1, as editors do.
set_key() { sed -i -E "s|^$1 *=.*|$1 = $2|" case.ini && grep -q "^$1 = " case.ini; }
# every_fourth COLUMN TEXT: that cell in every fourth row of supply.csv.
every_fourth() {
  awk -F, -v OFS=, -v c="$1" -v t="$2" 'NR > 1 && NR % 4 == 0 {$c = t} 1' supply.csv > new && mv new supply.csv
}
set_cell() { awk -F, -v OFS=, -v r="$2" -v c="$3" -v t="$4" 'NR==r {$c=t} 1' "$1" > new && mv new "$1"; }
cut_rows() { head -n "$2" "$1" > new && mv new "$1"; }
drop_column() { cut -d, -f"$2" --complement "$1" > new && mv new "$1"; }
shorten() { truncate -s "$2" "$1"; }

bad "no case file"          3 'rm case.ini'                          'case\.ini'
bad "case file is a folder" 3 'rm case.ini; mkdir case.ini'          'case\.ini'
bad "empty case file"       3 ': > case.ini'                         'case\.ini' 'source'
bad "no frames.source"      3 'sed -i "/^source/d" case.ini'         'case\.ini' 'source'
bad "missing frames"        3 'rm frames.tiff'                       'frames\.tiff'
bad "pattern of nothing"    3 'set_key source "raw/*.tiff"'          'raw'
bad "frames cut short"      3 'shorten frames.tiff 200000'           'frames\.tiff'
bad "frames of no bytes"    3 ': > frames.tiff'                      'frames\.tiff'
bad "frames that are text"  3 'echo hello > frames.tiff'             'frames\.tiff'
bad "frame sizes differ"    3 'mkdir raw; printf "P5 4 4 255\n%016d" 0 > raw/a1.pgm; printf "P5 5 4 255\n%020d" 0 > raw/a2.pgm; set_key source raw; sed -i "/^times/d" case.ini' 'a2\.pgm'
bad "scale is no number"    3 'set_key scale warm'                   'case\.ini' 'scale'
bad "scale is zero"         3 'set_key scale 0'                      'case\.ini' 'scale'
bad "rate is negative"      3 'set_key rate_hz -8'                   'case\.ini' 'rate_hz'
bad "unknown side"          3 'set_key side left'                    'case\.ini' 'side' 'top'
bad "no pixel size"         3 'set_key mm_per_pixel 0'               'case\.ini' 'mm_per_pixel'
bad "thickness is nan"      3 'set_key thickness_mm nan'             'case\.ini' 'thickness_mm'
bad "emissivity above 1"    3 'set_key emissivity 1.4'               'case\.ini' 'emissivity'
bad "emissivity of zero"    3 'set_key emissivity 0'                 'case\.ini' 'emissivity'
bad "below absolute zero"   3 'set_key reflected_c -300'             'case\.ini' 'reflected_c'
bad "film is negative"      3 'set_key film_w_m2k -1'                'case\.ini' 'film_w_m2k'
bad "offset is no number"   3 'set_key clock_offset_s soon'          'case\.ini' 'clock_offset_s'
bad "unknown key"           3 'sed -i "s/^side/sdie/" case.ini'      'case\.ini' 'sdie'
bad "line without ="        3 'sed -i "/^side/s/=/ /" case.ini'      'case\.ini' 'row|line'
bad "no supply table"       3 'rm supply.csv'                        'supply\.csv'
bad "supply without amps"   3 'sed -i "1s/amps/colour/" supply.csv'  'supply\.csv' 'amps' 'supply\.columns'
# A row or two are left out and told; a quarter of them is another matter.
bad "volts are no numbers"  3 'every_fourth 2 high'                  'supply\.csv' 'row 4' 'volts' 'high' '32 of 128'
bad "amps are nan"          3 'every_fourth 3 nan'                   'supply\.csv' 'row 4' 'amps' '32 of 128'
bad "supply time backwards" 3 'every_fourth 1 -50'                   'supply\.csv' 'row [0-9]+' 'time_s'
bad "supply rows cut short" 3 'every_fourth 3 ""'                    'supply\.csv' 'row 4' 'amps'
bad "supply of no rows"     3 'cut_rows supply.csv 1'                'supply\.csv'
bad "no current at all"     4 'awk -F, -v OFS=, "NR>1 {\$3=0} 1" supply.csv > new; mv new supply.csv' 'no current step' 'raised in steps'
bad "the same current always" 4 'awk -F, -v OFS=, "NR>1 {\$3=1.5} 1" supply.csv > new; mv new supply.csv' 'amps stay at 1.5 A' 'swapped' 'columns in'
bad "steps after the frames" 4 'set_key clock_offset_s 500'          'while the frames were taken' 'clock_offset_s'
bad "no photo"              3 'rm photo.png'                         'photo\.png'
bad "photo cut short"       3 'shorten photo.png 100'                'photo\.png'
bad "photo is text"         3 'echo hello > photo.png'               'photo\.png'
bad "landmark no number"    3 'set_cell points.csv 3 1 left'         'points\.csv' 'row 3' 'frame_x'
bad "points lack a column"  3 'drop_column points.csv 4'             'points\.csv' 'photo_y'
bad "landmarks on a line"   4 'awk -F, -v OFS=, "NR>1 {\$1=NR; \$2=NR; \$3=NR; \$4=NR} 1" points.csv > new; mv new points.csv' 'line|landmark'
bad "frame for photo"       3 'awk -F, -v OFS=, "NR>1 {t=\$1; \$1=\$3; \$3=t; t=\$2; \$2=\$4; \$4=t} 1" points.csv > new; mv new points.csv' 'points\.csv' 'outside the frames'
bad "landmarks x for y"     4 'awk -F, -v OFS=, "NR>1 {t=\$1; \$1=\$2; \$2=t} 1" points.csv > new; mv new points.csv' 'mirror image|landmark'
bad "part of negative width" 3 'set_cell parts.csv 4 4 -2'         'parts\.csv' 'row 4' 'width_mm'
bad "part of unknown side"  3 'set_cell parts.csv 5 6 edge'          'parts\.csv' 'row 5' 'side'
bad "contacts lack a column" 3 'drop_column contacts.csv 1'          'contacts\.csv' 'frame_x'
bad "contact is no number"  3 'set_cell contacts.csv 2 2 -'          'contacts\.csv' 'row 2' 'frame_y'

case_ini=$sample/case.ini
bad_options "no command"     2 ""                                    '--help'
bad_options "unknown command" 2 "lcate"                              "lcate" "'locate'"
bad_options "unknown option" 2 "locate $case_ini --uot $work/out"    "'--uot'" "'--out'"
bad_options "no case"        2 "locate --out $work/out"              'case file'
bad_options "no out"         2 "locate $case_ini"                    '--out'
bad_options "value missing"  2 "locate $case_ini --out"              '--out'
bad_options "out of range"   2 "locate $case_ini --out $work/out --max-candidates 0" 'max-candidates' '1 to'
bad_options "no probability" 2 "locate $case_ini --out $work/out --false-alarm-prob often" 'false-alarm-prob' 'often'
bad_options "json to a file" 2 "locate $case_ini --json a.json"      '--json'
bad_options "parent missing" 5 "locate $case_ini --out $work/no/out" 'no/out'
: > "$work/file"
bad_options "out is a file"  5 "locate $case_ini --out $work/file"   "$work/file" 'is a file'
mkdir "$work/strange"
echo holiday > "$work/strange/overlay.png"
bad_options "strange folder" 5 "locate $case_ini --out $work/strange" 'strange' 'no result'
[ "$(cat "$work/strange/overlay.png")" = holiday ] || fail "strange folder: changed"

finish "bad_inputs_test: $num_bad bad inputs"
