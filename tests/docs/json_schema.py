# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds a document against a JSON Schema (2020-12), as far as ours use it; a keyword that it does not know is an error
in the schema, so that nothing goes unchecked. Where python3-jsonschema is installed, schemas.py asks it too."""

ANNOTATIONS = {"$schema", "$defs", "title", "description", "unit", "examples", "expected"}
TYPES = {"object": lambda v: isinstance(v, dict), "array": lambda v: isinstance(v, list),
         "string": lambda v: isinstance(v, str), "boolean": lambda v: isinstance(v, bool), "null": lambda v: v is None,
         "integer": lambda v: isinstance(v, int) and not isinstance(v, bool),
         "number": lambda v: isinstance(v, (int, float)) and not isinstance(v, bool)}


def same(a, b):
    return a == b and isinstance(a, bool) == isinstance(b, bool)


def of_object(value, schema, root, place, wrong):
    properties = schema.get("properties", {})
    for key in schema.get("required", []):
        if key not in value:
            wrong.append(f"{place}: {key} is missing")
    for key, one in value.items():
        if key in properties:
            check(one, properties[key], root, f"{place}.{key}", wrong)
        elif schema.get("additionalProperties", True) is False:
            wrong.append(f"{place}: {key} is not in the schema")


def of_array(value, schema, root, place, wrong):
    if not schema.get("minItems", 0) <= len(value) <= schema.get("maxItems", len(value)):
        wrong.append(f"{place}: {len(value)} items")
    for index, one in enumerate(value):
        check(one, schema.get("items", {}), root, f"{place}[{index}]", wrong)


def check(value, schema, root, place, wrong):
    """Adds to `wrong` a line for each thing that the schema does not allow."""
    known = ANNOTATIONS | {"$ref", "anyOf", "const", "enum", "type", "properties", "required", "additionalProperties",
                           "items", "minItems", "maxItems", "minimum", "maximum"}
    for keyword in set(schema) - known:
        wrong.append(f"{place}: the schema uses {keyword}, which this check does not know")
    if "$ref" in schema:
        check(value, root["$defs"][schema["$ref"].removeprefix("#/$defs/")], root, place, wrong)
    if "anyOf" in schema:
        tries = []
        for one in schema["anyOf"]:
            tries.append([])
            check(value, one, root, place, tries[-1])
        if all(tries):
            wrong += min(tries, key=len)
    if "const" in schema and not same(value, schema["const"]):
        wrong.append(f"{place}: {value!r} is not {schema['const']!r}")
    if "enum" in schema and not any(same(value, one) for one in schema["enum"]):
        wrong.append(f"{place}: {value!r} is none of {schema['enum']}")
    types = schema.get("type", list(TYPES))
    if not any(TYPES[t](value) for t in ([types] if isinstance(types, str) else types)):
        wrong.append(f"{place}: {value!r} is no {types}")
    if TYPES["number"](value) and not schema.get("minimum", value) <= value <= schema.get("maximum", value):
        wrong.append(f"{place}: {value!r} is beyond {schema.get('minimum')} to {schema.get('maximum')}")
    if isinstance(value, dict):
        of_object(value, schema, root, place, wrong)
    if isinstance(value, list):
        of_array(value, schema, root, place, wrong)


def errors(value, schema):
    wrong = []
    check(value, schema, schema, "", wrong)
    return wrong
