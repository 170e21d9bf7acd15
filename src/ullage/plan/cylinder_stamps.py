"""What stands stamped on a cylinder's shoulder, as the log tells it: its empty weight, its test."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from ullage.cellar.events import Event, in_order
from ullage.cellar.other_events import CylinderSwapped, CylinderWeighed


@dataclass(frozen=True, slots=True)
class Stamps:
    """What is told of the cylinder that is there now. `tare_kg` in kg; `None`: not told.

    `swapped`: another one may have come since the system file told of it, so that its tare is not
    that of this one.
    """

    tare_kg: float | None = None
    tested: date | None = None
    swapped: bool = False

    @property
    def tells_tare(self) -> bool:
        """Whether the system file's empty weight no longer goes."""
        return self.swapped or self.tare_kg is not None


def stamps_of(log: Iterable[Event]) -> dict[str, Stamps]:
    """What the facts of a log tell, by cylinder; those that it tells nothing of are left out."""
    found: dict[str, Stamps] = {}
    for event in in_order(log):
        if event.planned:
            continue
        if isinstance(event, CylinderSwapped):
            found[event.cylinder] = Stamps(event.tare_kg, event.tested, swapped=True)
        elif isinstance(event, CylinderWeighed) and event.tare_kg is not None:
            before = found.get(event.cylinder, Stamps())
            found[event.cylinder] = replace(before, tare_kg=event.tare_kg)
    return found
