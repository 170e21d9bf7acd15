"""Write `docs/models.md`: each model, its source, its constants, its errors. `make docs`."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.models_page.ahead import drinking_section, look_ahead_section
from scripts.models_page.blend import blend_section
from scripts.models_page.checks import Check, check_table
from scripts.models_page.faults import faults_section, leaks_section
from scripts.models_page.gas import (
    cylinder_section,
    fermentation_section,
    headspace_section,
    room_section,
)
from scripts.models_page.keg import absorption_section, chilling_section
from scripts.models_page.learning import learning_section
from scripts.models_page.line import breakout_section, flow_section
from scripts.models_page.section import Section, written
from scripts.models_page.shut import fermenting_section, shut_section
from scripts.models_page.solubility import beer_section, solubility_section
from scripts.pictures.chart import Picture
from scripts.pictures.kept import kept
from scripts.pictures.of_models import pictures_of
from scripts.put import ROOT, put

TARGET = ROOT / "docs" / "models.md"
PICTURES = ROOT / "docs" / "pictures" / "models"

HEAD = """<!-- Written by scripts/write_models_page.py; change that, then run make docs. -->

# Models, constants, and how far off they are

For the doubter. Every number that Ullage prints comes out of the models below. Each has its
equation, its source, the range it is good for, its constants with their spread, and a table of
Ullage beside the published figures it is held to. What is missed is listed first.

How to read the tables: *sd* is a standard deviation; a dash means that the number is known far
better than anything else here. *From memory* marks what was not seen in its source. *Common
practice* is what the trade says without one; it is shown, so that you can see where physics and
practice part. Rows *not held* are there for comparison only. In the pictures of errors the upright
is the published figure (of a range, its middle) and the tint is what ours may be off: a full mark
lies within, an open one without, an arrow far without.
"""

BANDS = """## Bands

An answer's band is an 80 % band: one in ten lies below it, one in ten above. It comes from samples
of what carries most of the doubt: how beers differ, how fast they take up gas at rest, shaken and
on a stone, how viscous they are, bores and fittings, a small gauge to half a psi, a fridge
thermometer to half a degree. How fast a keg chills, and in the log how fast its yeast works, are
taken as known. A quick question uses 2,000 samples, the state of the log 400, and what is followed
through many steps 100 to 200. The samples are the same each time, so the same question has the same
answer. A date's early and late end come from the speed of absorption alone (of the yeast, where
that makes the gas), which outweighs the rest.
"""


def sections() -> tuple[Section, ...]:
    """The models in the order in which beer meets them."""
    return (
        solubility_section(),
        beer_section(),
        absorption_section(),
        shut_section(),
        chilling_section(),
        flow_section(),
        breakout_section(),
        cylinder_section(),
        headspace_section(),
        blend_section(),
        room_section(),
        fermentation_section(),
        fermenting_section(),
        drinking_section(),
        look_ahead_section(),
        leaks_section(),
        faults_section(),
        learning_section(),
    )


def page() -> str:
    """The whole page."""
    every = sections()
    summary = _summary([check for section in every for check in section.checks])
    parts = [written(one, [_embedded(each) for each in pictures_of(one)]) for one in every]
    return "\n\n".join([HEAD.strip(), summary, *parts, BANDS.strip()]) + "\n"


def drawn() -> dict[Path, str]:
    """Every picture of the page, by the file it is kept in."""
    every = [each for one in sections() for each in pictures_of(one)]
    return {PICTURES / f"{each.name}.svg": each.svg for each in every}


def _embedded(picture: Picture) -> str:
    return f"![{picture.title}](pictures/models/{picture.name}.svg)\n\n*{picture.told}*"


def _summary(checks: list[Check]) -> str:
    held = [check for check in checks if check.met is not None]
    missed = [check for check in held if not check.met]
    said = f"## What is missed\n\n{len(held) - len(missed)} of {len(held)} figures are met."
    return f"{said} These are not:\n\n{check_table(missed)}" if missed else said


def main() -> None:
    """Write the page and its pictures; a picture that is no longer its own is taken away."""
    put(TARGET, page())
    kept(PICTURES, drawn())


if __name__ == "__main__":
    main()
