#!/usr/bin/env bash
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
# `ohmglow sheet` on the sample: the page as other programs see it (qpdf, poppler), and its errors.
# Usage: sheet_test.sh PROGRAM CASE.ini
set -euo pipefail
program=$1
case_file=$2
. "$(dirname "${BASH_SOURCE[0]}")/check.sh"

name="tools"
for tool in qpdf pdftotext pdffonts pdfinfo; do
  command -v "$tool" > /dev/null || fail "$tool is missing; install qpdf and poppler-utils"
done
[ "$failures" -eq 0 ] || finish sheet

name="locate"
run locate "$case_file" --out "$work/result"
expect_code 0

cat > "$work/shop.ini" <<'END'
[shop]
name = Tidewater Board Repair (invented)
address = Harbour Lane 7, Port Example
phone = 0000 123 456
mail = bench@example.org
tax = 0000
END
printf 'Replaced the capacitor.\nRail measured again: no short.\n' > "$work/notes.txt"

name="page"
started=$(date +%s%N)
run sheet "$work/result" --out "$work/page.pdf" --png "$work/page.png" --shop "$work/shop.ini" \
  --notes "$work/notes.txt" --date 2026-11-25
elapsed_ms=$((($(date +%s%N) - started) / 1000000))
expect_code 0
expect_no_error
echo "sheet, PDF and PNG: $elapsed_ms ms, $(stat -c %s "$work/page.pdf") bytes"
# 1.5 s for the PDF alone on a free machine; tests share theirs with others.
[ "$elapsed_ms" -le 6000 ] || fail "$name: took $elapsed_ms ms"
[ "$(stat -c %s "$work/page.pdf")" -le 1500000 ] || fail "$name: larger than 1.5 MB"
qpdf --check "$work/page.pdf" > "$work/qpdf" 2>&1 || fail "qpdf: $(cat "$work/qpdf")"
[ "$(pdfinfo "$work/page.pdf" | sed -n 's/^Pages: *//p')" = 1 ] || fail "$name: not one page"
pdfinfo "$work/page.pdf" | grep -q 'Page size: .*A4' || fail "$name: not A4"
pdfinfo "$work/page.pdf" | grep -q '^CreationDate: .*2026' || fail "$name: no date inside"
# Column "emb" of every font.
pdffonts "$work/page.pdf" | tail -n +3 > "$work/fonts"
[ -s "$work/fonts" ] || fail "$name: no fonts"
if grep -vE ' yes (yes|no) +(yes|no) +[0-9]+ +[0-9]+$' "$work/fonts"; then fail "$name: font not embedded"; fi

# Each chunk's checksum (PNG, W3C 2003, 5.5), and who made it.
python3 - "$work/page.png" <<'END' || fail "$name: the PNG's chunks"
import struct, sys, zlib
data, at, texts = open(sys.argv[1], "rb").read(), 8, []
while at < len(data):
    size = struct.unpack(">I", data[at:at + 4])[0]
    body = data[at + 4:at + 8 + size]
    assert struct.unpack(">I", data[at + 8 + size:at + 12 + size])[0] == zlib.crc32(body), body[:4]
    if body[:4] == b"tEXt":
        texts.append(body[4:])
    at += 12 + size
assert len(texts) == 1 and texts[0].startswith(b"Software\0ohmglow "), texts
END

name="reading order"
for mode in "" -raw; do
  # shellcheck disable=SC2086
  pdftotext $mode "$work/page.pdf" - | tr -s '\n\f ' ' ' > "$work/text"
  grep -qE 'Tidewater.*Harbour.*Test report.*25 November 2026.*What we found.*(likely|certain)' "$work/text" ||
    fail "$name $mode: head: $(cat "$work/text")"
  grep -qE 'What we found.*During the test.*on the board.*Heat picture.*What was done Replaced the capacitor. Rail measured again: no short. How sure we are' "$work/text" ||
    fail "$name $mode: body: $(cat "$work/text")"
done

name="same again"
cp "$work/page.pdf" "$work/first.pdf"
run sheet "$work/result" --out "$work/page.pdf" --shop "$work/shop.ini" \
  --notes "$work/notes.txt" --date 2026-11-25
expect_code 0
cmp -s "$work/first.pdf" "$work/page.pdf" || fail "$name: other bytes"
run sheet "$work/result" --out "$work/page.png" --date 2026-11-25
expect_code 0
[ -z "$(find "$work" -name '*.partial-*')" ] || fail "$name: leftovers"

name="german letter"
run sheet "$work/result" --out "$work/de.pdf" --language de --unit f --paper letter --date 2026-03-01
expect_code 0
pdftotext "$work/de.pdf" - > "$work/text"
grep -q '1. März 2026' "$work/text" || fail "$name: no date"
grep -q '°F' "$work/text" || fail "$name: no degrees Fahrenheit"
pdfinfo "$work/de.pdf" | grep -q 'Page size: .*letter' || fail "$name: not Letter"

# Every word of this language is one Cyrillic letter and all data is Greek: a Latin letter on the
# page would be a text from the code.
name="pseudo language"
cp -r "$work/result" "$work/greek"
python3 - "$(dirname "${BASH_SOURCE[0]}")/../../src/words/page/en.ini" "$work" <<'END'
import json, re, sys
words, work = sys.argv[1:]
with open(work + "/pseudo.ini", "w", encoding="utf-8") as out:
    for line in open(words, encoding="utf-8"):
        if "=" in line and not line.startswith("#"):
            key, text = line.rstrip("\n").split(" = ", 1)
            parts = re.split(r"(\{\w+\})", text)
            out.write(key + " = " + "".join(
                p if p.startswith("{") else re.sub(r"[^\s\d]", "ж", p) for p in parts) + "\n")
path = work + "/greek/result.json"
result = json.load(open(path, encoding="utf-8"))
result["case"]["title"] = "ΑΒΓ"
for candidate in result["candidates"]:
    for part in candidate.get("parts", []):
        part["ref"] = "Ω7"
json.dump(result, open(path, "w", encoding="utf-8"))
END
run sheet "$work/greek" --out "$work/pseudo.pdf" --words "$work/pseudo.ini" --date 2026-11-25
expect_code 0
pdftotext "$work/pseudo.pdf" - > "$work/text"
grep -q 'ж' "$work/text" || fail "$name: its words are not there"
grep -q 'ΑΒΓ' "$work/text" || fail "$name: the title is not there"
if grep '[A-Za-z]' "$work/text"; then fail "$name: text that is not in the catalogue"; fi

name="missing words"
printf 'heading.found = Ergebnis\nheading.fond = X\n' > "$work/few.ini"
run sheet "$work/result" --out "$work/few.pdf" --words "$work/few.ini"
expect_code 0
grep -q 'few.ini: missing' "$work/stdout" || fail "$name: not said"
grep -q 'used nowhere: heading.fond' "$work/stdout" || fail "$name: unused key not said"
pdftotext "$work/few.pdf" - | grep -q 'Test report for your circuit board \[en\]' || fail "$name: not marked"

name="hostile notes"
python3 -c 'print("\x1b[31m<b>bold</b>&amp; =SUM(A1) \u202eabc \u05e9\u05dc\u05d5\u05dd " + "x" * (1 << 20))' > "$work/odd.txt"
run sheet "$work/result" --out "$work/odd.pdf" --notes "$work/odd.txt"
expect_code 0
qpdf --check "$work/odd.pdf" > /dev/null 2>&1 || fail "$name: qpdf"
pdftotext "$work/odd.pdf" - > "$work/text"
grep -qF '<b>bold</b>&amp; =SUM(A1) abc' "$work/text" || fail "$name: not as written: $(grep bold "$work/text")"
grep -q 'do not fit' "$work/stdout" || fail "$name: the cut is not said"

name="before and after"
mkdir "$work/compare"
cp "$work/result/response.tiff" "$work/compare/before.tiff"
cp "$work/result/response.tiff" "$work/compare/after.tiff"
cat > "$work/make_compare.py" <<'END'
# make_compare.py RESULT_DIR COMPARE_DIR VERDICT: as 'ohmglow compare' would write it of that capture.
import json, sys
result_dir, folder, verdict = sys.argv[1:]
result = json.load(open(result_dir + "/result.json", encoding="utf-8"))
first = result["candidates"][0]
json.dump({
    "schema": 1, "before": result["case"], "after": {"title": "b", "file": "case.ini"},
    "verdict": verdict, "probability": 0.9, "words": [], "scale_amps": 1.5,
    "places": [{"name": "A", "change": "unchanged", "suspect": True, "before_w": 0.03,
                "before_low_w": 0.02, "before_high_w": 0.04,
                "frame_x": first["frame_x"] + 0.2, "frame_y": first["frame_y"]},
               {"name": "B", "change": "new", "frame_x": 20.0, "frame_y": 20.0}],
    "maps": {"before": "before.tiff", "after": "after.tiff", "unit": "K"}},
    open(folder + "/compare.json", "w", encoding="utf-8"))
END
python3 "$work/make_compare.py" "$work/result" "$work/compare" not_repaired
run sheet "$work/result" --out "$work/both.pdf" --compare "$work/compare"
expect_code 0
pdftotext "$work/both.pdf" - | tr -s '\n' ' ' > "$work/text"
grep -q 'Measured again after the work: the fault is very likely still there.' "$work/text" ||
  fail "$name: $(cat "$work/text")"
grep -qE 'Measured again.*Before the work the fault was .*full voltage.*Before the work After the work' "$work/text" || fail "$name: no pair"
grep -q 'Dashed ring: warm only after the work.' "$work/text" || fail "$name: new place not explained"

name="gone"
python3 "$work/make_compare.py" "$work/result" "$work/compare" repaired
run sheet "$work/result" --out "$work/gone.pdf" --compare "$work/compare" --language de
expect_code 0
pdftotext "$work/gone.pdf" - | tr -s '\n' ' ' > "$work/text"
grep -q 'Wärme des Fehlers ist sehr wahrscheinlich verschwunden' "$work/text" || fail "$name: $(cat "$work/text")"
grep -q 'Widerstand der Versorgungsleitung messen' "$work/text" || fail "$name: no caution"

name="long title"
cp -r "$work/result" "$work/long"
sed -i 's|"title": "|&A board that was typed in a hurry, with all of its story from the day on which it was bought to the morning on which it failed |' "$work/long/result.json"
run sheet "$work/long" --out "$work/long.pdf"
expect_code 0
grep -q 'title does not fit' "$work/stdout" || fail "$name: the cut is not said"

# The worst a photo can be: every pixel at random.
name="noisy photo"
cp -r "$work/result" "$work/noisy"
python3 - "$work/noisy/board_photo.png" <<'END'
import random, struct, sys, zlib
width, height = 1600, 1200
chunk = lambda kind, data: (struct.pack(">I", len(data)) + kind + data +
                            struct.pack(">I", zlib.crc32(kind + data)))
rows = random.Random(4)
body = b"".join(b"\0" + rows.randbytes(3 * width) for _ in range(height))
open(sys.argv[1], "wb").write(b"\x89PNG\r\n\x1a\n" + chunk(
    b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)) +
    chunk(b"IDAT", zlib.compress(body, 1)) + chunk(b"IEND", b""))
END
run sheet "$work/noisy" --out "$work/noisy.pdf" --compare "$work/compare"
expect_code 0
[ "$(stat -c %s "$work/noisy.pdf")" -le 1500000 ] || fail "$name: $(stat -c %s "$work/noisy.pdf") bytes"

check_error() {  # CODE PATTERN... -- ARGUMENTS...
  local expected=$1 patterns=()
  shift
  while [ "$1" != -- ]; do patterns+=("$1"); shift; done
  shift
  name="error: $*"
  run sheet "$@"
  expect_code "$expected"
  expect_one_line "${patterns[@]}"
}
name="regions alone"
mkdir "$work/regions"
python3 - "$work" <<'END'
import json, sys
work = sys.argv[1]
result = json.load(open(work + "/result/result.json", encoding="utf-8"))
numbers = {"mean_c": 41.23, "max_c": 50.0, "spread_k": 3.4, "quarters_k": 1.0, "sigma_k": 0.1}
json.dump({"schema": 1, "before": result["case"], "after": {"title": "b", "file": "c"},
           "verdict": "undecided", "words": [], "places": [], "resistance": {},
           "regions": [{"name": "cooler", "before": numbers, "after": {**numbers, "spread_k": 1.2}},
                       {"name": "edge", "before": numbers}]},
          open(work + "/regions/compare.json", "w", encoding="utf-8"))
END
run sheet "$work/result" --out "$work/regions.pdf" --compare "$work/regions"
expect_code 0
pdftotext -layout "$work/regions.pdf" - > "$work/text"
grep -qE 'cooler +41.2.°C +41.2.°C +more even than before' "$work/text" || fail "$name: $(cat "$work/text")"
grep -qE 'edge +41.2.°C +not in view' "$work/text" || fail "$name: no second row"
if grep -qE 'Measured again|could not show' "$work/text"; then fail "$name: tells of the fault"; fi

check_error 2 "one result folder" -- --out "$work/x.pdf"
check_error 2 "--out" -- "$work/result"
check_error 2 "\.pdf" "\.png" -- "$work/result" --out "$work/x.svg"
check_error 2 "--png" "both" -- "$work/result" --out "$work/x.png" --png "$work/y.png"
check_error 2 "--date" "2026-02-30" -- "$work/result" --out "$work/x.pdf" --date 2026-02-30
check_error 2 "--unit" "'k'" -- "$work/result" --out "$work/x.pdf" --unit k
check_error 2 "--paper" "letter" -- "$work/result" --out "$work/x.pdf" --paper a3
check_error 2 "--dpi" "600" -- "$work/result" --out "$work/x.png" --dpi 1000
check_error 2 "language 'xx'" "en, de" -- "$work/result" --out "$work/x.pdf" --language xx
check_error 2 "--words and --language" -- "$work/result" --out "$work/x.pdf" --language de --words "$work/few.ini"
mkdir "$work/empty"
# Another board's comparison would say that this board's fault is gone.
for change in 'r["before"]["title"] = "Another board"' 'r["before"]["file"] = "other.ini"' \
  'r["places"][0]["frame_x"] += 5' 'r["places"] = []'; do
  cp -r "$work/compare" "$work/other"
  python3 -c "import json, sys; f = sys.argv[1]; r = json.load(open(f)); $change; json.dump(r, open(f, 'w'))" \
    "$work/other/compare.json"
  check_error 3 "compare.json" "another capture" "same first case" -- "$work/result" --out "$work/x.pdf" --compare "$work/other"
  rm -r "$work/other"
done
# The same place and name, another map: another capture of the board.
cp -r "$work/compare" "$work/other"
cp "$work/result/static.tiff" "$work/other/before.tiff"
check_error 3 "compare.json" "another capture" -- "$work/result" --out "$work/x.pdf" --compare "$work/other"
check_error 3 "no result.json" "locate" -- "$work/empty" --out "$work/x.pdf"
check_error 3 "is no folder" -- "$work/nowhere" --out "$work/x.pdf"
check_error 3 "notes.none" "--notes" -- "$work/result" --out "$work/x.pdf" --notes "$work/notes.none"
printf 'first line\nCaf\xe9 cleaned\n' > "$work/latin.txt"
"$program" sheet "$work/result" --out "$work/latin.pdf" --notes "$work/latin.txt" > /dev/null ||
  fail "notes of an older editor (ISO 8859-1) are refused"
pdftotext "$work/latin.pdf" - | grep -q 'Café cleaned' || fail "notes in ISO 8859-1 are read wrong"
check_error 3 "page.png" "not a text file" "--notes" -- "$work/result" --out "$work/x.pdf" --notes "$work/page.png"
if grep -q 'case' "$work/stderr"; then fail "$name: speaks of case files"; fi
printf 'heading.found\n' > "$work/bad.ini"
check_error 3 "bad.ini, line 1" -- "$work/result" --out "$work/x.pdf" --words "$work/bad.ini"
printf '[shop]\nnmae = x\n' > "$work/bad_shop.ini"
check_error 3 "bad_shop.ini, line 2" "shop.name" -- "$work/result" --out "$work/x.pdf" --shop "$work/bad_shop.ini"
printf '[shop]\nlogo = notes.txt\n' > "$work/logo_shop.ini"
check_error 3 "notes.txt" "shop.logo" -- "$work/result" --out "$work/x.pdf" --shop "$work/logo_shop.ini"
head -c 3000 "$work/page.png" > "$work/cut.png"
printf '[shop]\nlogo = cut.png\n' > "$work/cut_shop.ini"
check_error 3 "cut.png" -- "$work/result" --out "$work/x.pdf" --shop "$work/cut_shop.ini"
check_error 3 "no compare.json" -- "$work/result" --out "$work/x.pdf" --compare "$work/empty"
mkdir "$work/compared"
echo '{"verdict": "repaired"}' > "$work/compared/compare.json"
check_error 3 "compare.json" "places" -- "$work/result" --out "$work/x.pdf" --compare "$work/compared"
cp -r "$work/result" "$work/short"
head -c 1000 "$work/result/response.tiff" > "$work/short/response.tiff"
check_error 3 "response.tiff" -- "$work/short" --out "$work/x.pdf"
cp -r "$work/result" "$work/outside"
sed -i 's|"response.tiff"|"../result/response.tiff"|' "$work/outside/result.json"
check_error 3 "result.json" "beside it" -- "$work/outside" --out "$work/x.pdf"
echo "my own" > "$work/mine.pdf"
check_error 5 "mine.pdf" "not made by ohmglow" -- "$work/result" --out "$work/mine.pdf"
grep -q "my own" "$work/mine.pdf" || fail "$name: overwritten"
check_error 5 "missing" -- "$work/result" --out "$work/nowhere/x.pdf"
[ ! -e "$work/x.pdf" ] || fail "a failed run left a file"

finish sheet
