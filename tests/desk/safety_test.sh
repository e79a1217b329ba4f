#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# The desk tried from outside: who gets in, and what of the disk.
#   safety_test.sh PROGRAM CASE_FOLDER
set -euo pipefail
program=$1
sample=$2
source "$(dirname "${BASH_SOURCE[0]}")/open.sh"

mkdir "$work/shelf"
cp -r "$sample" "$work/shelf/good"
chmod -R u+w "$work/shelf"
mkdir "$work/shelf/away" "$work/shelf/linked"
printf '[frames]\nsource = ../../secret.tiff\n' > "$work/shelf/away/case.ini"
cp "$sample/frames.tiff" "$work/secret.tiff"
printf '[frames]\nsource = frames.tiff\n' > "$work/shelf/linked/case.ini"
ln -s "$work/secret.tiff" "$work/shelf/linked/frames.tiff"
mkdir "$work/elsewhere"
cp "$sample/case.ini" "$work/elsewhere"
ln -s "$work/elsewhere" "$work/shelf/link-to-case"

# Read by the kernel, lnk/.. is not this folder; and a pipe would never end.
mkdir "$work/shelf/stepped" "$work/shelf/piped" "$work/apart"
ln -s "$work/apart" "$work/shelf/stepped/lnk"
printf '[frames]\nsource = lnk/../secret.tiff\n' > "$work/shelf/stepped/case.ini"
cp "$sample/frames.tiff" "$work/shelf/piped"
mkfifo "$work/shelf/piped/points.csv"
printf '[frames]\nsource = frames.tiff\n[board]\npoints = points.csv\n' > "$work/shelf/piped/case.ini"

open_desk "$work/shelf"
host=127.0.0.1:$port

name="the page itself"
ask "$address"
expect_status 200
grep -qi "^content-security-policy: default-src 'self'" "$work/head" || fail "$name: no policy"
grep -qi '^x-content-type-options: nosniff' "$work/head" || fail "$name: types may be guessed"
grep -qi '^referrer-policy: no-referrer' "$work/head" || fail "$name: the key may leave in a referrer"
grep -qi '^cache-control: no-store' "$work/head" || fail "$name: the page may be kept"
! grep -qi '^set-cookie' "$work/head" || fail "$name: a cookie"
# What the policy would refuse anyway: nothing of the page names another place.
! grep -qE 'https?://' <(grep -v 'www.w3.org' "$work/body") || fail "$name: an address of elsewhere"

name="key 128 bits, new each time"
[[ $token =~ ^[0-9a-f]{32}$ ]] || fail "$name: $token"

name="without the key"
for path in "" / /api/state /index.html "/$(tr 0-9a-f a-f0-9 <<< "$token")/" "/${token:0:31}/" "/$token" "/$token$token/"; do
  ask --path-as-is "http://$host$path"
  expect_status 403
done

name="wrong host"
# DNS rebinding: another site's name that points here.
ask -H "Host: example.com" "$address"
expect_status 403
ask -H "Host: example.com:$port" "$address"
expect_status 403
ask -H "Host: 127.0.0.1" "$address"
expect_status 403
ask -H "Host:" "$address"
[ "$status" = 403 ] || [ "$status" = 400 ] || fail "$name: without a host: $status"

name="another site's request"
ask -H "Origin: http://example.com" "${address}api/state"
expect_status 403
ask -H "Origin: null" "${address}api/state"
expect_status 403
ask -H "Origin: http://127.0.0.1:1" -H 'Content-Type: application/json' -d '{}' "${address}api/run"
expect_status 403
ask -H 'Content-Type: application/json' -d '{}' "${address}api/run"
expect_status 403
ask -H "Origin: http://$host" -H 'Content-Type: text/plain' -d '{}' "${address}api/run"
expect_status 415
ask "${address}api/state"
grep -q '"idle"' "$work/body" || fail "$name: one of them started the work"

name="other methods"
for method in PUT DELETE PATCH OPTIONS; do
  ask -X "$method" -H "Origin: http://$host" "${address}api/state"
  expect_status 405
done

name="files beside the page"
for path in ../../../etc/passwd %2e%2e/%2e%2e/etc/passwd ..%2f..%2fsecret.tiff good/case.ini api /etc/passwd api/map?of=../x; do
  ask --path-as-is "$address$path"
  [ "$status" = 404 ] || [ "$status" = 400 ] || [ "$status" = 403 ] || fail "$name: $path: $status"
  ! grep -q 'root:' "$work/body" || fail "$name: $path was read"
done

name="large and broken bodies"
head -c 1200000 /dev/zero | tr '\0' ' ' > "$work/large"
ask -H "Origin: http://$host" -H 'Content-Type: application/json' --data-binary "@$work/large" "${address}api/choose"
expect_status 413
post api/choose '{"number": '
expect_status 400
post api/choose '{"number": 99}'
expect_status 400
post api/choose '{"number": -1}'
expect_status 400
post api/choose "$(printf '[%.0s' $(seq 20000))"
expect_status 400

name="bodies of untold size"
ask -H "Origin: http://$host" -H 'Content-Type: application/json' -H 'Transfer-Encoding: chunked' -d '{}' "${address}api/choose"
expect_status 413
ask -H "Origin: http://$host" -H 'Content-Type: application/json' -H 'Content-Encoding: gzip' -d '{}' "${address}api/choose"
expect_status 413

name="shelf"
ask "${address}api/state"
for wanted in away good linked; do grep -q "\"$wanted\"" "$work/body" || fail "$name: $wanted is missing"; done
! grep -q 'link-to-case' "$work/body" || fail "$name: a link to a folder is followed"

# In the order of their names.
name="a case that names files elsewhere"
post api/choose '{"number": 0}'
ask "${address}api/state"
grep -q 'not below the folder' "$work/body" || fail "$name: $(cat "$work/body")"
name="a case with a link"
post api/choose '{"number": 2}'
ask "${address}api/state"
grep -q 'not below the folder' "$work/body" || fail "$name: $(cat "$work/body")"
name="a step back behind a link"
post api/choose '{"number": 4}'
ask "${address}api/state"
grep -q 'not below the folder' "$work/body" || fail "$name: $(cat "$work/body")"
ask "${address}api/still?of=rest"
expect_status 422
name="a pipe"
post api/choose '{"number": 3}'
ask -m 5 "${address}api/state"
grep -q 'no ordinary file' "$work/body" || fail "$name: $status $(cat "$work/body")"
name="a good case after bad ones"
post api/choose '{"number": 1}'
ask "${address}api/state"
grep -q '"Tide-gauge' "$work/body" || fail "$name: $(cat "$work/body")"
grep -q '{"name":"good","on_sheet":"good","open":true}' "$work/body" || fail "$name: not told as open: $(cat "$work/body")"

name="no other address"
for other in $(hostname -I 2> /dev/null) ::1; do
  [ "$other" = 127.0.0.1 ] && continue
  [[ $other == *:* ]] && other="[$other]"
  ask -m 2 "http://$other:$port/$token/"
  [ "$status" = 000 ] || fail "$name: reached at $other: $status"
done

name="a taken port"
run desk "$work/shelf" --no-browser --port "$port"
expect_code 5
expect_one_line "port $port" 'taken'

name="nothing of the key in the program's words"
[ "$(grep -c "$token" "$work/desk.out")" = 1 ] || fail "$name: not printed exactly once"
[ ! -s "$work/desk.err" ] || fail "$name: $(cat "$work/desk.err")"

name="too many requests"
seq 400 | sed "s#.*#url = \"${address}mark.svg\"#" > "$work/many"
curl -s -m 20 -o /dev/null -w '%{http_code}\n' -K "$work/many" > "$work/codes" || true
# One output file serves the first only; the others go to standard output, between the codes.
grep -aq '429' "$work/codes" || fail "$name: all were answered"
sleep 1
seq 400 | sed "s#.*#url = \"http://$host/wrong/\"#" > "$work/many"
curl -s -m 20 -o /dev/null -K "$work/many" > /dev/null || true
name="strangers take nothing from who has the key"
ask "$address"
expect_status 200

name="the page's own button"
post api/end
expect_status 200
end_desk 0
desk=
expect_code 0
grep -q 'The desk is closed' "$work/desk.out" || fail "$name: $(cat "$work/desk.out")"

name="Ctrl-C"
first=$token
open_desk "$work/shelf/good/case.ini"
[ "$token" != "$first" ] || fail "$name: the same key again"
end_desk INT
desk=
expect_code 0

expect_refusal desk "no such place" 3 'no such file' -- "$work/nowhere" --no-browser
expect_refusal desk "two places" 2 'one case' -- "$work/shelf" "$work" --no-browser
expect_refusal desk "no port" 2 'port' -- "$work/shelf" --no-browser --port 70000

finish "desk, safety"
