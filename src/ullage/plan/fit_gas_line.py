"""Where the gas line of a cylinder outside comes into a fridge."""

from __future__ import annotations

from typing import Final

from ullage.plan.fit_answer import FitQuestion, GasLine
from ullage.system.inside import Hole

GAS_HOLE_M: Final = 0.0159
"""5/8 in, for gas line of 5/16 in inside and 9/16 in outside. Common practice, no source."""
COLLAR: Final = (
    "Bring the gas line through the collar: drill it before it goes on, and line the hole with a "
    "short piece of pipe or a grommet. Wood of your own holds no refrigerant."
)
LID: Final = (
    "Do not drill the walls of a chest freezer: the refrigerant runs in them. Put a collar of wood "
    "under the lid and bring the line through that, or lay it over the rim under a notched seal."
)
DOOR: Final = (
    "The door is the safest place for a new hole: it mostly holds no refrigerant lines. If it must "
    "be a wall, find the lines first: run the fridge and feel for warm or frosted bands, wipe on a "
    "starch-and-spirit paste that dries first over them, or look at the maker's drawing. Then cut "
    "the inner skin by hand, look, and go on."
)
BLOCKED: Final = "Leave the drain free where water has to run off, and seal around the line."


def gas_line(question: FitQuestion) -> GasLine:
    """Where the line comes in, with what must not be drilled."""
    if not question.cylinders or not question.outside:
        return GasLine(False, None, "With the cylinder inside, no gas line has to come in.")
    wide = [hole for hole in question.inside.holes if hole.diameter >= GAS_HOLE_M]
    if wide:
        best = min(wide, key=_preferred)
        return GasLine(True, best.wall, f"Use the hole that is there, {_where(best)}. {BLOCKED}")
    if question.inside.collar > 0.0:
        return GasLine(True, None, COLLAR)
    return GasLine(True, None, LID if question.inside.opens == "top" else DOOR)


def _preferred(hole: Hole) -> int:
    """The collar first: it can be made again; the floor's drain last."""
    order = ("collar", "back", "left", "right", "front", "lid", "floor")
    return order.index(hole.wall)


def _where(hole: Hole) -> str:
    return {
        "left": "in the left wall",
        "right": "in the right wall",
        "back": "in the back wall",
        "front": "in the door or front",
    }.get(hole.wall, f"in the {hole.wall}")
