"""What the page of a fit asks."""

from __future__ import annotations

from typing import Final, get_args

from ullage.system import parts
from ullage.system.inside import StepPlace
from ullage.units import Kind
from ullage.web.fields import Choice, Measure
from ullage.web.whatif import keg_kinds
from ullage.web.whatif_fields import Ask

INSIDE: Final = Measure(Kind.LENGTH, "in", "cm", "1 cm", "10 m")
PART: Final = Measure(Kind.LENGTH, "in", "cm", "0 cm", "2 m")
GAP: Final = Measure(Kind.LENGTH, "in", "mm", "0 mm", "50 cm")
MOST_ASKED: Final = 12
NO_STEP: Final = "none"
STEPS: Final[tuple[StepPlace, ...]] = get_args(StepPlace)
FIRST: Final = (
    Ask("width", "Width inside", INSIDE, "Left to right, at the narrowest."),
    Ask("depth", "Depth inside", INSIDE, "Back to the door's plane."),
    Ask("height", "Height inside", INSIDE, "Floor to ceiling, or to the rim under a lid."),
    Ask(
        "opens",
        "Opens",
        choices=(Choice("front", "by a door in front"), Choice("top", "by a lid on top")),
        kind="select",
    ),
    Ask(
        "step",
        "Compressor’s step",
        choices=(
            Choice(NO_STEP, "none"),
            *(Choice(one, one.replace("-", " ")) for one in STEPS),
        ),
        kind="select",
    ),
    Ask("step_width", "Its width", INSIDE, "Empty: wall to wall."),
    Ask("step_depth", "Its depth", INSIDE, "Empty: wall to wall."),
    Ask("step_height", "Its height", INSIDE),
    Ask(
        "kegs",
        "Kegs",
        choices=(
            Choice("there", "those that stand there now"),
            Choice("most", "as many as will stand"),
            *(Choice(str(count), str(count)) for count in range(1, MOST_ASKED + 1)),
        ),
        kind="select",
    ),
    Ask("kind", "Kind of keg", choices=keg_kinds(), kind="select"),
    Ask(
        "cylinder",
        "Cylinder",
        choices=(
            Choice("outside", "stands outside"),
            Choice("inside", "stands inside"),
            Choice("none", "there is none"),
        ),
        kind="select",
    ),
    Ask(
        "size",
        "Its size",
        choices=tuple(Choice(one.name, one.title) for one in parts.cylinder_sizes().values()),
        kind="select",
    ),
)
MORE: Final = (
    Ask("bulge", "Door reaches in by", PART, "Shut, with its shelves."),
    Ask("shelf", "Shelf that stays, above the floor", INSIDE, "Empty: none."),
    Ask("collar", "Collar under the lid", PART),
    Ask("between", "Keep between things", GAP, "And to the walls."),
)
BY_NAME: Final = {ask.name: ask for ask in (*FIRST, *MORE)}
