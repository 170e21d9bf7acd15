"""The running text of the page."""

from typing import Final

HEAD: Final = """
<!-- Written by scripts/write_system_page.py; change that, then run it. -->

# The system file

One text file says what you own and what you want: places, cylinders, regulators, beers, kegs,
taps. It is [TOML](https://toml.io): `key = value` lines under `[table]` headings, `#` begins a
remark. The [README](../README.md#write-your-own-system-file) builds one step by step;
[one-tap.toml](../examples/one-tap.toml) and
[metric-two-taps.toml](../examples/metric-two-taps.toml) are whole ones,
[stout-blend.toml](../examples/stout-blend.toml) has a stout on blended gas beside an ale on
straight CO2, and `ullage demo` shows one more.

- Every quantity is text with its unit, in quotes: `"38 degF"`, `"3.5 °C"`, `"3/16 in"`, `"5 mm"`,
  `"12 psi"`, `"0.8 bar"`, `"5 gal"`, `"19 L"`, `"6 pints/week"`, `"4,5 mm"`. Any unit of the right
  kind will do, and a file may mix them. Pressures are what a gauge shows.
- Dates, gravities and plain numbers stand without quotes: `2026-03-31`, `1.052`.
- Things refer to each other by `name`. Write them in any order.
- What is not listed here is refused, so a slip of the pen is found. An error is one line that says
  the line of the file, the key, what was written and what would be right.
- Editors that know JSON Schema can check while you type:
  [system.schema.json](system.schema.json), written by `python -m ullage.system.schema`.

## At the top
"""

TABLES: Final[dict[str, tuple[str, str]]] = {
    "Place": ("`[[place]]`", "Where kegs and cylinders stand: a fridge, a freezer, a garage."),
    "Inside": (
        "`inside` of a place",
        "What a tape measures in a fridge or freezer, for `ullage fit`. Written as a table "
        "`[place.inside]` right after its place. A compressor's `step` and any `hole` go in it.",
    ),
    "StepInside": (
        "`step` of an inside",
        'The step that the compressor makes in the floor, `step = { where = "back", depth = '
        '"8 in", height = "9 in" }` or as `[place.inside.step]`.',
    ),
    "Hole": (
        "`hole` of an inside",
        "A hole that is there already, as `[[place.inside.hole]]`, one table for each. None: left "
        "out. The gas line of a cylinder outside goes through one that is wide enough.",
    ),
    "Room": (
        "`[room]`",
        "The room that leaking gas would gather in. One or none; with it, Ullage says what an "
        "emptied cylinder would do to its air.",
    ),
    "Cylinder": (
        "`[[cylinder]]`",
        "A cylinder of CO2, or of [blended gas](blend.md) where `co2` says so. Weigh it "
        "(`gross_weight` and `tare`), or give `contents`, or neither: then it counts as full.",
    ),
    "Regulator": ("`[[regulator]]`", "A regulator on a cylinder. Several kegs may share one."),
    "Beer": (
        "`[[beer]]`",
        "A beer and how it is wanted. Give `og` and `fg`, or `abv`, or neither: then it counts as "
        "the standard beer of the trade's chart.",
    ),
    "Fermenter": (
        "`[[fermenter]]`",
        "A fermenter, for `ullage brewing`: how much finished beer a batch in it gives.",
    ),
    "Keg": ("`[[keg]]`", "A keg, where it stands and what is in it now."),
    "Tap": ("`[[tap]]`", "A faucet and the way to it."),
    "LinePiece": (
        "A piece of `line`",
        'Written in place, `line = [{ length = "10 ft", bore = "3/16 in" }]`, or as `[[tap.line]]` '
        "tables right after their tap. A `gas_line` is one such piece: "
        '`gas_line = { length = "4 ft", bore = "5/16 in" }`.',
    ),
    "Have": (
        "`[[have]]`",
        "Small parts at hand, which the parts list then does not buy: disconnects, couplers, "
        "adapters, clamps, washers by their names in `src/ullage/system/catalogue/adapters.toml`, "
        "or a length of line.",
    ),
    "OwnPart": (
        "`[[own_part]]`",
        "Small parts that the catalogue lacks, described by their two ends; the ends are named in "
        "`src/ullage/system/catalogue/joints.toml`.",
    ),
    "Sensor": (
        "`[[sensor]]`",
        "A sensor whose readings come in by themselves: [sensors.md](sensors.md) tells how.",
    ),
}

EXAMPLES: Final[dict[str, tuple[str, str]]] = {
    "tolerance": ("0.1 vol", "0.2 g/L"),
    "rise": ("18 in", "45 cm"),
    "bore": ("3/16 in", "5 mm"),
    "ferments_in": ("14 days", "3 weeks"),
    "conditions_in": ("7 days", "0 days"),
    "pint_in": ("10 s", "0.2 min"),
    "max_pressure": ("60 psi", "3 bar"),
    "width": ("25 in", "63 cm"),
    "depth": ("20 in", "51 cm"),
    "height": ("32 in", "81 cm"),
    "door_bulge": ("2 in", "5 cm"),
    "shelf": ("28 in", "71 cm"),
    "collar": ("6 in", "15 cm"),
    "diameter": ("5/8 in", "16 mm"),
}
"""Where the kind's own examples would mislead."""

CATALOGUE: Final = """
## The catalogue

Generic parts by name, each with its source in `src/ullage/system/catalogue/`. Ratings are what
such kegs are commonly marked for: read the marking on yours and give `max_pressure` where it
differs. Where a part of yours is not here, take the nearest.
"""

FOOT: Final = """
## What the file cannot say yet

- What happened: pours, weighings, refills. It says how things are now; change it when they change.
- Kegs, cylinders, shanks and faucets of your own: only the catalogue's kinds and sizes.
- A tap without a shank: the usual one counts, which makes little difference.
- Pumps, and kegs that are neither steel nor in the catalogue.
"""
