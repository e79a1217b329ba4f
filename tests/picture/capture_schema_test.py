#!/usr/bin/env python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Checks check.json against its schema, that the schema refuses what it should, and that the manual
names every key.

usage: capture_schema_test.py SCHEMA PAGE WRITE_CAPTURE_JSON
Exit code 77 (skipped) where the Python package jsonschema is missing.
"""
import copy
import json
import re
import subprocess
import sys

try:
    import jsonschema
except ImportError:
    print("SKIPPED: python3-jsonschema is not installed; check.json was NOT checked", file=sys.stderr)
    sys.exit(77)


def keys_of(document):
    """All keys of a document and of what lies in it."""
    if isinstance(document, list):
        return set().union(set(), *map(keys_of, document))
    if not isinstance(document, dict):
        return set()
    return set(document).union(*map(keys_of, document.values()))


def strangers(document, schema, path=""):
    """Keys that the schema, at their very place, does not have."""
    if isinstance(document, list):
        for row in document:
            yield from strangers(row, schema.get("items", {}), path + "[]")
    if isinstance(document, dict):
        known = schema.get("properties", {})
        for key, value in document.items():
            if key in known:
                yield from strangers(value, known[key], f"{path}.{key}")
            else:
                yield f"{path}.{key}"


def main():
    schema_path, page_path, program = sys.argv[1:4]
    with open(schema_path, encoding="utf-8") as file:
        schema = json.load(file)
    jsonschema.Draft7Validator.check_schema(schema)
    validator = jsonschema.Draft7Validator(schema)
    documents = {}
    for kind in ("full", "empty"):
        text = subprocess.run([program, kind], check=True, capture_output=True).stdout
        documents[kind] = json.loads(text.decode("utf-8"))
        errors = [f"{list(e.absolute_path)}: {e.message}" for e in validator.iter_errors(documents[kind])]
        assert not errors, f"{kind}: {errors}"
        odd = sorted(set(strangers(documents[kind], schema)))
        assert not odd, f"add to {schema_path}: {odd}"

    full = documents["full"]
    changes = {
        "a null number": lambda d: d.update(detectable_w=None),
        "a negative power": lambda d: d.update(detectable_w=-1),
        "an unknown answer": lambda d: d.update(usable="perhaps"),
        "a lost answer": lambda d: d.pop("usable"),
        "a thing to do without its words": lambda d: d["todo"][0].pop("what"),
        "a level without amps": lambda d: d["supply"]["levels"][0].pop("amps"),
        "an unknown view": lambda d: d["view"].update(registration="good"),
        "another schema": lambda d: d.update(schema=2),
        "a path for the file": lambda d: d["case"].update(file="a/case.ini"),
    }
    for name, change in changes.items():
        broken = copy.deepcopy(full)
        change(broken)
        assert not validator.is_valid(broken), f"the schema lets pass: {name}"
    with open(page_path, encoding="utf-8") as file:
        named = set(re.findall(r"`([a-z][a-z0-9_]*)`", file.read()))
    missing = sorted(keys_of(full) - named)
    assert not missing, f"{page_path} does not name {missing}"
    print(f"{len(documents)} documents valid, {len(changes)} broken ones refused")


main()
