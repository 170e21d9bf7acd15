"""The inside of a fridge or freezer, as a tape measures it. Lengths in m."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from ullage.system.part import Part
from ullage.system.quantities import HoleWidth, InsideLength, PartLength, refuse

StepPlace = Literal[
    "back", "front", "left", "right", "back-left", "back-right", "front-left", "front-right"
]
Wall = Literal["left", "right", "back", "front", "floor", "lid", "collar"]
MOST_HOLES = 20


class StepInside(Part):
    """The step that the compressor makes in the floor, along a wall or in a corner.

    `width` is from left to right, `depth` from front to back; left out: as far as the walls.
    """

    where: StepPlace = "back"
    width: InsideLength | None = None
    depth: InsideLength | None = None
    height: InsideLength


class Hole(Part):
    """A hole that is there already, such as a drain or one that a line goes through."""

    wall: Wall
    diameter: HoleWidth


class Inside(Part):
    """The inside: `width` from left to right, `depth` from back to door, `height` to what is above.

    Measured with the door open; `door_bulge` is how far the shut door reaches in. `shelf`: height
    of a shelf that stays in, from the floor. `collar`: height of a collar under the lid.
    """

    width: InsideLength
    depth: InsideLength
    height: InsideLength
    opens: Literal["front", "top"] = "front"
    door_bulge: Annotated[PartLength, Field(json_schema_extra={"default": "0 in"})] = 0.0
    shelf: InsideLength | None = None
    collar: Annotated[PartLength, Field(json_schema_extra={"default": "0 in"})] = 0.0
    step: StepInside | None = None
    holes: tuple[Hole, ...] = Field(default=(), alias="hole", max_length=MOST_HOLES)

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        if self.door_bulge >= self.depth:
            raise refuse("door_bulge is as much as depth: the door would touch the back wall")
        if self.shelf is not None and self.shelf > self.height:
            raise refuse("shelf is above height: both are measured from the floor")
        if self.collar and self.opens == "front":
            raise refuse('a collar goes under a lid: write opens = "top", or leave collar out')
        self._check_step()
        return self

    def _check_step(self) -> None:
        step = self.step
        if step is None:
            return
        if step.height >= self.height:
            raise refuse("step: its height is as much as the inside's")
        if (step.width or 0.0) > self.width or (step.depth or 0.0) > self.depth:
            raise refuse("step: it is larger than the inside")
        if step.where in ("back", "front") and step.depth is None:
            raise refuse("step: along the back or front its depth is needed")
        if step.where in ("left", "right") and step.width is None:
            raise refuse("step: along a side its width is needed")
        if "-" in step.where and (step.width is None or step.depth is None):
            raise refuse("step: in a corner both width and depth are needed")

    @property
    def clear_height(self) -> float:
        """From the floor to what is above: the shelf, or the lid on its collar."""
        return self.height + self.collar if self.shelf is None else self.shelf
