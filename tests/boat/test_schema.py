"""The published JSON Schema accepts what the program accepts, judged by a small validator of our own.

The keywords are those of JSON Schema draft 2020-12, sections 6 and 10 of its validation vocabulary.
"""

import copy
import json
import re
from pathlib import Path
from typing import Any

import pytest

from server.boat.document import boat_bytes, read_boat, schema
from tests.boat.small_boat import BOAT

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = schema()
GOLDEN = json.loads((Path(__file__).parent / "golden" / "v1.json").read_bytes())
TYPES: dict[str, tuple[type, ...]] = {
    "object": (dict,),
    "array": (list,),
    "string": (str,),
    "boolean": (bool,),
    "number": (int, float),
    "integer": (int,),
    "null": (type(None),),
}
KNOWN = {
    *("$schema", "$id", "$defs", "$ref", "title", "description", "default", "discriminator", "type", "const"),
    *("enum", "properties", "required", "additionalProperties", "items", "prefixItems", "anyOf", "oneOf"),
    *("minimum", "maximum", "exclusiveMinimum", "minLength", "maxLength", "minItems", "maxItems", "pattern"),
}


def fits(value: Any, rule: dict[str, Any]) -> bool:  # noqa: ANN401 - any JSON value
    """Whether a JSON value fits a rule of the schema."""
    assert set(rule) <= KNOWN, set(rule) - KNOWN
    if "$ref" in rule:
        return fits(value, SCHEMA["$defs"][rule["$ref"].removeprefix("#/$defs/")])
    return (
        _type_fits(value, rule)
        and _value_fits(value, rule)
        and _inside_fits(value, rule)
        and ("anyOf" not in rule or any(fits(value, option) for option in rule["anyOf"]))
        and ("oneOf" not in rule or sum(fits(value, option) for option in rule["oneOf"]) == 1)
    )


def _type_fits(value: Any, rule: dict[str, Any]) -> bool:  # noqa: ANN401
    if "type" not in rule:
        return True
    plain = rule["type"] == "boolean" or not isinstance(value, bool)
    return plain and isinstance(value, TYPES[rule["type"]])


def _value_fits(value: Any, rule: dict[str, Any]) -> bool:  # noqa: ANN401
    if isinstance(value, str):
        length = rule.get("minLength", 0) <= len(value) <= rule.get("maxLength", len(value))
        return length and re.search(rule.get("pattern", ""), value) is not None and _is_one_of(value, rule)
    if isinstance(value, int | float) and not isinstance(value, bool):
        inside = rule.get("minimum", value) <= value <= rule.get("maximum", value)
        return inside and value > rule.get("exclusiveMinimum", float("-inf")) and _is_one_of(value, rule)
    return True


def _is_one_of(value: object, rule: dict[str, Any]) -> bool:
    return value == rule.get("const", value) and value in rule.get("enum", [value])


def _inside_fits(value: Any, rule: dict[str, Any]) -> bool:  # noqa: ANN401
    if isinstance(value, dict) and "properties" in rule:
        known = rule["properties"]
        closed = rule.get("additionalProperties") is not False or set(value) <= set(known)
        return (
            closed
            and set(rule.get("required", ())) <= set(value)
            and all(fits(value[key], known[key]) for key in value if key in known)
        )
    if isinstance(value, list):
        first = rule.get("prefixItems", [])
        count = rule.get("minItems", 0) <= len(value) <= rule.get("maxItems", len(value))
        rest = value[len(first) :]
        return (
            count
            and all(fits(item, one) for item, one in zip(value, first, strict=False))
            and all(fits(item, rule.get("items", {})) for item in rest)
        )
    return True


def test_the_schema_names_itself_and_closes_every_object() -> None:
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert SCHEMA["$id"] == "tapchart.boat/1"
    objects = [rule for rule in (SCHEMA, *SCHEMA["$defs"].values()) if rule.get("type") == "object"]
    assert len(objects) > 40
    assert all(rule["additionalProperties"] is False for rule in objects)


@pytest.mark.parametrize("path", sorted((ROOT / "seed_boats").glob("*.json")), ids=lambda path: path.name)
def test_the_demo_boats_fit_the_schema_and_are_in_the_one_byte_form(path: Path) -> None:
    body = path.read_bytes()

    assert fits(json.loads(body), SCHEMA)
    assert boat_bytes(read_boat(body)) == body


def test_the_golden_file_and_a_small_boat_fit_the_schema() -> None:
    assert fits(GOLDEN, SCHEMA)
    assert fits(json.loads(boat_bytes(BOAT)), SCHEMA)


@pytest.mark.parametrize(
    ("key", "value"),
    [("name", 3), ("version", 2), ("nominal_voltage_v", 0), ("parts", {}), ("wings", 2), ("format", "x")],
)
def test_what_the_program_refuses_does_not_fit_the_schema(key: str, value: object) -> None:
    document = copy.deepcopy(GOLDEN)
    document[key] = value

    assert not fits(document, SCHEMA)


def test_a_part_of_no_kind_does_not_fit_the_schema() -> None:
    document = copy.deepcopy(GOLDEN)
    document["parts"][0]["kind"] = "door"

    assert not fits(document, SCHEMA)
