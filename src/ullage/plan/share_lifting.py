"""One keg lifted to a high pressure beside others that serve: what it is, and its replay."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar.course import HOUR_S
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOff, Purged, Vented
from ullage.everyday_units import PSI
from ullage.plan import clock
from ullage.plan.on_gas import purge
from ullage.plan.own import gauge_offset
from ullage.plan.schedule import Wanted
from ullage.plan.share_answer import Seen, Way
from ullage.plan.share_hung import Hung
from ullage.plan.share_points import Point
from ullage.plan.share_replay import Cellar, begun, gas_on, pours
from ullage.system.model import System

AFTER_S: Final = 6 * HOUR_S
"""Looked at so long after it came back."""
MARK_S: Final = 2 * HOUR_S
POUR_S: Final = 6 * HOUR_S
POURS_PA: Final = 2.0 * PSI
"""With less on it a keg hardly pours; common practice, no source."""
LEVEL_CLOSE: Final = 1e-3
"""Volumes that nobody could tell apart."""


@dataclass(frozen=True, slots=True)
class Lifting:
    """One keg to lift: the system with it on the regulator that serves it, how high, how long."""

    system: System
    point: Point
    row: Hung
    others: tuple[Point, ...]
    second: str | None
    wanted: Wanted
    high_pa: float
    high_s: float
    ready_s: float
    levels_vol: Mapping[str, float]

    @property
    def start(self) -> datetime:
        """When it begins."""
        return self.wanted.start

    @property
    def end(self) -> datetime:
        """When it comes back."""
        return clock.after(self.wanted.start, self.high_s)

    @property
    def serving_pa(self) -> float:
        """The pressure that all serve at, Pa gauge."""
        return self.row.gauge_pa or 0.0


def marks(plan: Lifting) -> list[datetime]:
    """When the levels are looked at: every two hours, when it comes back, and after that."""
    count = int(plan.high_s / MARK_S)
    regular = {plan.start + timedelta(seconds=MARK_S * number) for number in range(1, count + 1)}
    return sorted({*regular, plan.end, plan.end + timedelta(seconds=AFTER_S)})


def followed(plan: Lifting, way: Way) -> dict[str, list[tuple[float, float]]]:
    """Levels (volumes) and head pressures (Pa gauge) of all kegs at the marks, by replay."""
    return _tracked(plan, [*_own(plan), *_others(plan, way)])


def untouched(plan: Lifting) -> dict[str, float]:
    """The most that each other keg would hold in that time if nothing were lifted."""
    if not plan.others:
        return {}
    track = _tracked(plan, list(_others(plan, "second regulator")))
    return {one.keg: max(level for level, _ in track[one.keg]) for one in plan.others}


def _tracked(plan: Lifting, events: Sequence[Event]) -> dict[str, list[tuple[float, float]]]:
    found: dict[str, list[tuple[float, float]]] = {name: [] for name in plan.levels_vol}
    for state in _begun(plan).at(marks(plan), events):
        for name, row in found.items():
            keg = state.kegs[name]
            none_pa = plan.point.ambient_pa + gauge_offset(plan.system, name)
            row.append((float(keg.level_vol), float(keg.head_pa()) - none_pa))
    return found


def _begun(plan: Lifting) -> Cellar:
    on = {one.keg: plan.serving_pa for one in plan.others}
    return begun(plan.system, on, plan.levels_vol, plan.start, warm=(plan.point.keg,))


def _own(plan: Lifting) -> Iterator[Event]:
    """What happens to the keg that is lifted."""
    name, start, end = plan.point.keg, plan.start, plan.end
    first = purge(plan.wanted)
    yield Purged(at=start, keg=name, cycles=first.cycles, gauge_pressure_pa=first.gauge_pressure_pa)
    yield gas_on(plan.system, name, plan.high_pa, start)
    yield GasOff(at=end, keg=name)
    yield Vented(at=end, keg=name)
    yield gas_on(plan.system, name, plan.serving_pa, end)


def _others(plan: Lifting, way: Way) -> Iterator[Event]:
    """What happens to the others: poured from; their gas off meanwhile where it is lifted alone."""
    for one in plan.others:
        yield from pours(plan.system, one.keg, plan.start, plan.high_s, POUR_S)
        if way == "alone":
            yield GasOff(at=plan.start, keg=one.keg)
            yield gas_on(plan.system, one.keg, plan.serving_pa, plan.end)


def seen(
    plan: Lifting, one: Point, row: Sequence[tuple[float, float]], untouched_vol: float
) -> Seen:
    """What another keg went through; it keeps where it comes to hold no more than it may, or than
    it would have held anyway."""
    before = plan.levels_vol[one.keg]
    levels = [level for level, _ in row]
    lowest = max(min(gauge for _, gauge in row), 0.0)
    limit = max(one.target_vol + one.tolerance_vol, untouched_vol, before)
    return Seen(
        keg=one.keg,
        beer=one.beer,
        before_vol=before,
        highest_vol=max(before, *levels),
        lowest_gauge_pressure_pa=lowest,
        after_vol=levels[-1],
        untouched_vol=untouched_vol,
        limit_vol=limit,
        keeps=max(levels) <= limit + LEVEL_CLOSE,
        pours=lowest >= POURS_PA,
        left_on_vol=_left_on(plan, one),
    )


def _left_on(plan: Lifting, one: Point) -> float:
    """What it would hold at the end, had its gas been left open to the high pressure."""
    cellar = begun(
        plan.system, {one.keg: plan.high_pa}, {one.keg: plan.levels_vol[one.keg]}, plan.start
    )
    drawn = pours(plan.system, one.keg, plan.start, plan.high_s, POUR_S)
    (state,) = cellar.at([plan.end], drawn)
    return float(state.kegs[one.keg].level_vol)
