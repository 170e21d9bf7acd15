"""Write `docs/log-format.md`: the exported log, line by line, and every event from its model."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any, Final, get_args

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.models_page.checks import table
from scripts.put import ROOT, put
from ullage.cellar.events import CylinderEvent, Event, KegEvent, json_schema, to_json
from ullage.cellar.happening import Happening
from ullage.cellar.keg_events import KegAcquired, Poured
from ullage.cellar.log_file import Exported, compact, footer, header
from ullage.cellar.readings import COLUMNS, QUANTITIES

TARGET: Final = ROOT / "docs" / "log-format.md"
AT: Final = datetime(2026, 3, 1, 18, 30, tzinfo=UTC)
WRITTEN: Final = "2026-03-01T18:31:07.250000Z"
SHARED: Final = tuple(Happening.model_fields)
MEANINGS: Final = {
    "version": "of this form of event: 1",
    "id": "32 hexadecimal digits that no other event has",
    "at": "when it happened, or is planned to: ISO 8601 with its offset from UTC",
    "planned": "true for a step that is yet to be done",
    "plan": "the plan that a step belongs to",
    "does": "the planned step that this event fulfils",
    "source": "the [sensor](sensors.md) that told it; left out where a person did",
    "remark": "a word beside it",
}

HEAD: Final = """
<!-- Written by scripts/write_log_format.py; change that, then run it. -->

# The log, exported

`ullage export` writes everything that was recorded to one file, `ullage import` reads it into a
store again, on this machine or another, SQLite or PostgreSQL. Nothing is lost: importing into an
empty store and exporting again gives the same bytes.

The file is text in UTF-8, one JSON object a line (JSON Lines), no spaces between its parts:
"""

LINES: Final = (
    ("first", "`format` and its `version`, 1"),
    (
        "any number",
        "`document`: a text kept beside the log, such as the system file, in each of its versions, "
        "oldest first",
    ),
    (
        "any number",
        "`event`, with its `number` in its stream (1, 2 … with no gap) and `recorded_at`, when it "
        "was written down (UTC), oldest first",
    ),
    (
        "last",
        "how many `events` and `documents` there are, and the `sha256` of all bytes before this "
        "line",
    ),
)

RULES: Final = """
- A file without its last line, or whose bytes differ from those that were counted, is refused:
  it was cut short or changed.
- An import is all or nothing: if any line is wrong, it is named by its number and none is kept.
- Events the store has already, byte for byte and under the same number, are left out, so a longer
  export may be imported on top of a shorter one, or the same one twice. Where two logs went
  different ways (another event has the same number of a stream, or the same id), nothing is
  imported.
- An event belongs to a stream: that of its keg (`keg:K1`), cylinder, beer line, fermenter, place,
  batch, or of the cellar. An `undone` belongs to the stream of the event it takes back.

## Events

Events are facts, or planned steps (`planned`), and never change: a mistake is taken back by an
`undone` and written anew. All numbers are SI and the end of a name says the unit: `_k` kelvin,
`_pa` pascal, `_m3` cubic metre, `_kg` kilogram, `_s` second, `_m` metre, `_vol` volumes of CO2.
`gauge` in a name: as a gauge shows it, counted from the air's pressure. Fields that are not known
are left out. Every event has these:
"""

READINGS: Final = """
## Readings as a table

Readings alone go to a spreadsheet and come from one as CSV, one row for each number:
"""

READING_RULES: Final = """
Rows of the same `at`, `subject` and `kind` are one event. Tables are written in SI and read in any
unit of the right kind (`psi`, `degF`, `lb`, `g/L`). Those written are the ones that stand: neither
planned nor taken back. Reading a table leaves out what the log has already; a row that is wrong is
named by its line, and nothing is written.
"""


def page() -> str:
    """The whole page."""
    found = [HEAD.strip(), f"```json\n{example()}```", table(("Line", "Holds"), LINES)]
    found += [RULES.strip(), shared()]
    for title, kinds in groups().items():
        found.append(f"### {title}")
        found += [section(kind) for kind in kinds]
    found += [READINGS.strip(), f"```text\n{readings_example()}```"]
    found += [readings_table(), READING_RULES.strip()]
    return "\n\n".join(found) + "\n"


def example() -> str:
    """A small export: a document and two events."""
    document = {"name": "system", "version": 1, "recorded_at": WRITTEN, "text": 'name = "Bar"'}
    bodies = [to_json(acquired("1" * 32)), to_json(poured("2" * 32))]
    return export_of(bodies, compact({"document": document}))


def export_of(bodies: Sequence[str], *documents: str) -> str:
    """An export of events of one stream, from their JSON."""
    lines = [header(), *documents]
    lines += [
        f'{{"number":{number},"recorded_at":"{WRITTEN}","event":{body}}}'
        for number, body in enumerate(bodies, 1)
    ]
    before = "".join(f"{line}\n" for line in lines)
    digest = sha256(before.encode()).hexdigest()
    return f"{before}{footer(Exported(len(bodies), len(documents), digest))}\n"


def acquired(name: str) -> KegAcquired:
    """A keg, by the id of the event."""
    return KegAcquired(id=name, at=AT, keg="K1", keg_kind="ball-lock-5gal", place="fridge")


def poured(name: str) -> Poured:
    """A US pint, by the id of the event."""
    return Poured(id=name, at=AT, keg="K1", volume_m3=0.000473)


def groups() -> dict[str, tuple[type[Happening], ...]]:
    """Every kind of event under the heading it stands under."""
    kegs, cylinders = get_args(KegEvent), get_args(CylinderEvent)
    rest = tuple(kind for kind in get_args(Event) if kind not in (*kegs, *cylinders))
    return {"Of a keg": kegs, "Of a cylinder": cylinders, "Of everything else": rest}


def shared() -> str:
    """The table of what every event has."""
    properties = json_schema()["$defs"]["Poured"]["properties"]
    rows = [(f"`{name}`", kind(properties[name]), MEANINGS[name]) for name in SHARED]
    return table(("Field", "Value", "What it is"), rows)


def section(model: type[Happening]) -> str:
    """One kind of event: what it says and the fields of its own."""
    schema = json_schema()["$defs"][model.__name__]
    name = schema["properties"]["kind"]["const"]
    rows = [
        (f"`{field}`", "yes" if field in schema["required"] else default(found), kind(found))
        for field, found in schema["properties"].items()
        if field not in (*SHARED, "kind")
    ]
    said = " ".join(schema["description"].split())
    return f"#### `{name}`\n\n{said}\n\n{table(('Field', 'Needed', 'Value'), rows)}"


def default(field: dict[str, Any]) -> str:
    """What a field means when it is left out."""
    value = field.get("default")
    return "no" if value in (None, "") else f"no: `{compact({'': value})[4:-1]}`"


def kind(field: dict[str, Any]) -> str:
    """What may stand in a field, and between which bounds."""
    found = next((one for one in field.get("anyOf", ()) if one.get("type") != "null"), field)
    if "const" in found:
        return f"`{found['const']}`"
    if "enum" in found:
        return " or ".join(f'`"{each}"`' for each in found["enum"])
    if found["type"] == "string":
        return text(found)
    if found["type"] == "object":
        return named(found)
    plain = {"integer": "a whole number", "number": "a number", "boolean": "`true` or `false`"}
    return plain[found["type"]] + bounds(found)


def named(field: dict[str, Any]) -> str:
    """What may stand in an object whose keys are names."""
    each = json_schema()["$defs"][field["additionalProperties"]["$ref"].rpartition("/")[2]]
    fields = [f"`{name}` ({kind(found)})" for name, found in each["properties"].items()]
    return f"up to {field['maxProperties']} names, each with {', '.join(fields)}"


def text(field: dict[str, Any]) -> str:
    """What may stand in a field of text."""
    named = {"date-time": "a moment", "date": "a date, `2026-03-31`"}
    if field.get("format") in named:
        return named[field["format"]]
    if field.get("pattern", "").endswith("{32}$"):
        return "an id"
    return f"text of {field.get('minLength', 0)} to {field['maxLength']} characters"


def bounds(field: dict[str, Any]) -> str:
    """The bounds of a number; none of anything else."""
    if "maximum" not in field:
        return ""
    if "exclusiveMinimum" in field:
        return f" above {field['exclusiveMinimum']:g}, up to {field['maximum']:g}"
    return f", {field['minimum']:g} to {field['maximum']:g}"


def readings_example() -> str:
    """A table of two readings."""
    rows = (
        ("2026-03-01T18:30:00+01:00", "keg:K1", "measured", "gauge_pressure", "12", "psi"),
        ("2026-03-01T18:30:00+01:00", "keg:K1", "measured", "temperature", "276.48", "K"),
    )
    return "".join(f"{','.join(row)}\n" for row in (COLUMNS, *rows))


def readings_table() -> str:
    """Which quantities each kind of reading has."""
    rows = [
        (f"`{name}`", ", ".join(f"`{each}` ({one.unit})" for each, one in quantities.items()))
        for name, quantities in QUANTITIES.items()
    ]
    return table(("`kind`", "`quantity` (`unit` as written)"), rows)


if __name__ == "__main__":
    put(TARGET, page())
