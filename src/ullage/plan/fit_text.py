"""What a tape measured, as one types it: `25 in x 20 in x 30 in`, `25 in x 8 in x 9 in back`."""

from __future__ import annotations

import re
from typing import Final, get_args

from pydantic import ValidationError

from ullage.errors import UnitError
from ullage.system.inside import Inside, StepInside, StepPlace
from ullage.units import Kind, parse, shown

TIMES: Final = re.compile(r"\s*[x×]\s*")
FARTHEST_M: Final = 0.5


def inside_of(
    text: str, step: str | None = None, *, lid: bool = False, collar: str | None = None
) -> Inside:
    """Read an inside: width, depth, height; a step's sizes and where it is; a collar's height.

    Raises `UnitError` that says what was wrong and what would be right.
    """
    width, depth, height = _three(text, "25 in x 20 in x 30 in")
    try:
        return Inside(
            width=width,
            depth=depth,
            height=height,
            opens="top" if lid else "front",
            collar=0.0 if collar is None else parse(collar, Kind.LENGTH),
            step=None if step is None else step_of(step),
        )
    except ValidationError as wrong:
        raise UnitError(str(wrong.errors()[0]["msg"])) from None


def step_of(text: str) -> StepInside:
    """Read a step: width x depth x height, and the wall or corner it is at (left out: the back)."""
    places: tuple[StepPlace, ...] = get_args(StepPlace)
    said = text.strip()
    where = next((one for one in sorted(places, key=len, reverse=True) if said.endswith(one)), None)
    sizes = said.removesuffix(where or "").strip()
    width, depth, height = _three(sizes, "25 in x 8 in x 9 in back")
    return StepInside(where=where or "back", width=width, depth=depth, height=height)


def distance(text: str) -> float:
    """A distance to keep between things: 0 up to half a metre."""
    found = parse(text, Kind.LENGTH)
    if not 0.0 <= found <= FARTHEST_M:
        raise UnitError(f"{shown(text)} is no distance to keep; give 0 up to 20 in (50 cm)")
    return found


def _three(text: str, example: str) -> tuple[float, float, float]:
    pieces = TIMES.split(text.strip())
    if len(pieces) != 3:
        raise UnitError(
            f"{shown(text)} is not width x depth x height; write it such as {shown(example)}"
        )
    width, depth, height = (parse(piece, Kind.LENGTH) for piece in pieces)
    return width, depth, height
