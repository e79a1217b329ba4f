#!/usr/bin/env python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Checks that every key which result.json may hold stands in the manual and in the schema.

The keys are taken from the source that writes them, so that one which is added fails
here until it is documented; a document with every key shows that none is missed.

usage: documented_test.py SCHEMA MANUAL_PAGE WRITE_JSON SOURCE...
"""
import json
import re
import subprocess
import sys

# Values that a key may have, not keys: the schema has them in enumerations.
KEY = r'"([a-z][a-z0-9_]*)"'


def literals(source):
    """Words in quotes of a C++ text, without those of comments and includes."""
    text = re.sub(r"//.*|#include.*", "", source)
    return set(re.findall(KEY, text))


def keys_of(document):
    """All keys of a document, and of what lies in it, but for the free ones."""
    if isinstance(document, list):
        return set().union(set(), *map(keys_of, document))
    if not isinstance(document, dict):
        return set()
    keys = set(document)
    for key, value in document.items():
        # A picture and a fault of pixels may have any name.
        inner = list(value.values()) if key in ("pictures", "bad_pixels") else value
        keys |= keys_of(inner)
    return keys


def strangers(document, schema, root, path=""):
    """Keys that the schema, at their very place, does not have."""
    while "$ref" in schema:
        schema = root["definitions"][schema["$ref"].rsplit("/", 1)[1]]
    if isinstance(document, list):
        for row in document:
            yield from strangers(row, schema.get("items", {}), root, path + "[]")
    if isinstance(document, dict):
        known = schema.get("properties", {})
        free = schema.get("additionalProperties")
        for key, value in document.items():
            if key in known:
                yield from strangers(value, known[key], root, f"{path}.{key}")
            elif isinstance(free, dict):
                yield from strangers(value, free, root, f"{path}.*")
            else:
                yield f"{path}.{key}"


def section(page):
    """What the page says of the keys of result.json and of its places."""
    return re.search(r"\n# KEYS OF RESULT\.JSON\n(.*?)\n# SEE ALSO", page, re.DOTALL).group(1)


def main():
    schema_path, page_path, program = sys.argv[1:4]
    with open(schema_path, encoding="utf-8") as file:
        schema = json.load(file)
    with open(page_path, encoding="utf-8") as file:
        documented = set(re.findall(r"`([a-z][a-z0-9_.]*)`", section(file.read())))
    documented |= {key.rsplit(".", 1)[1] for key in documented if "." in key}
    written = set()
    for path in sys.argv[4:]:
        with open(path, encoding="utf-8") as file:
            written |= literals(file.read())
    missing = sorted(written - documented)
    assert not missing, f"document in {page_path}: {missing}"

    whole = json.loads(subprocess.run([program, "whole"], check=True, capture_output=True).stdout)
    # Where the frames are no temperatures, other keys stand in for those in kelvin.
    relative = json.loads(
        subprocess.run([program, "relative"], check=True, capture_output=True).stdout)
    in_kelvin = sorted(key for key in keys_of(relative) if re.search(r"_(k|w|w_k|ohm|v)$", key))
    assert in_kelvin == [], f"kelvin, watts or ohms of relative frames: {in_kelvin}"
    odd = sorted(set(strangers(whole, schema, schema)) | set(strangers(relative, schema, schema)))
    assert not odd, f"add to {schema_path}: {odd}"
    in_schema = set(re.findall(KEY, json.dumps(schema)))
    lost = sorted(written - keys_of(whole) - keys_of(relative) - values_of(schema) - {"ohmglow"})
    assert not lost, f"write_json whole does not write: {lost}"
    assert written - {"ohmglow"} <= in_schema, sorted(written - in_schema)
    # The check itself: a key that nobody has heard of is told.
    assert list(strangers({**whole, "news": 1}, schema, schema)) == [".news"]
    print(f"{len(written)} words of result.json are documented")


def values_of(schema):
    """What stands in an enumeration anywhere in the schema."""
    if isinstance(schema, list):
        return set().union(set(), *map(values_of, schema))
    if not isinstance(schema, dict):
        return set()
    values = {value for value in schema.get("enum", []) if isinstance(value, str)}
    return values.union(*map(values_of, schema.values()))


main()
