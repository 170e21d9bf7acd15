"""A keg or a cylinder with its readings beside it: the same on every sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from ullage.draw.layout import BEER_POST, BLOCK, BLOCK_HEIGHT, SPARE_WIDTH
from ullage.draw.live import KegLive, Known, Told
from ullage.draw.pen import DEGREES, FINE, NUMBERS, SETTING, SMALL, WARNING, WORDS, Box, Pen, Type
from ullage.draw.scene import Scene, fullness, when_read
from ullage.draw.symbols import BUBBLE, bubble, cap, post, vessel
from ullage.system.cylinder import Cylinder
from ullage.system.model import Keg, Regulator, Tap
from ullage.units import Kind

VESSEL: Final = 54.0
COLUMN: Final = VESSEL + 6
"""Where the readings begin, from the block's left."""
BESIDE: Final = 2 * BUBBLE + 4
SPARE_VESSEL: Final = 36.0
CYLINDER: Final = 42.0


@dataclass(frozen=True, slots=True)
class Reading:
    """An instrument of a keg: its letters, what it shows, and a smaller line beneath."""

    letters: str
    known: Known
    kind: Kind
    below: str = ""
    doubt: bool = False


def readings_of(scene: Scene, keg: Keg) -> Iterator[Reading]:
    """Give what is known of a keg, in the order it stands beside it."""
    live = scene.live.keg(keg.name)
    if live.level_vol is not None:
        read = when_read(live.level_vol)
        doubt = live.verdict == "over" or (live.verdict == "short" and live.doubt)
        below = read or scene.wanted(live)
        yield Reading("AI", live.level_vol, Kind.CARBONATION, below, doubt and not read)
    if live.temperature_k is not None:
        yield Reading("TI", live.temperature_k, Kind.TEMPERATURE, when_read(live.temperature_k))
    if live.left_m3 is not None:
        yield Reading("LI", live.left_m3, Kind.VOLUME, when_read(live.left_m3))
    if live.head_gauge_pa is not None:
        below = when_read(live.head_gauge_pa) or _gas(live)
        yield Reading("PI", live.head_gauge_pa, Kind.PRESSURE, below)


def _gas(live: KegLive) -> str:
    return "gas shut" if live.gas_on is False else ""


def keg_block(pen: Pen, scene: Scene, keg: Keg, x: float, y: float) -> None:
    """Draw a keg with its names and readings; `x`, `y`: its left top corner."""
    live = scene.live.keg(keg.name)
    vessel(pen, Box(x, y, x + VESSEL, y + BLOCK_HEIGHT, "keg"), fullness(keg, live))
    column, room = x + COLUMN, BLOCK - COLUMN
    pen.text((column, y + 10), keg.beer or "empty", WORDS, room)
    pen.text((column, y + 22.5), keg.name, SMALL, room)
    loop = scene.loop(keg)
    for at, one in enumerate(readings_of(scene, keg)):
        middle = y + 39.5 + 26.5 * at
        pen.line([(x + VESSEL, middle), (column, middle)], FINE)
        bubble(pen, column + BUBBLE, middle, one.letters, loop, one.known)
        said = scene.text(one.known, one.kind)
        look = DEGREES if one.kind is Kind.TEMPERATURE else NUMBERS
        _two_lines(
            pen, column + BESIDE, middle, room - BESIDE, (said, look), (one.below, one.doubt)
        )


def spare_block(pen: Pen, keg: Keg, x: float, y: float, height: float) -> None:
    """Draw a keg that waits: its outline and its name."""
    foot = y + height
    vessel(pen, Box(x, foot - 76, x + SPARE_VESSEL, foot, "spare keg"))
    cap(pen, x + 10, foot - 79)
    cap(pen, x + SPARE_VESSEL - 10, foot - 79)
    room = SPARE_WIDTH - SPARE_VESSEL - 8
    pen.text((x + SPARE_VESSEL + 6, foot - 40), keg.name, WORDS, room)
    pen.text((x + SPARE_VESSEL + 6, foot - 27), "empty", SMALL, room)


def cylinder_block(pen: Pen, scene: Scene, one: Cylinder, box: Box) -> None:
    """Draw a cylinder within `box`, whose left part its vessel takes."""
    vessel(pen, Box(box.left, box.top, box.left + CYLINDER, box.bottom, "cylinder"))
    x, room = box.left + CYLINDER + 6, box.right - box.left - CYLINDER - 6
    pen.text((x, box.top + 12), one.name, WORDS, room)
    pen.text((x, box.top + 25), one.size, SMALL, room)
    known = scene.live.cylinders_kg.get(one.name)
    if known is None:
        return
    middle = box.top + 48
    pen.line([(box.left + CYLINDER, middle), (x, middle)], FINE)
    bubble(pen, x + BUBBLE, middle, "WI", scene.loop(one), known)
    said = scene.text(known, Kind.MASS)
    below = when_read(known)
    _two_lines(pen, x + BESIDE, middle, room - BESIDE, (said, NUMBERS), (below, False))


def setting(pen: Pen, scene: Scene, one: Regulator, at: tuple[float, float], room: float) -> None:
    """Draw a regulator's gauge at `at` with what it is set to and its name to the right."""
    x, y = at
    known = None if one.pressure is None else Told(one.pressure)
    bubble(pen, x, y, "PI", scene.loop(one), known)
    said = "not told" if known is None else scene.text(known, Kind.PRESSURE)
    pen.text((x + BUBBLE + 4, y - 1), said, SETTING)
    pen.text((x + BUBBLE + 4, y + 10.5), one.name, SMALL, room)


def pour_texts(pen: Pen, scene: Scene, tap: Tap, at: tuple[float, float], room: float) -> None:
    """Write a tap's name with its foot at `at`, and below it how long it pours."""
    x, y = at
    pen.text((x, y), tap.name, WORDS, room)
    known = scene.live.pours_s.get(tap.name)
    if known is None:
        return
    pen.text((x, y + 14), scene.text(known, Kind.DURATION), NUMBERS)
    pen.text((x, y + 25.5), scene.glass(known, room, SMALL.size), SMALL)


def stub(pen: Pen, x: float, y: float) -> None:
    """Draw the capped beer post of a keg without a tap, the block's left top corner given."""
    post(pen, x + BEER_POST, y + 0.5)
    cap(pen, x + BEER_POST, y - 5)


def _two_lines(
    pen: Pen,
    x: float,
    middle: float,
    room: float,
    value: tuple[str, Type],
    below: tuple[str, bool],
) -> None:
    """Write a value beside its bubble, a little higher where there is a smaller line beneath."""
    said, look = value
    small, doubt = below
    pen.text((x, middle + (-0.5 if small else 4)), said, look)
    pen.text((x, middle + 10.5), small, WARNING if doubt else SMALL, room)
