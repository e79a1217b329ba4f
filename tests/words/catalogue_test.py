#!/usr/bin/env python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Checks the catalogues against each other and those of reports and of the recorder against the source.

Every language has the same keys with the same {names}; every kind of remark has a sentence
and is made somewhere; every other key is asked for somewhere; no line is written in English
and German alike by mistake.

usage: catalogue_test.py PROJECT_FOLDER
"""
import pathlib
import re
import sys


def catalogue(path):
    """The texts of a catalogue by their keys."""
    rows = [line.split(" = ", 1) for line in path.read_text(encoding="utf-8").splitlines()
            if " = " in line and not line.startswith("#")]
    keys = [key for key, _ in rows]
    assert len(keys) == len(set(keys)), f"{path}: a key twice"
    return dict(rows)


def names(text):
    return sorted(re.findall(r"{([^}]*)}", text))


def kinds(header):
    """kByItself -> by_itself, of all enumerators but the first and the last."""
    body = re.search(r"enum class RemarkKind : [^{]*{(.*?)};", header, re.DOTALL).group(1)
    found = re.findall(r"^\s*k([A-Z]\w*),", body, re.MULTILINE)
    return {name: re.sub(r"(?<!^)(?=[A-Z])", "_", name).lower()
            for name in found if name not in ("Quoted", "Num")}


def is_used(key, source):
    """Whether the key is written in the source, whole or up to what is put behind a point."""
    key = key.removesuffix(".one")
    stems = [key] + [key[:i + 1] for i, c in enumerate(key) if c == "."]
    return any(f'"{stem}"' in source for stem in stems)


def main():
    root = pathlib.Path(sys.argv[1])
    english = catalogue(root / "src/words/report/en.ini")
    source = "".join(path.read_text(encoding="utf-8") for path in sorted(root.glob("src/**/*.*"))
                     if path.suffix in (".cc", ".h") and path.name != "remark_kind.cc")
    for book in sorted(root.glob("src/words/*/")):
        standard = catalogue(book / "en.ini")
        assert len(standard) > 60, f"{book}: {len(standard)} keys"
        for path in sorted(book.glob("*.ini")):
            other = catalogue(path)
            assert other.keys() == standard.keys(), sorted(other.keys() ^ standard.keys())
            for key, text in other.items():
                assert sorted(set(names(text))) == sorted(set(names(standard[key]))), f"{path}: {key}"
    by_kind = kinds((root / "include/ohmglow/base/remark_kind.h").read_text(encoding="utf-8"))
    assert len(by_kind) > 100
    for name, key in by_kind.items():
        assert f"remark.{key}" in english, f"no sentence for k{name}"
        assert re.search(rf"RemarkKind::k{name}\b", source), f"k{name} is made nowhere"
    remarks = {key.split(".")[1] for key in english if key.startswith("remark.")}
    assert remarks == set(by_kind.values()), sorted(remarks ^ set(by_kind.values()))
    recorder = catalogue(root / "src/words/record/en.ini")
    unused = [key for key in [*english, *recorder]
              if not key.startswith("remark.") and not is_used(key, source)]
    assert not unused, f"asked for nowhere: {unused}"
    print(f"{len(english)} texts, {len(by_kind)} kinds of remarks")


main()
