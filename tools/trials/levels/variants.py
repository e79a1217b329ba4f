# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Makes captures whose supply was not logged out of captures with a log.

    variants.py order|about CASES TRUTH OUT NAME ...

CASES holds NAME/case.ini with a log of the supply, TRUTH NAME.truth.json; OUT gets NAME/case.ini
that names the same files, but for the log.  order: the log's currents in order, no times.  about:
with times on the frames' clock that are off by up to 2 s (triangular).  Prints the names.
"""
import csv
import json
import os
import random
import sys

STEP = 0.02  # of the largest current
SHORTEST_S = 0.8


def levels_of(log, offset_s=0.0):
    """[start, amps] of each stretch of constant current of the log that lasts, on its own clock."""
    with open(log, encoding="utf-8", newline="") as fh:
        rows = [(float(r["time_s"]), abs(float(r["amps"]))) for r in csv.DictReader(fh)]
    top = max(a for _, a in rows)
    runs = []
    for t, a in rows:
        if runs and abs(a - runs[-1][2]) <= STEP * top:
            runs[-1][1] = t
            runs[-1][3].append(a)
        else:
            runs.append([t, t, a, [a]])
    out = []
    for begin, end, _, amps in runs:
        if end - begin < SHORTEST_S:
            continue
        middle = sorted(amps)[len(amps) // 2]
        if out and abs(out[-1][1] - middle) <= STEP * top:
            continue
        out.append([begin + offset_s, middle])
    return out


def entry(text, key):
    for line in text.splitlines():
        name, _, value = line.partition("=")
        if name.strip() == key:
            return value.split(";")[0].strip()
    return None


def supply_lines(how, levels, seed):
    amps = [f"{a:.3f}" for _, a in levels]
    if how == "order":
        return ["levels = " + " ".join(amps)]
    rng = random.Random(seed)
    words = [amps[0]]
    for (start, _), a in zip(levels[1:], amps[1:]):
        words.append(f"{a}@{start + rng.triangular(-2, 2):.1f}")
    return ["levels = " + " ".join(words), "levels_within_s = 2"]


def make(how, folder, out, clock_s):
    text = open(os.path.join(folder, "case.ini"), encoding="utf-8").read()
    os.makedirs(out, exist_ok=True)
    levels = levels_of(os.path.join(folder, entry(text, "log")), clock_s)
    lines = []
    for line in text.splitlines():
        key = line.partition("=")[0].strip()
        if key in ("log", "clock_offset_s"):
            continue
        if key in ("source", "times", "photo", "points", "parts", "contacts"):
            name = line.partition("=")[2].split(";")[0].strip()
            line = f"{key} = {os.path.relpath(os.path.join(folder, name), out)}"
        lines.append(line)
        if line.strip() == "[supply]":
            lines += supply_lines(how, levels, os.path.basename(folder))
    with open(os.path.join(out, "case.ini"), "w", encoding="utf-8") as fh:
        fh.write("\n".join(lines) + "\n")


def main():
    how, cases, truth, out = sys.argv[1:5]
    for name in sys.argv[5:]:
        known = json.load(open(os.path.join(truth, name + ".truth.json"), encoding="utf-8"))
        clock_s = known.get("clock_offset_s") or 0.0
        make(how, os.path.join(cases, name), os.path.join(out, name), clock_s)
        print(name)


if __name__ == "__main__":
    main()
