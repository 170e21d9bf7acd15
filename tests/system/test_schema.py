"""The JSON Schema: current, valid, and of one mind with the reader."""

from __future__ import annotations

import json
import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]

from ullage.system.demo import demo_text
from ullage.system.model import System
from ullage.system.schema import json_schema, schema_text

ROOT = Path(__file__).parents[2]


def as_json(text: str) -> Any:
    return json.loads(json.dumps(tomllib.loads(text), default=date.isoformat))


def faults(text: str) -> list[str]:
    validator = Draft202012Validator(json_schema())
    return [str(fault.message) for fault in validator.iter_errors(as_json(text))]


def test_the_committed_schema_is_current() -> None:
    """If this fails: `python -m ullage.system.schema > docs/system.schema.json`."""
    assert (ROOT / "docs" / "system.schema.json").read_text(encoding="utf-8") == schema_text()


def test_it_is_a_schema() -> None:
    Draft202012Validator.check_schema(json_schema())


@pytest.mark.parametrize("path", sorted((ROOT / "examples").glob("*.toml")), ids=lambda p: p.stem)
def test_examples_keep_to_it(path: Path) -> None:
    assert faults(path.read_text(encoding="utf-8")) == []


def test_the_demo_keeps_to_it_and_mistakes_do_not() -> None:
    assert faults(demo_text()) == []
    for old, new in [
        ('"38 degF"', "38"),
        ('"38 degF"', '"38"'),
        ("temperature", "temprature"),
        ('"ball-lock-5gal"', '"firkin"'),
        ("og = 1.052", "og = 1052"),
        ('"us"', '"uk"'),
    ]:
        assert faults(demo_text().replace(old, new, 1))


def test_it_speaks_of_the_file_not_of_the_program() -> None:
    schema = json_schema()
    assert set(schema["$defs"]) | {"System"} >= {"Place", "Keg", "Tap", "LinePiece", "System"}
    assert set(schema["properties"]) == {
        field.alias or name for name, field in System.model_fields.items()
    }
    text = json.dumps(schema)
    assert '"null"' not in text
    defaults = schema["$defs"]["Regulator"]["properties"]["max_pressure"]
    assert defaults["default"] == "60 psi"
    assert defaults["type"] == "string"


def test_written_defaults_are_the_defaults() -> None:
    written = {
        (name, key): field["default"]
        for name, part in [("System", json_schema()), *json_schema()["$defs"].items()]
        for key, field in part["properties"].items()
        if isinstance(field.get("default"), str)
    }
    assert written["System", "altitude"] == "0 ft"  # analytic: 0 m
    assert written["Tap", "pint_in"] == "10 s"
    assert written["Beer", "tolerance"] == "0.2 vol"
    text = demo_text().replace('altitude = "600 ft"', 'altitude = "0 ft"')
    assert faults(text) == []
