# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Sourced by the tests of the program: a place to work in, a counter of failures, and one run.

work=$(mktemp -d)
trap 'chmod -R u+w "$work"; rm -rf "$work"' EXIT
failures=0

fail() {
  echo "FAILED: $*"
  failures=$((failures + 1))
}

# Runs the program; leaves its exit code in $code, its texts in $work/stdout and $work/stderr.
run() {
  code=0
  "$program" "$@" > "$work/stdout" 2> "$work/stderr" < /dev/null || code=$?
}

expect_code() { [ "$code" -eq "$1" ] || fail "$name: exit code $code, not $1: $(cat "$work/stderr")"; }
expect_no_error() { [ ! -s "$work/stderr" ] || fail "$name: on stderr: $(cat "$work/stderr")"; }

# One line on standard error, nothing on standard output; each argument is a pattern in the line.
expect_one_line() {
  [ "$(wc -l < "$work/stderr")" -eq 1 ] || fail "$name: not one line on stderr: $(cat "$work/stderr")"
  [ ! -s "$work/stdout" ] || fail "$name: something on stdout: $(head -n 1 "$work/stdout")"
  local pattern
  for pattern in "$@"; do
    grep -qiE -e "$pattern" "$work/stderr" || fail "$name: '$pattern' is not in: $(cat "$work/stderr")"
  done
}

# A run that must be refused: expect_refusal COMMAND NAME CODE PATTERN... -- ARGUMENT...
expect_refusal() {
  local command=$1 wanted=$3 patterns=()
  name=$2
  shift 3
  while [ "$1" != -- ]; do
    patterns+=("$1")
    shift
  done
  shift
  run "$command" "$@"
  expect_code "$wanted"
  expect_one_line "${patterns[@]}"
}

finish() {
  echo "$1: $failures failures"
  [ "$failures" -eq 0 ]
}
