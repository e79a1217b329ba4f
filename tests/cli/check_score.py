#!/usr/bin/env python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Bounds on a score of the quick captures: check_score.py score.json"""
import json
import sys


def complaints(rows):
    """One sentence for each bound that is broken."""
    for row in rows:
        if not row["answered"]:
            yield f"{row['case']}: no readable result.json"
        elif row["cls"] == "easy" and not row["rank1"]:
            yield f"{row['case']}: an easy fault is not in the first place"
    if not any(row["cls"] == "easy" for row in rows):
        yield "no easy capture was run"


def main(argv):
    if len(argv) != 2:
        print(__doc__, file=sys.stderr)
        return 2
    with open(argv[1]) as stream:
        found = list(complaints(json.load(stream)["rows"]))
    for line in found:
        print("FAILED:", line)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv))
