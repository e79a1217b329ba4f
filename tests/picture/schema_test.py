#!/usr/bin/env python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Checks result.json against its schema, and that the schema refuses what it should.

usage: schema_test.py SCHEMA WRITE_JSON
Exit code 77 (skipped) where the Python package jsonschema is missing.
"""
import copy
import json
import subprocess
import sys

try:
    import jsonschema
except ImportError:
    print("SKIPPED: python3-jsonschema is not installed; result.json was NOT checked", file=sys.stderr)
    sys.exit(77)


def refused(validator, document, change):
    """Whether the document is refused after `change` has been made to a copy."""
    broken = copy.deepcopy(document)
    change(broken)
    return not validator.is_valid(broken)


def main():
    schema_path, program = sys.argv[1:3]
    with open(schema_path, encoding="utf-8") as file:
        schema = json.load(file)
    jsonschema.Draft7Validator.check_schema(schema)
    validator = jsonschema.Draft7Validator(schema)
    documents = {}
    for kind in ("full", "sparse", "whole", "relative", "empty"):
        text = subprocess.run([program, kind], check=True, capture_output=True).stdout
        documents[kind] = json.loads(text.decode("utf-8"))
        errors = [f"{list(e.absolute_path)}: {e.message}" for e in validator.iter_errors(documents[kind])]
        assert not errors, f"{kind}: {errors}"

    full = documents["full"]
    place = lambda d: d["candidates"][0]
    changes = {
        "a null number": lambda d: place(d).update(power_w=None),
        "a text for a number": lambda d: place(d).update(rise_k="3"),
        "a confidence above one": lambda d: place(d).update(confidence=1.2),
        "an unknown side": lambda d: place(d).update(side="left"),
        "a lost verdict": lambda d: d.pop("verdict"),
        "half a board place": lambda d: place(d).pop("board_x_mm"),
        "a lost remark list": lambda d: place(d).pop("remarks"),
        "another schema": lambda d: d.update(schema=2),
        "a level without end": lambda d: d["supply"]["levels"][0].pop("end_s"),
        "a path for the file": lambda d: d["case"].update(file="a/case.ini"),
        "a control character": lambda d: d["case"].update(title="a\u001bb"),
    }
    for name, change in changes.items():
        assert refused(validator, full, change), f"the schema lets pass: {name}"
    # Keys may be added.
    assert not refused(validator, full, lambda d: d.update(extra=1))
    print(f"{len(documents)} documents valid, {len(changes)} broken ones refused")


main()
