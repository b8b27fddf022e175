"""Holds every job.json and job.toml of the folders given to their JSON Schemas in the book."""

import json
import pathlib
import sys
import tomllib

import jsonschema

top = pathlib.Path(__file__).resolve().parents[3]
schema = json.loads((top / "docs/src/job.schema.json").read_text())
jsonschema.Draft202012Validator.check_schema(schema)
validator = jsonschema.Draft202012Validator(schema)


def strict(node):
    """Nothing may be there that the schema does not tell of."""
    if isinstance(node, dict):
        if "properties" in node and "additionalProperties" not in node:
            node["additionalProperties"] = False
        for inner in node.values():
            strict(inner)
    if isinstance(node, list):
        for inner in node:
            strict(inner)


strict(schema)
specs = json.loads((top / "docs/src/spec.schema.json").read_text())
jsonschema.Draft202012Validator.check_schema(specs)
spec_validator = jsonschema.Draft202012Validator(specs)

read = 0
for folder in sys.argv[1:]:
    path = pathlib.Path(folder) / "job.json"
    job = json.loads(path.read_text())
    faults = [f"{fault.json_path}: {fault.message[:200]}" for fault in validator.iter_errors(job)]
    assert not faults, f"{path}: {faults[:5]}"
    spec = tomllib.loads(path.with_suffix(".toml").read_text())
    faults = [f"{fault.json_path}: {fault.message[:200]}" for fault in spec_validator.iter_errors(spec)]
    assert not faults, f"{path.with_suffix('.toml')}: {faults[:5]}"
    read += 1
assert read, "no job.json was found"
broken = dict(job, parts=[{"name": 3}])
assert list(validator.iter_errors(broken)), "a broken job.json passes: the schema holds nothing"
for wrong in ({"titel": 1}, {"title": 3}, {"router": {"hold": "glue"}}, {"box": [{"kind": "frame-box", "frames": 2.5}]}):
    assert list(spec_validator.iter_errors({**spec, **wrong})), f"a broken spec passes: {wrong}"
print(f"{read} job.json files and their specs keep to the schemas")
