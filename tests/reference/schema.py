"""Shipped files against the JSON Schema of their kind, by a standard validator; and files with one slip, which must not pass.

usage: schema.py ASKED.json: {"schemas": {kind: schema}, "files": [[kind, path]], "slips": [[kind, path, from, to]]}
"""

import json
import sys
import tomllib

import jsonschema

asked = json.load(open(sys.argv[1], encoding="utf-8"))
validators = {}
for kind, schema in asked["schemas"].items():
    jsonschema.Draft7Validator.check_schema(schema)
    validators[kind] = jsonschema.Draft7Validator(schema)
bad = []
for kind, path in asked["files"]:
    with open(path, "rb") as file:
        value = tomllib.load(file)
    for error in validators[kind].iter_errors(value):
        deepest = jsonschema.exceptions.best_match([error])
        bad.append(f"{path}: {'.'.join(map(str, deepest.absolute_path))}: {deepest.message[:300]}")
for kind, path, before, after in asked["slips"]:
    with open(path, encoding="utf-8") as file:
        text = file.read()
    if before not in text:
        bad.append(f"{path}: nothing to change: {before}")
    elif validators[kind].is_valid(tomllib.loads(text.replace(before, after, 1))):
        bad.append(f"{path}: {after} passes")
if bad:
    sys.exit("\n".join(bad[:40]))
print(f"{len(asked['files'])} files valid, {len(asked['slips'])} slips found")
