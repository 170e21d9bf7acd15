"""What a leak test answers with."""

from __future__ import annotations

from dataclasses import dataclass

from ullage.plan.answers import Band, Caution


@dataclass(frozen=True, slots=True)
class LeakAnswer:
    """A leak by two readings. Bands here are of 90 %.

    `rate_kg_s`: CO2 lost at the pressure the test began with. `leaks`: whether what changed lies
    outside the error of the readings. `drop_pa`: the fall of pressure at the first temperature,
    `None` for weighings. `empty_in_s`: until `contents_kg` are gone at that rate;
    `None`: no leak seen, or contents not told.
    """

    leaks: bool
    rate_kg_s: Band
    lost_kg: Band
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
