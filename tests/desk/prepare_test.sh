#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Changes of the desk to the files of a case: at once, whole, and never over another program's.
#   prepare_test.sh PROGRAM CASE_FOLDER
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/open.sh"

cp -r "$sample" "$work/case"
chmod -R u+w "$work/case"
# A table with a column and a case file with comments of its owner.
sed -i '1s/$/,seen_by/; 2,$s/$/,me/' "$work/case/points.csv"
sed -i 's/^mm_per_pixel.*/& ; measured twice/' "$work/case/case.ini"
cp "$work/case/points.csv" "$work/points.csv"
open_desk "$work/case/case.ini"

tables() { ask "${address}api/tables"; }

name="landmarks with their residuals"
tables
expect_status 200
rows=$(value landmarks rows)
version=$(value landmarks version)
[ "$(value fit residual_px | tr ',' '\n' | wc -l)" = "$(($(wc -l < "$work/points.csv") - 1))" ] ||
  fail "$name: $(value fit)"

name="one more, saved at once"
post api/landmarks "{\"version\":\"$version\",\"rows\":${rows%]},{\"frame\":[80,60],\"photo\":[560.126,600]}]}"
expect_status 200
[ "$(head -n -1 "$work/case/points.csv")" = "$(cat "$work/points.csv")" ] || fail "$name: other rows changed"
[ "$(tail -n 1 "$work/case/points.csv")" = "80.00,60.00,560.13,600.00,,," ] ||
  fail "$name: $(tail -n 1 "$work/case/points.csv")"
! ls "$work/case" | grep -q partial || fail "$name: leftovers"

name="the same version twice"
post api/landmarks "{\"version\":\"$version\",\"rows\":$rows}"
expect_status 409
[ "$(wc -l < "$work/case/points.csv")" = "$(($(wc -l < "$work/points.csv") + 1))" ] || fail "$name: written"

name="undo"
post api/undo
expect_status 200
cmp -s "$work/case/points.csv" "$work/points.csv" || fail "$name: not as it was"
post api/undo
expect_status 400

name="another program's change is noticed"
tables
version=$(value landmarks version)
printf '1,2,3,4,,,other\n' >> "$work/case/points.csv"
cp "$work/case/points.csv" "$work/theirs.csv"
post api/landmarks "{\"version\":\"$version\",\"rows\":[]}"
expect_status 409
grep -q 'another program' "$work/body" || fail "$name: $(cat "$work/body")"
cmp -s "$work/case/points.csv" "$work/theirs.csv" || fail "$name: overwritten"
tables
[ "$(value landmarks rows -1 frame)" = "[1.0, 2.0]" ] || fail "$name: not seen: $(value landmarks rows)"

name="undo over another program's change"
version=$(value landmarks version)
rows=$(value landmarks rows)
post api/landmarks "{\"version\":\"$version\",\"rows\":[]}"
expect_status 200
cp "$work/theirs.csv" "$work/case/points.csv"
post api/undo
expect_status 409
cmp -s "$work/case/points.csv" "$work/theirs.csv" || fail "$name: overwritten"

name="a setting, its comment kept"
cp "$work/case/case.ini" "$work/case.ini"
tables
version=$(value case_version)
post api/setting "{\"version\":\"$version\",\"key\":\"board.mm_per_pixel\",\"value\":\"0.41\"}"
expect_status 200
diff "$work/case.ini" "$work/case/case.ini" > "$work/diff" || true
[ "$(grep -c '^[<>]' "$work/diff")" = 2 ] && grep -qx '> mm_per_pixel = 0.41 ; measured twice' "$work/diff" ||
  fail "$name: $(cat "$work/diff")"

name="settings that are none"
tables
version=$(value case_version)
cp "$work/case/case.ini" "$work/case.ini"
for bad in '"board.mm_per_pixel","value":"minus"' '"frames.table","value":"x"' '"title","value":"a\nb"' \
  '"board.photo","value":"../../outside.png"' '"surface.emissivity","value":"7"'; do
  post api/setting "{\"version\":\"$version\",\"key\":$bad}"
  [ "$status" = 400 ] || [ "$status" = 422 ] || fail "$name: $bad: $status"
done
cmp -s "$work/case.ini" "$work/case/case.ini" || fail "$name: written"

name="a file elsewhere"
cp "$work/case/contacts.csv" "$work/elsewhere.csv"
post api/setting "{\"version\":\"$version\",\"key\":\"board.contacts\",\"value\":\"../elsewhere.csv\"}"
expect_status 400
post api/setting "{\"version\":\"$version\",\"key\":\"board.contacts\",\"value\":\"$work/elsewhere.csv\"}"
expect_status 400
cmp -s "$work/case.ini" "$work/case/case.ini" || fail "$name: written"

# What it holds would stand in the message of its reader.
printf 'secret,of,others\n' > "$work/secret.csv"
post api/setting "{\"version\":\"$version\",\"key\":\"board.points\",\"value\":\"../secret.csv\"}"
expect_status 400
! grep -q 'secret,of' "$work/body" || fail "$name: read"

name="not through a link"
cp "$work/case/contacts.csv" "$work/outside.csv"
cp "$work/outside.csv" "$work/outside-before.csv"
mv "$work/case/contacts.csv" "$work/contacts.csv"
ln -s "$work/outside.csv" "$work/case/contacts.csv"
post api/contacts '{"version":"none","rows":[]}'
[ "$status" = 422 ] || fail "$name: $status"
cmp -s "$work/outside.csv" "$work/outside-before.csv" || fail "$name: written through"
rm "$work/case/contacts.csv"
mv "$work/contacts.csv" "$work/case/contacts.csv"

name="nothing half written when the desk is killed"
tables
version=$(value landmarks version)
post api/landmarks "{\"version\":\"$version\",\"rows\":[{\"frame\":[1,1],\"photo\":[2,2]}]}"
kill -KILL "$desk"
wait "$desk" 2> /dev/null || true
desk=
grep -q '^1.00,1.00,2.00,2.00' "$work/case/points.csv" || fail "$name: what was saved is lost"

name="a bare folder"
mkdir "$work/bare"
cp "$sample/frames.tiff" "$sample/photo.png" "$work/bare"
chmod u+w "$work/bare"/*
open_desk "$work/bare"
ask "${address}api/state"
if ! grep -q '"case"' "$work/body"; then
  # What no file says of the sample's counts.
  version=$(value case_version)
  printf '[frames]\nscale = 0.025\nzero = 273.15\nrate_hz = 8\n' > "$work/bare/case.ini"
fi
tables
expect_status 200
post api/landmarks '{"version":"none","rows":[{"frame":[10,10],"photo":[100,100]},{"frame":[90,10],"photo":[500,100]},{"frame":[50,90],"photo":[300,500]}]}'
expect_status 200
[ "$(wc -l < "$work/bare/points.csv")" = 4 ] || fail "$name: points.csv"
ask "${address}api/tables"
grep -q 'photo_from_frame' "$work/body" || fail "$name: three landmarks make no map: $(cat "$work/body")"

name="stills"
for of in rest rise; do
  ask "${address}api/still?of=$of"
  expect_status 200
  [ "$(stat -c %s "$work/body")" -eq $((160 * 120 * 4)) ] || fail "$name: size of $of"
done
ask "${address}api/still?of=../x"
expect_status 400

finish "desk, prepare"
