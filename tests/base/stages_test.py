#!/usr/bin/python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Data flows one way: no stage left of rank knows what comes out of rank or of a stage further right.

stages_test.py SOURCE
"""
import pathlib
import re
import sys

LEFT = ("base", "input", "survey", "tone", "align", "heat")
RIGHT = ("rank", "twosided", "compare", "check", "picture", "sheet", "batch", "record", "desk", "cli")


def main():
    source = pathlib.Path(sys.argv[1])
    files = [file for stage in LEFT for top in ("include/ohmglow", "src")
             for file in sorted((source / top / stage).glob("*.*")) if file.suffix in (".h", ".cc")]
    if len(files) < 200:
        sys.exit(f"stages_test: only {len(files)} files found")
    wrong = []
    for file in files:
        for included in re.findall(r'#include "(?:ohmglow/)?([^"]+)"', file.read_text()):
            if included == "result.h" or included.split("/")[0] in RIGHT:
                wrong.append(f"{file.relative_to(source)} includes {included}")
    if wrong:
        sys.exit("stages_test: a stage knows one to its right:\n" + "\n".join(wrong))


if __name__ == "__main__":
    main()
