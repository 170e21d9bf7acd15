"""The shape of the answer when brewing ahead. Times bear their offset; amounts in m³."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from ullage.plan.answers import Band, Caution
from ullage.plan.brewing_question import LeadTime
from ullage.units import UnitSystem

LEFT_OVER_M3: Final = 1e-3
"""A litre of a batch that no keg takes is worth a word; less stays behind unseen. Our choice."""
RowKind = Literal["fermenter", "keg", "tap"]
Doing = Literal["ferments", "waits", "carbonates", "ready", "pours", "dry"]


@dataclass(frozen=True, slots=True)
class KegFilled:
    """A keg that a batch is packaged into, ready to be poured at `ready_at`.

    `tap`: the one it goes on at `tapped_at`; `None` where no tap wants it yet. `kicked_at`: when
    the quick side of the drinking has emptied it; `None`: not within the time looked at.
    """

    keg: str
    volume_m3: float
    packaged_at: datetime
    ready_at: datetime
    tap: str | None
    tapped_at: datetime | None
    kicked_at: datetime | None


@dataclass(frozen=True, slots=True)
class BatchPlan:
    """A batch: brewed, done, packaged into its kegs (none within the time looked at).

    `begun`: it is in its fermenter already, or somebody planned it by hand. `left_over_m3` has no
    keg: bottle it, or brew less.
    """

    beer: str
    fermenter: str
    volume_m3: float
    brew_at: datetime
    done_at: datetime
    packaged_at: datetime | None
    kegs: tuple[KegFilled, ...]
    left_over_m3: float
    begun: bool


@dataclass(frozen=True, slots=True)
class DryTime:
    """A tap with nothing to pour, from `begins` to `ends`; `to_the_end` of what was looked at."""

    tap: str
    beer: str
    begins: datetime
    ends: datetime
    days: float
    to_the_end: bool


@dataclass(frozen=True, slots=True)
class TapAhead:
    """A tap, what it pours, how quickly it is drunk, and from what that was learnt.

    `counted_m3_s`: the rate that is counted on, on the quick side.
    """

    tap: str
    keg: str
    beer: str
    drunk_m3_s: Band
    counted_m3_s: float
    learnt: str


@dataclass(frozen=True, slots=True)
class UntoldTap:
    """A tap that nothing is planned for: how quickly its beer is drunk is not known.

    `lead_s`: from the beer's brew day until it can be poured.
    """

    tap: str
    keg: str
    beer: str
    lead_s: float


@dataclass(frozen=True, slots=True)
class Cure:
    """What would help against dry taps, and how many days of dryness it leaves in `looked_s`."""

    what: str
    dry_days: float
    looked_s: float


@dataclass(frozen=True, slots=True)
class Row:
    """A row of the picture: a fermenter, keg or tap by its name."""

    kind: RowKind
    name: str


@dataclass(frozen=True, slots=True)
class Bar:
    """What a fermenter, keg or tap does for a time. `planned`: it has not begun yet."""

    row_kind: RowKind
    row: str
    doing: Doing
    beer: str
    begins: datetime
    ends: datetime
    planned: bool


@dataclass(frozen=True, slots=True)
class GatheringAhead:
    """A party or season that lies ahead, or that is on."""

    about: str
    begins: datetime
    ends: datetime
    guests: int | None
    beer_m3: float | None
    factor: float | None


@dataclass(frozen=True, slots=True)
class BrewingAnswer:
    """When to brew what, and what comes of it, from `at` to `until`.

    `batches`: those in a fermenter now first, then by their brew day. `proven`: no other choice of
    brews is better; else it is what a search found. `dry_days` sums over all taps.
    `untold`: taps that are left out, since nobody knows how quickly they are drunk.
    """

    at: datetime
    until: datetime
    units: UnitSystem
    sureness: float
    batches: tuple[BatchPlan, ...]
    taps: tuple[TapAhead, ...]
    dry: tuple[DryTime, ...]
    dry_days: float
    cures: tuple[Cure, ...]
    leads: tuple[LeadTime, ...]
    gatherings: tuple[GatheringAhead, ...]
    rows: tuple[Row, ...]
    bars: tuple[Bar, ...]
    proven: bool
    remarks: tuple[str, ...]
    cautions: tuple[Caution, ...]
    untold: tuple[UntoldTap, ...] = ()

    @property
    def brews(self) -> tuple[BatchPlan, ...]:
        """The batches that are yet to be brewed by this plan."""
        return tuple(batch for batch in self.batches if not batch.begun)
