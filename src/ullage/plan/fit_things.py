"""What stands in a fridge, as discs with clearances: kegs, cylinders, the fridge itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from ullage.plan.fit_answer import FitQuestion, Room, StepOutline, Wanted
from ullage.plan.packing import Body, Box, Floor, Step
from ullage.system import parts
from ullage.system.inside import Inside, StepInside

DISCONNECT_M: Final = 0.0508
"""2 in: what disconnects stand above a keg with posts, tubing bent away. From memory."""
COUPLER_M: Final = 0.1524
"""6 in: a coupler with its gas tail and the beer line bent away. From memory."""
HAND_M: Final = {"front": 0.0508, "top": 0.0}
"""2 in for the hand under a ceiling; under a lid the hand comes from above."""
CYLINDER_AIR_M: Final = 0.0127
"""Half an inch above a regulator."""
REGULATOR_REACH_M: Final = 0.0889
"""3.5 in from the cylinder's axis to the middle of a regulator with two gauges. From memory."""
REGULATOR_RADIUS_M: Final = 0.0762
"""A circle of 6 in holds its body and gauges. From memory."""
REGULATOR_BELOW_M: Final = 0.1016
REGULATOR_ABOVE_M: Final = 0.0635
"""It reaches from 4 in below the top of the valve to 2.5 in above. From memory."""


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing to stand: its own size, and `needs_m`, the height it takes with all above it."""

    name: str
    kind: str
    title: str
    sort: Literal["keg", "cylinder"]
    diameter_m: float
    height_m: float
    needs_m: float

    def body(self, between_m: float, on_step: bool) -> Body:
        """The thing as a disc with half of the distance between things around it."""
        half = 0.5 * between_m
        radius = 0.5 * self.diameter_m + half
        if self.sort == "keg":
            return Body(radius, self.needs_m, on_step)
        return Body(
            radius,
            self.height_m,
            on_step,
            REGULATOR_REACH_M,
            REGULATOR_RADIUS_M + half,
            self.height_m - REGULATOR_BELOW_M,
            self.height_m + REGULATOR_ABOVE_M,
        )


def things_of(question: FitQuestion) -> tuple[Thing, ...]:
    """Everything that is to stand inside. Raises `UnknownName`: no such kind or size."""
    kegs = tuple(_keg(one, question.inside) for one in question.kegs)
    cylinders = tuple(_cylinder(one) for one in question.cylinders)
    return kegs if question.outside else (*kegs, *cylinders)


def _keg(one: Wanted, inside: Inside) -> Thing:
    kind = parts.keg_kind(one.kind)
    above = COUPLER_M if kind.connection.startswith("coupler") else DISCONNECT_M
    needs = kind.height_m + above + HAND_M[inside.opens]
    return Thing(one.name, kind.name, kind.title, "keg", kind.diameter_m, kind.height_m, needs)


def _cylinder(one: Wanted) -> Thing:
    size = parts.cylinder_size(one.kind)
    needs = size.height_m + REGULATOR_ABOVE_M + CYLINDER_AIR_M
    return Thing(one.name, size.name, size.title, "cylinder", size.diameter_m, size.height_m, needs)


def room_of(inside: Inside) -> Room:
    """The inside as it counts: less the door's bulge, up to the shelf or the lid."""
    return Room(
        width_m=inside.width,
        depth_m=inside.depth,
        front_m=inside.door_bulge,
        height_m=inside.clear_height,
        opens=inside.opens,
        rim_m=inside.height + inside.collar,
        step=None if inside.step is None else _outline(inside, inside.step),
    )


def _outline(inside: Inside, step: StepInside) -> StepOutline:
    wide = inside.width if step.width is None else step.width
    deep = inside.depth if step.depth is None else step.depth
    left = inside.width - wide if "right" in step.where else 0.0
    front = inside.depth - deep if "back" in step.where else 0.0
    return StepOutline(left, front, left + wide, front + deep, step.height)


def floor_of(room: Room, between_m: float) -> Floor:
    """The floor with half of the distance between things taken off along the walls."""
    half = 0.5 * between_m
    walls = Box(0.0, room.front_m, room.width_m, room.depth_m).inset(half)
    if room.step is None:
        return Floor(walls)
    one = room.step
    box = Box(one.left_m, one.front_m, one.right_m, one.back_m).within(walls)
    return Floor(walls, Step(box, one.height_m))
