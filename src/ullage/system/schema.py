"""The JSON Schema of the system file, for editors that check while one types.

`python -m ullage.system.schema` writes it to standard output; `docs/system.schema.json` is that.
"""

from __future__ import annotations

import json
import sys
from typing import Any, Final

from ullage.system.model import System

_DESCRIPTIONS: Final = {
    "System": "All that one keeper owns. Every quantity is text with its unit: any unit will do.",
    "Place": "Where things stand: a fridge, a chest freezer, a room.",
    "Inside": "The inside of a fridge or freezer, as a tape measures it.",
    "StepInside": "The step that the compressor makes in the floor.",
    "Hole": "A hole that is there already.",
    "Room": "The room that leaking gas would gather in.",
    "Cylinder": "A CO2 cylinder. Give gross_weight and tare, or contents, or neither: full.",
    "Regulator": "A regulator on a cylinder, and what it is set to now.",
    "Beer": "A beer and the carbonation it is wanted at. Give og and fg, or abv, or neither.",
    "Fermenter": "A fermenter, and how much finished beer a batch in it gives.",
    "Keg": "A keg, where it stands and what is in it now.",
    "Tap": "A faucet and the way to it, from the keg on.",
    "LinePiece": "A piece of beer line, or of gas line.",
    "Have": "Small parts at hand: a count of a part, or a length of line.",
    "OwnPart": "Small parts that the catalogue lacks, by their two ends.",
    "Sensor": "A sensor: which thing it watches, in which unit it speaks, what it may write.",
}


def json_schema() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of the system file as it is written, not as it is kept."""
    schema = _without_null(System.model_json_schema(by_alias=True))
    for name, part in [("System", schema), *schema["$defs"].items()]:
        part["description"] = _DESCRIPTIONS[name]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": "System file",
    }


def schema_text() -> str:
    """Return the schema as the text of `docs/system.schema.json`."""
    return json.dumps(json_schema(), indent=2, ensure_ascii=False) + "\n"


def _without_null(node: Any) -> Any:
    """TOML has no null: a field that may be left out is just the thing it would be."""
    if isinstance(node, list):
        return [_without_null(each) for each in node]
    if not isinstance(node, dict):
        return node
    choices = [each for each in node.get("anyOf", ()) if each != {"type": "null"}]
    if len(choices) == 1:
        rest = {key: each for key, each in node.items() if key != "anyOf"}
        node = {**choices[0], **rest}
    return {
        key: _without_null(each)
        for key, each in node.items()
        if not (key == "default" and each is None)
    }


if __name__ == "__main__":
    sys.stdout.write(schema_text())
