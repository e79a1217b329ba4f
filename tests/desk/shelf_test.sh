#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# A folder of cases: their contact sheet, made from the desk, stopped, and nothing beside the folder.
#   shelf_test.sh PROGRAM CASE_FOLDER
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/open.sh"

shelf=$work/shelf
mkdir "$shelf"
# No file of that name on every system: on the sheet it is called good_ 2.
cp -r "$sample" "$shelf/good? 2"
cp -r "$sample" "$shelf/broken"
cp -r "$sample" "$shelf/elsewhere"
chmod -R u+w "$shelf"
rm "$shelf/broken/frames.tiff"
cp "$sample/photo.png" "$work/outside.png"
sed -i 's|^photo = .*|photo = ../../outside.png|' "$shelf/elsewhere/case.ini"
open_desk "$shelf" --max-candidates 1

# until_state WORD: of the contact sheet.
until_state() {
  local waited
  for waited in $(seq 400); do
    ask "${address}api/state"
    [ "$(value sheets state)" = "$1" ] && return
    sleep 0.1
  done
  fail "$name: $(value sheets) is not $1"
}

name="none yet"
ask "${address}api/contact-sheet"
expect_status 200
[ "$(cat "$work/body")" = "{}" ] || fail "$name: $(cat "$work/body")"

name="stopped at once"
post api/contact-sheet
expect_status 200
post api/run
[ "$status" != 200 ] || fail "$name: two computations beside each other"
post api/contact-sheet
expect_status 409
post api/stop
until_state stopped
[ ! -e "$shelf/contact-sheet/summary.json" ] || fail "$name: it went on"

name="all cases"
post api/contact-sheet
expect_status 200
until_state done
ask "${address}api/contact-sheet"
[ "$(value "good_ 2" first ref)" = C1 ] || fail "$name: $(value "good_ 2")"
[ "$(value "good_ 2" picture)" = true ] || fail "$name: $(value "good_ 2")"
[ "$(value broken status)" = failed ] && [[ $(value broken error) == *frames.tiff* ]] || fail "$name: $(value broken)"
! grep -q '"elsewhere"' "$work/body" || fail "$name: a file beside the folder was read"
[ "$(grep -c '"rank"' "$shelf/contact-sheet/summary.json")" = 1 ] || fail "$name: the desk's own numbers are lost"
[ -f "$shelf/contact-sheet/index.html" ] || fail "$name: no index.html"
ask "${address}api/state"
[ "$(value shelf 2 name)" = "good? 2" ] && [ "$(value shelf 2 on_sheet)" = "good_ 2" ] || fail "$name: $(value shelf)"
[ "$(value shelf | tr '{' '\n' | grep -c '"name"')" = 3 ] || fail "$name: the sheet's folders count as cases: $(value shelf)"

name="thumbnails"
ask "${address}api/thumbnail?number=2"
expect_status 200
[ "$(head -c 2 "$work/body" | od -An -tx1 | tr -d ' ')" = ffd8 ] || fail "$name: no JPEG"
for bad in 0 1 3 -1 1e9 x; do
  ask "${address}api/thumbnail?number=$bad"
  expect_status 400
done
mv "$shelf/contact-sheet/good_ 2/thumbnail.jpg" "$work/thumbnail.jpg"
ln -s "$work/outside.png" "$shelf/contact-sheet/good_ 2/thumbnail.jpg"
ask "${address}api/thumbnail?number=2"
expect_status 400

name="not into a link"
mv "$shelf/contact-sheet" "$work/sheet"
mkdir "$work/target"
ln -s "$work/target" "$shelf/contact-sheet"
post api/contact-sheet
until_state failed
[ -z "$(ls "$work/target")" ] || fail "$name: written through"

finish "desk, shelf"
