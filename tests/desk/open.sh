# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Sourced by the tests of the desk: opens one, asks it, closes it.

source "$(dirname "${BASH_SOURCE[0]}")/../cli/check.sh"
trap 'close_desk; chmod -R u+w "$work"; rm -rf "$work"' EXIT
desk=
# The user's own settings are not what is tried here.
export XDG_CONFIG_HOME=$work/config

# open_desk PLACE [OPTION...]: leaves the address in $address, its port in $port, its key in $token.
open_desk() {
  rm -f "$work/desk.out"  # Of a desk before: its address must not be taken for this one's.
  touch "$work/desk.out"
  "$program" desk "$@" --no-browser --threads 1 > "$work/desk.out" 2> "$work/desk.err" &
  desk=$!
  local waited
  for waited in $(seq 200); do
    grep -q 'closes it' "$work/desk.out" && break
    kill -0 "$desk" 2> /dev/null || break
    sleep 0.05
  done
  address=$(sed -nE 's/^The desk is open at (.*)$/\1/p' "$work/desk.out")
  port=$(sed -nE 's#.*127\.0\.0\.1:([0-9]+)/.*#\1#p' <<< "$address")
  token=$(sed -nE 's#.*:[0-9]+/([^/]*)/$#\1#p' <<< "$address")
  [ -n "$token" ] || { fail "the desk does not open: $(cat "$work/desk.err")"; finish desk; exit 1; }
}

close_desk() {
  [ -n "$desk" ] || return 0
  end_desk INT
  desk=
}

# end_desk SIGNAL: leaves the exit code in $code; a desk that does not end is a failure, no wait for ever.
end_desk() {
  code=0
  kill -"$1" "$desk" 2> /dev/null || true
  local waited
  for waited in $(seq 200); do
    kill -0 "$desk" 2> /dev/null || break
    sleep 0.05
  done
  if kill -KILL "$desk" 2> /dev/null; then fail "the desk does not end"; fi
  wait "$desk" || code=$?
}

# ask ARGUMENT...: curl; leaves the status in $status, the body in $work/body, the headers in $work/head.
ask() { status=$(curl -s -m 20 -o "$work/body" -D "$work/head" -w '%{http_code}' "$@" || true); }

# As the page does.
post() {
  local path=$1 data=${2:-"{}"}
  ask -H "Origin: http://127.0.0.1:$port" -H 'Content-Type: application/json' -d "$data" "$address$path"
}

expect_status() { [ "$status" = "$1" ] || fail "$name: status $status, not $1: $(head -c 300 "$work/body")"; }

# value KEY...: of the last answer.
value() { /usr/bin/python3 -c 'import json,sys
d = json.load(open(sys.argv[1]))
for key in sys.argv[2:]: d = d[int(key)] if key.lstrip("-").isdigit() else d[key]
print(d if isinstance(d, str) else json.dumps(d))' "$work/body" "$@"; }
