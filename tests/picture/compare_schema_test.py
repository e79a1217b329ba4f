#!/usr/bin/env python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Checks compare.json against its schema, and that the schema refuses what it should.

usage: compare_schema_test.py SCHEMA WRITE_COMPARE_JSON
Exit code 77 (skipped) where the Python package jsonschema is missing.
"""
import copy
import json
import subprocess
import sys

try:
    import jsonschema
except ImportError:
    print("SKIPPED: python3-jsonschema is not installed; compare.json was NOT checked", file=sys.stderr)
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
    for kind in ("full", "sparse", "regions", "empty"):
        text = subprocess.run([program, kind], check=True, capture_output=True).stdout
        documents[kind] = json.loads(text.decode("utf-8"))
        errors = [f"{list(e.absolute_path)}: {e.message}" for e in validator.iter_errors(documents[kind])]
        assert not errors, f"{kind}: {errors}"

    full = documents["full"]
    place = lambda d: d["places"][0]
    changes = {
        "a null number": lambda d: place(d).update(before_w=None),
        "a text for a number": lambda d: place(d).update(before_w="3"),
        "a probability above one": lambda d: place(d).update(change_probability=1.2),
        "an unknown change": lambda d: place(d).update(change="cured"),
        "an unknown verdict": lambda d: d.update(verdict="fixed"),
        "a lost verdict": lambda d: d.pop("verdict"),
        "half a photo place": lambda d: place(d).pop("photo_x"),
        "a negative limit": lambda d: place(d).update(after_below_w=-1),
        "a word for suspect": lambda d: place(d).update(suspect="yes"),
        "another schema": lambda d: d.update(schema=2),
        "maps without a current": lambda d: d.pop("scale_amps"),
        "maps without a unit": lambda d: d["maps"].pop("unit"),
        "an unknown method": lambda d: d["registration"].update(method="guess"),
        "a sigma of nothing": lambda d: d["resistance"].pop("change_ohm"),
        "a region without a name": lambda d: d["regions"][0].pop("name"),
        "a path for the file": lambda d: d["before"].update(file="a/case.ini"),
        "a control character": lambda d: d["after"].update(title="a\u001bb"),
    }
    for name, change in changes.items():
        assert refused(validator, full, change), f"the schema lets pass: {name}"
    # Keys may be added.
    assert not refused(validator, full, lambda d: d.update(extra=1))
    print(f"{len(documents)} documents valid, {len(changes)} broken ones refused")


main()
