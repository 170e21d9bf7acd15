"""The household's own limits: when its alarms begin, where that is not as usual.

Kept as a text beside the log (`DOCUMENT`), one JSON object with the changed limits by name, in SI:
`{"limits": {"warm": 4.5, "warm for": 7200.0}}`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import timedelta
from types import MappingProxyType
from typing import Final, Self

from pydantic import BaseModel, ConfigDict, FiniteFloat, model_validator

from ullage.cellar.store import Store
from ullage.errors import OutOfRange
from ullage.everyday_units import PSI
from ullage.plan.alarms_answer import LimitMeasure, LimitName, OwnLimit
from ullage.plan.alarms_limits import UNSURE, USUAL, Limits, warmth
from ullage.plan.kept_text import KeptText
from ullage.system.parts import unknown
from ullage.units import Kind, UnitSystem, format_quantity

DOCUMENT: Final = "alarm limits"
"""The name under which the store keeps them."""
SAME: Final = 1e-6
MINUTE, HOUR, DAY = 60.0, 3_600.0, 86_400.0
WARM_S, OFF_S = USUAL.warm_lasts.total_seconds(), USUAL.off_lasts.total_seconds()
_ALL: Final[tuple[tuple[LimitName, str, LimitMeasure, float, float, float], ...]] = (
    ("warm", "Too warm: above what is kept by", "warmth", USUAL.warm_k, 1.0, 10.0),
    (
        "warm for",
        "Too warm: for so long",
        "time",
        USUAL.warm_lasts.total_seconds(),
        10 * MINUTE,
        DAY,
    ),
    ("pressure", "Pressure: off what is set by", "pressure", USUAL.off_pa, 0.5 * PSI, 10.0 * PSI),
    (
        "pressure for",
        "Pressure: for so long",
        "time",
        USUAL.off_lasts.total_seconds(),
        10 * MINUTE,
        DAY,
    ),
    ("beer", "Keg nearly empty: less left than", "share", USUAL.beer_share, 0.02, 0.6),
    ("gas", "Cylinder nearly empty: less left than", "share", USUAL.gas_share, 0.02, 0.6),
    ("leak", "Gas vanishing: a leak so probable", "share", USUAL.sure, UNSURE + 0.05, 0.99),
)
_UNITS: Final[Mapping[LimitMeasure, str]] = MappingProxyType(
    {"warmth": "K", "time": "s", "pressure": "Pa", "share": "1"}
)
USUALS: Final[Mapping[LimitName, OwnLimit]] = MappingProxyType(
    {
        name: OwnLimit(name, title, measures, _UNITS[measures], usual, usual, least, most)
        for name, title, measures, usual, least, most in _ALL
    }
)
"""Every limit that may be changed, as is usual; its ends are our choice: beyond them an alarm rings
at nothing, or when it helps nobody."""


class KeptLimits(BaseModel):
    """The changed limits by name, each in K, s, Pa or a share."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    limits: dict[LimitName, FiniteFloat] = {}

    @model_validator(mode="after")
    def _within(self) -> Self:
        for name, value in self.limits.items():
            if not _fits(USUALS[name], value):
                raise ValueError(f"{name}: {value} is out of its range")
        return self


KEPT: Final = KeptText(DOCUMENT, KeptLimits(), "what is kept of alarm limits")


def _fits(limit: OwnLimit, value: float) -> bool:
    slack = 1e-6 * limit.most
    return limit.least - slack <= value <= limit.most + slack


def kept_of(store: Store) -> KeptLimits:
    """The changes that a store keeps. Raises `StoreError` where they cannot be read."""
    return KEPT.read(store)[0]


def limits_kept(store: Store) -> Limits:
    """The limits that a household's alarms go by. Raises `StoreError`."""
    return in_force(kept_of(store))


def in_force(kept: KeptLimits) -> Limits:
    """The usual limits with the household's in their place."""
    value = {one.name: one.value for one in own_limits(kept)}
    return Limits(
        warm_k=value["warm"],
        warm_lasts=timedelta(seconds=value["warm for"]),
        off_pa=value["pressure"],
        off_lasts=timedelta(seconds=value["pressure for"]),
        beer_share=value["beer"],
        gas_share=value["gas"],
        sure=value["leak"],
    )


def own_limits(kept: KeptLimits) -> tuple[OwnLimit, ...]:
    """Every limit that may be changed, with what the household has of its own."""
    return tuple(
        OwnLimit(
            one.name,
            one.title,
            one.measures,
            one.unit,
            kept.limits.get(one.name, one.usual),
            one.usual,
            one.least,
            one.most,
        )
        for one in USUALS.values()
    )


def limit_of(name: str) -> OwnLimit:
    """The limit of that name, as is usual. Raises `UnknownName`."""
    found = next((one for one in USUALS.values() if one.name == name), None)
    if found is None:
        raise unknown("limit of an alarm", name, list(USUALS))
    return found


def checked(limit: OwnLimit, value: float, units: UnitSystem) -> float:
    """A value for a limit, if it lies in its range. Raises `OutOfRange`."""
    if not _fits(limit, value):
        low, high = (said(limit, one, units) for one in (limit.least, limit.most))
        raise OutOfRange(
            f"{limit.name}: {said(limit, value, units)} is out of bounds: give {low} to {high} "
            f"(usual: {said(limit, limit.usual, units)})"
        )
    return value


def change(store: Store, wanted: Mapping[LimitName, float | None]) -> KeptLimits:
    """Keep some limits, each in its unit and within its range; `None`: back to the usual.

    One that is told as usual is not kept. Raises `StoreError`.
    """

    def changed(kept: KeptLimits) -> tuple[KeptLimits, KeptLimits]:
        told = {**kept.limits, **wanted}
        own = {
            name: round(value, 9)
            for name, value in told.items()
            if value is not None and not math.isclose(value, USUALS[name].usual, rel_tol=SAME)
        }
        after = KeptLimits(limits=own)
        return after, after

    return KEPT.change(store, changed)


def said(limit: OwnLimit, value: float, units: UnitSystem) -> str:
    """A value of a limit as a household reads it."""
    if limit.measures == "warmth":
        return warmth(value, units)
    if limit.measures == "time":
        return f"{value / MINUTE:.0f} min" if value < 2 * HOUR else f"{value / HOUR:.3g} h"
    if limit.measures == "pressure":
        return format_quantity(value, Kind.PRESSURE, units)
    return f"{value:.0%}"
