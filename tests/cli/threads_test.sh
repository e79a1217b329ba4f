#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Any number of threads gives the same bytes, in every file of the result.
#   threads_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
case_file=$2
source "$(dirname "${BASH_SOURCE[0]}")/check.sh"

for threads in 1 2 5; do
  name="$threads threads"
  run locate "$case_file" --out "$work/$threads" --threads "$threads"
  expect_code 0
done
name=files
[ "$(ls "$work/1" | wc -l)" -ge 10 ] || fail "only $(ls "$work/1" | wc -l) files to compare"
for threads in 2 5; do
  name="$threads threads against 1"
  diff -rq "$work/1" "$work/$threads" > "$work/differ" || fail "$(cat "$work/differ")"
done
finish "threads test"
