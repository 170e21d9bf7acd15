"""Write `docs/system-file.md`: every table and key of the system file, from its JSON Schema."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.models_page.checks import table
from scripts.put import ROOT, put
from scripts.system_page.meanings import MEANINGS
from scripts.system_page.words import CATALOGUE, EXAMPLES, FOOT, HEAD, TABLES
from ullage.system import parts, ports
from ullage.system.schema import json_schema

TARGET = ROOT / "docs" / "system-file.md"
KINDS: dict[str, str] = {
    "kind": "a kind of keg",
    "size": "a size of cylinder",
    "material": "a line material",
    "disconnect": "a disconnect",
    "shank": "a shank",
    "faucet": "a faucet",
    "outlet": "an end of a part",
    "gas_disconnect": "a disconnect",
    "ends": "a list of two ends of parts",
}


def page() -> str:
    """The whole page."""
    schema = json_schema()
    found = [HEAD.strip(), _part("", schema)]
    for name, (title, says) in TABLES.items():
        found += [f"## {title}", says, _part(name, schema["$defs"][name])]
    return "\n\n".join([*found, CATALOGUE.strip(), *_catalogue(), FOOT.strip()]) + "\n"


def _part(name: str, schema: dict[str, Any]) -> str:
    """The keys of one table of the file."""
    needed = schema.get("required", ())
    rows = [
        (
            f"`{key}`",
            "yes" if key in needed else _default(field),
            _kind(key, field),
            MEANINGS[name, key],
        )
        for key, field in schema["properties"].items()
        if _is_key(field)
    ]
    return table(("Key", "Needed, or left out means", "Write", "What it is"), rows)


def _is_key(field: dict[str, Any]) -> bool:
    """Whether it is a key with a value, not a table of its own."""
    return "$ref" not in field and not (field.get("type") == "array" and "default" in field)


def _default(field: dict[str, Any]) -> str:
    if "default" not in field:
        return "no"
    value = field["default"]
    return f"`{json.dumps(value, ensure_ascii=False)}`"


def _kind(key: str, field: dict[str, Any]) -> str:
    """How the value is written and between which bounds."""
    if key in KINDS:
        return f"{KINDS[key]}, see below"
    if "examples" in field:
        written = EXAMPLES.get(key, field["examples"])
        examples = " or ".join(f'`"{each}"`' for each in written)
        return f"{field['description'].split(' (')[0]}: {examples}"
    if "enum" in field:
        return " or ".join(f'`"{each}"`' for each in field["enum"])
    if field.get("format") == "date":
        return "a date, no quotes: `2026-03-31`"
    if field.get("type") == "array":
        return f"a list of {field['minItems']} to {field['maxItems']} pieces"
    return _plain(field)


def _plain(field: dict[str, Any]) -> str:
    if "const" in field:
        return f"`{field['const']}`"
    if field.get("type") == "boolean":
        return "`true` or `false`"
    if field.get("type") == "number":
        return f"a number, no quotes, {field['minimum']:g} to {field['maximum']:g}"
    return "text, one line"


def _catalogue() -> list[str]:
    kegs = [
        (
            f"`{name}`",
            one.title,
            f"{one.usual_fill_m3 * 1e3:.1f} L",
            f"{one.max_gauge_pa / 6894.757:.0f} psi",
            f"`{one.connection}`",
        )
        for name, one in parts.keg_kinds().items()
    ]
    cylinders = [
        (f"`{name}`", one.title, f"{one.rated_kg:.2f} kg", f"`{one.valve}`")
        for name, one in parts.cylinder_sizes().items()
    ]
    return [
        "### Kinds of keg",
        table(("`kind`", "", "Usual fill", "Usually marked for", "Takes"), kegs),
        "### Sizes of cylinder",
        table(("`size`", "", "CO2", "Valve"), cylinders),
        "### Line materials",
        _titles("material", parts.line_materials()),
        "### Disconnects, shanks, faucets",
        _titles("disconnect", parts.disconnects()),
        _titles("shank", parts.shanks()),
        _titles("faucet", parts.faucets()),
        "### Ends of parts",
        table(
            ("One end", "The other", "What they are"),
            [(f"`{one.ends[0]}`", f"`{one.ends[1]}`", one.title) for one in ports.joints()],
        ),
        "### Small parts",
        table(
            ("Part", "", "Ends"),
            [
                (f"`{name}`", one.title, " and ".join(f"`{end}`" for end in one.ends))
                for name, one in ports.adapters().items()
            ],
        ),
        _titles("manifold", ports.manifolds()),
        _titles("seal", ports.seals()),
    ]


Titled = parts.LineMaterial | parts.Fitting | ports.Manifold | ports.Seal


def _titles(key: str, found: Mapping[str, Titled]) -> str:
    return table((f"`{key}`", ""), [(f"`{name}`", one.title) for name, one in found.items()])


if __name__ == "__main__":
    put(TARGET, page())
