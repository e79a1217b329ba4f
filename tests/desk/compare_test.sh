#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Two answers of the desk beside each other, held against the command.
#   compare_test.sh PROGRAM CASE_FOLDER
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/open.sh"

mkdir "$work/shelf"
for name in first second; do
  cp -r "$sample" "$work/shelf/$name"
done
chmod -R u+w "$work/shelf"
open_desk "$work/shelf"

# wait_for WHICH: a result of that computation.
wait_for() {
  local waited
  for waited in $(seq 1200); do
    ask "${address}api/state"
    /usr/bin/python3 -c 'import json,sys
state = json.load(open(sys.argv[1]))[sys.argv[2]]
sys.exit(0 if state["state"] == "done" else 2 if state["state"] == "failed" else 1)' "$work/body" "$1" && return 0
    sleep 0.1
  done
  fail "$name: $1 is not done: $(cat "$work/body")"
}

name="compare before a case is chosen"
post api/compare '{"number": 1}'
expect_status 400

name="compare"
post api/choose '{"number": 0}'
post api/compare '{"number": 7}'
expect_status 400
post api/compare '{"number": 1}'
expect_status 200
name="one computation at a time"
post api/run
expect_status 409
post api/choose '{"number": 1}'
expect_status 409
name="compare"
wait_for compared
ask "${address}api/compared"
expect_status 200
cp "$work/body" "$work/desk.json"
run compare "$work/shelf/first/case.ini" "$work/shelf/second/case.ini" --json - --threads 1
expect_code 0
/usr/bin/python3 - "$work/desk.json" "$work/stdout" <<'PY' || fail "$name: another answer than the command's"
import json, sys
desk, command = (json.load(open(name)) for name in sys.argv[1:])
assert len(desk.pop("photo_from_frame")) == 9
assert desk == command, [(key, desk[key], command.get(key)) for key in desk if desk[key] != command.get(key)]
assert desk["verdict"] != "repaired"  # The same capture twice.
PY
for of in before after; do
  ask "${address}api/compared-map?of=$of"
  [ "$(stat -c %s "$work/body")" -eq $((160 * 120 * 4)) ] || fail "$name: size of $of"
done

name="what if a part is left out"
ask "${address}api/result?second"
expect_status 400
post api/what-if '{"parts": ["C1"]}'
expect_status 200
wait_for second
ask "${address}api/result?second"
expect_status 200
/usr/bin/python3 - "$work/body" <<'PY' || fail "$name: $(head -c 300 "$work/body")"
import json, sys
place = json.load(open(sys.argv[1]))["candidates"][0]
assert all(part["ref"] != "C1" for part in place["parts"]), place["parts"]
PY
ask "${address}api/result"
expect_status 400
cmp -s "$work/shelf/first/parts.csv" "$sample/parts.csv" || fail "$name: the case was changed"

name="what if too much is left out"
post api/what-if '{"spans": [[0, 1000]]}'
for waited in $(seq 200); do
  ask "${address}api/state"
  grep -q 'leave out less' "$work/body" && break
  sleep 0.1
done
grep -q 'leave out less' "$work/body" || fail "$name: $(cat "$work/body")"

finish "desk, compare"
