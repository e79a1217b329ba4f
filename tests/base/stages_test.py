#!/usr/bin/python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Data flows one way: a stage includes itself and stages to its left, no other.

stages_test.py SOURCE
"""
import os
import pathlib
import re
import sys
import tempfile

# The order of the stages, left to right. What shares a row knows nothing of each other.
ORDER = (
    ("base",),
    ("words", "video"),  # Of `video` others see video_api.h alone: the module is loaded late.
    ("input",),
    ("survey", "align"),
    ("convert", "tone", "heat"),
    ("result.h",),
    ("rank",),
    ("binning",),
    ("analysis",),
    ("twosided", "compare", "check"),
    ("picture",),
    ("sheet", "batch"),
    ("record", "desk", "manual"),
    ("cli",),
)
PLACE = {stage: place for place, row in enumerate(ORDER) for stage in row}

# Files that lie in no stage's folder: the chain itself, but for these two.
WITHOUT_FOLDER = {"result.h": "result.h", "version.h": "base"}
# Written by CMake, or by a build step.
MADE = {"version.h"}
ROOTS = ("include/ohmglow", "src")
INCLUDE = re.compile(r'^\s*#\s*include\s*"([^"]+)"', re.MULTILINE)


def stage_of(path):
    """The stage of a file, its path from one of ROOTS."""
    return path.parts[0] if len(path.parts) > 1 else WITHOUT_FOLDER.get(path.name, "analysis")


def find(source, file, included):
    """Where an include leads, as a path from one of ROOTS; None where to nothing of ours."""
    beside = pathlib.Path(os.path.normpath(file.parent / included))
    for root in ROOTS:
        if beside.is_file() and beside.is_relative_to(source / root):
            return beside.relative_to(source / root)
    if (source / "src" / included).is_file():
        return pathlib.PurePath(included)
    public = included.removeprefix("ohmglow/")
    if public != included and (public in MADE or (source / "include" / included).is_file()):
        return pathlib.PurePath(public)
    return None


def wrong_includes(source):
    """Complaints, and how many files were looked at."""
    wrong, count = [], 0
    for root in ROOTS:
        for file in sorted((source / root).rglob("*.*")):
            if file.suffix not in (".h", ".cc"):
                continue
            count += 1
            name = file.relative_to(source)
            stage = stage_of(file.relative_to(source / root))
            if stage not in PLACE:
                wrong.append(f"{name}: {stage} stands in no row of ORDER")
                continue
            for included in INCLUDE.findall(file.read_text()):
                target = find(source, file, included)
                other = stage_of(target) if target else None
                if target is None:
                    wrong.append(f"{name} includes {included}, which is no file of ours")
                elif other not in PLACE:
                    wrong.append(f"{name} includes {included}: {other} stands in no row of ORDER")
                elif other != stage and PLACE[other] >= PLACE[stage]:
                    wrong.append(f"{name} includes {included}: {other} is not left of {stage}")
    return wrong, count


def check_itself():
    """Plants includes in a tree of two files each and looks which are refused."""
    def complaints(name, included, there):
        with tempfile.TemporaryDirectory() as folder:
            for path, text in ((there, ""), (name, f'#include "{included}"\n')):
                file = pathlib.Path(folder) / path
                file.parent.mkdir(parents=True, exist_ok=True)
                file.write_text(text)
            return wrong_includes(pathlib.Path(folder).resolve())[0]

    for name, included, there in (
            ("src/heat/a.cc", "heat/b.h", "src/heat/b.h"),
            ("src/heat/a.cc", "b.h", "src/heat/b.h"),
            ("src/heat/a.cc", "ohmglow/align/b.h", "include/ohmglow/align/b.h"),
            ("src/heat/a.cc", "ohmglow/version.h", "src/heat/b.h"),
            ("src/rank/a.cc", "ohmglow/result.h", "include/ohmglow/result.h"),
            ("src/twosided/a.cc", "supply_course.h", "src/supply_course.h"),
            ("src/supply_course.cc", "rank/b.h", "src/rank/b.h")):
        assert not complaints(name, included, there), (name, included)
    for name, included, there in (
            ("src/words/a.cc", "picture/b.h", "src/picture/b.h"),  # To the right.
            ("include/ohmglow/align/a.h", "ohmglow/rank/b.h", "include/ohmglow/rank/b.h"),
            ("src/heat/a.cc", "tone/b.h", "src/tone/b.h"),  # In the same row.
            ("src/heat/a.cc", "../rank/b.h", "src/rank/b.h"),  # By a path of its own.
            ("src/heat/a.cc", "ohmglow/result.h", "include/ohmglow/result.h"),
            ("src/rank/a.cc", "analysis.h", "src/analysis.h"),
            ("src/follow_supply.cc", "check/b.h", "src/check/b.h"),
            ("src/heat/a.cc", "heat/gone.h", "src/heat/b.h"),  # No such file.
            ("src/newcomer/a.cc", "a.h", "src/newcomer/a.h"),  # Not in the table.
            ("src/cli/a.cc", "newcomer/a.h", "src/newcomer/a.h")):
        assert complaints(name, included, there), (name, included)


def main():
    check_itself()
    source = pathlib.Path(sys.argv[1]).resolve()
    wrong, count = wrong_includes(source)
    for stage in PLACE:
        if stage not in ("analysis", "result.h") and not (source / "src" / stage).is_dir():
            wrong.append(f"src/{stage} of ORDER is not there")
    if count < 700:
        wrong.append(f"only {count} files found")
    if wrong:
        sys.exit("stages_test: " + "\n".join(wrong))


if __name__ == "__main__":
    main()
