"""What a leak test answers with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ullage.plan.answers import Band, Caution

Verdict = Literal["leak", "at least", "none seen", "void"]
"""What a test came to. "at least": all that was shut in had gone by the second reading, so the leak
may be any size above the one told. "void": there was more gas at the end than at the start."""


@dataclass(frozen=True, slots=True)
class LeakAnswer:
    """A leak by two readings. Bands here are of 90 %.

    `leaks`: whether what is missing lies outside the error of the readings.
    `rate_kg_s`: CO2 lost at the pressure the test began with; `None` where the verdict is "at
    least", which has `at_least_kg_s` (of a hundred such leaks 95 are larger), or "void", which has
    neither. `lost_kg`, or where void `gained_kg`, between the readings. `drop_pa`: the fall of
    pressure at the first temperature, `None` for weighings. `empty_in_s`: until `contents_kg` are
    gone at that rate; `None`: no rate, or contents not told.
    """

    verdict: Verdict
    leaks: bool
    rate_kg_s: Band | None
    at_least_kg_s: float | None
    lost_kg: Band | None
    gained_kg: Band | None
    empty_in_s: Band | None
    drop_pa: float | None
    remarks: tuple[str, ...]
    next_steps: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class Split:
    """Where to part what is under suspicion: `near` the cylinder, and `far` from it."""

    near: tuple[str, ...]
    far: tuple[str, ...]
    sentence: str
    then: tuple[str, ...]
    cautions: tuple[Caution, ...]
