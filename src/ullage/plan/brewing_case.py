"""Brewing ahead in plain numbers: what there is, what is drunk, and what a schedule comes to.

Times are days from the midnight before now; amounts m³. Beers, fermenters, kegs and taps are told
by their place in the case's lists.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Final, NamedTuple

LEAST_FILL: Final = 0.25
"""What is left of a batch goes into a keg of its own if it fills so much of it; our choice."""
CLEANING_D: Final = 1.0
"""A day for cleaning, of a keg from its kick and of a fermenter from its packaging, before it is
filled again. Common practice, no source."""
WORK_D: Final = 10.0 / 24.0
"""Brewing and packaging are shown at ten in the morning; our choice."""
DRY_STEP_D: Final = 1e-3
"""Dryness is compared to this."""


class Stretch(NamedTuple):
    """A tap's drinking from `begin_d` to `end_d`, in m³ a day."""

    begin_d: float
    end_d: float
    m3_d: float


@dataclass(frozen=True, slots=True)
class TapDemand:
    """A tap, the beer it pours, and how much of it; the last stretch has no end."""

    name: str
    beer: int
    stretches: tuple[Stretch, ...]

    def gone(self, start_d: float, beer_m3: float) -> float:
        """When so much has been poured, from `start_d` on; infinite where it never is."""
        left = beer_m3
        for begin, end, rate in self.stretches:
            if end <= start_d:
                continue
            first = begin if begin > start_d else start_d
            if rate * (end - first) >= left and rate > 0.0:
                return first + left / rate
            left -= rate * (end - first) if rate else 0.0
        return math.inf


@dataclass(frozen=True, slots=True)
class BeerKind:
    """A beer: whole days in the fermenter, and days from packaging until it is carbonated."""

    name: str
    ferments_d: int
    carbonates_d: float


@dataclass(frozen=True, slots=True)
class FermenterCase:
    """A fermenter by the beer that a batch in it gives."""

    name: str
    volume_m3: float


@dataclass(frozen=True, slots=True)
class KegStock:
    """A keg now: what a filling gives, and what it holds. `beer` -1: empty, clean by `ready_d`.

    Else the beer is ready to be drunk by `ready_d`; `tap`: the one it is on, -1 none.
    """

    name: str
    fill_m3: float
    beer: int = -1
    beer_m3: float = 0.0
    ready_d: float = 0.0
    tap: int = -1


class Brew(NamedTuple):
    """A batch begun on a day. `volume_m3` 0: as much as the fermenter gives."""

    day: int
    fermenter: int
    beer: int
    volume_m3: float = 0.0


@dataclass(frozen=True, slots=True)
class BrewingCase:
    """All that a schedule is made from. `fixed`: brews that are begun or decided already.

    `slots`: the days on which one may brew, at most `most_a_day` batches each.
    """

    taps: tuple[TapDemand, ...]
    beers: tuple[BeerKind, ...]
    fermenters: tuple[FermenterCase, ...]
    kegs: tuple[KegStock, ...]
    slots: tuple[int, ...]
    horizon_d: float
    now_d: float = 0.0
    most_a_day: int = 1
    fixed: tuple[Brew, ...] = ()

    def lead_d(self, beer: int) -> float:
        """Days from a brew day until its beer can be drunk, if nothing has to wait."""
        kind = self.beers[beer]
        return kind.ferments_d + WORK_D + kind.carbonates_d


@dataclass(slots=True)
class Filling:
    """A keg with beer, from its filling to its kick, of which batch (its place; -1: was there).

    `tap` -1: not tapped within the horizon; `kicked_d`: infinite then, or where it outlasts it.
    """

    keg: int
    beer: int
    batch: int
    beer_m3: float
    filled_d: float
    ready_d: float
    tap: int = -1
    tapped_d: float = math.inf
    kicked_d: float = math.inf


@dataclass(slots=True)
class Batch:
    """A batch in its fermenter: done on a day, packaged on one (infinite: not yet)."""

    brew: Brew
    volume_m3: float
    done_d: int
    packaged_d: float = math.inf
    left_over_m3: float = 0.0


class Dry(NamedTuple):
    """A tap with nothing to pour, for a time within the horizon."""

    tap: int
    begin_d: float
    end_d: float


class Key(NamedTuple):
    """What a schedule is judged by, the first first: less is better."""

    dry_d: float
    brews: int
    waiting_d: float
    early_d: float


@dataclass(frozen=True, slots=True)
class Schedule:
    """Brews and what comes of them by the end of the horizon.

    `waiting_d`: days that beer waited, done in a fermenter or carbonated in a keg.
    """

    brews: tuple[Brew, ...]
    batches: tuple[Batch, ...]
    fillings: tuple[Filling, ...]
    dry: tuple[Dry, ...]
    waiting_d: float
    key: Key = field(default=Key(math.inf, 0, 0.0, 0.0))
