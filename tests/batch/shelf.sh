# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# Sourced by the tests beside it: makes small cases.

# make_case FOLDER SEED: a case of few pixels, without a photo.
make_case() {
  "$simulate" "$description" --seed "$2" --out "$work/made-$2" > /dev/null
  mkdir -p "$1"
  cp "$work/made-$2/case/"* "$1/"
  sed -i '/^photo/d' "$1/case.ini"
}

# One line for each file below a folder: hash and name.
tree() { (cd "$1" && find . -type f -print0 | sort -z | xargs -0 sha256sum); }

# expect_same FOLDER FOLDER WHAT
expect_same() {
  diff <(tree "$1") <(tree "$2") > "$work/difference" ||
    fail "$name: $3 differ: $(head -n 5 "$work/difference")"
}

expect_text() { grep -qE -e "$1" "$work/stdout" || fail "$name: '$1' is not in: $(cat "$work/stdout")"; }
