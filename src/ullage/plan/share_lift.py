"""One keg carbonated at a high pressure while the others serve: acts, times, checked by replay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final

from ullage.cellar.course import HOUR_S
from ullage.cellar.draws import SAMPLES, draws
from ullage.errors import OutOfRange
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan import cautions
from ullage.plan.answers import Caution
from ullage.plan.cases import keg_case, residual_vol, wanted
from ullage.plan.on_gas import burst
from ullage.plan.schedule import Wanted, moment
from ullage.plan.share_answer import Lift, Way
from ullage.plan.share_cautions import LEGS, MANIFOLD
from ullage.plan.share_hung import Hung
from ullage.plan.share_lift_steps import steps
from ullage.plan.share_lifting import Lifting, followed, marks, seen, untouched
from ullage.plan.share_points import Point
from ullage.system.model import Regulator, System

MOST_LIFTS: Final = 3
SHUT_OFFS: Final = "a shut-off in each leg of the manifold"
A_SECOND: Final = "a second regulator, beside the first or behind it"


def lifts(
    system: System,
    points: Sequence[Point],
    rows: Sequence[Hung],
    keg: str | None,
    start: datetime,
) -> tuple[Lift, ...]:
    """How to carbonate each flat keg (or `keg`) that shares its regulator with beers that serve.

    `system`: with its kegs hung and set as shared out. The least that is to be bought first.
    """
    found: list[Lift] = []
    by_name = {one.keg: one for one in points}
    for row in rows:
        for name in row.kegs:
            others = [by_name[one] for one in row.kegs if one != name]
            if not _is_asked(system, by_name[name], others, keg):
                continue
            plan = _plan(system, by_name[name], row, rows, others, start)
            found += [] if plan is None else _ways(plan)
    return tuple(found[: 2 * MOST_LIFTS])


def _is_asked(system: System, point: Point, others: Sequence[Point], keg: str | None) -> bool:
    """Whether it is the keg that is meant; left open: a flat one beside some known to serve."""
    if keg is not None:
        return point.keg == keg
    serving = [one for one in others if system.keg(one.keg).carbonation is not None]
    return _is_flat(system, point) and any(not _is_flat(system, one) for one in serving)


def _is_flat(system: System, point: Point) -> bool:
    return _level(system, point) < point.target_vol - point.tolerance_vol


def _level(system: System, point: Point) -> float:
    """What it holds: as told, else what fermentation left in it."""
    told = system.keg(point.keg).carbonation
    if told is not None:
        return told
    return residual_vol(system.beer(point.beer), ambient_pressure(system.altitude))


def _plan(
    system: System,
    point: Point,
    row: Hung,
    rows: Sequence[Hung],
    others: Sequence[Point],
    start: datetime,
) -> Lifting | None:
    """How high and how long; `None` where a high pressure gains nothing or is not allowed."""
    keg, beer = system.keg(point.keg), system.beer(point.beer)
    free = next((one.regulator for one in rows if not one.kegs), None)
    try:
        case = keg_case(system, keg, beer, point.ambient_pa)
        asked = _rated(wanted(system, keg, beer, start), free)
        way = burst(case, asked, row.gauge_pa or 0.0, draws(SAMPLES, case.spread))
    except OutOfRange:
        return None
    if way is None or asked.means.ferments:
        return None
    high = way.phases[0]
    return Lifting(
        system=system,
        point=point,
        row=row,
        others=tuple(others),
        second=None if free is None else free.name,
        wanted=asked,
        high_pa=high.gauge_pa,
        high_s=high.seconds,
        ready_s=way.ready.value,
        levels_vol={point.keg: case.start_vol, **_levels(system, others)},
    )


def _levels(system: System, others: Sequence[Point]) -> dict[str, float]:
    """What the others hold: as told; one whose level nobody told counts as at its target."""
    return {
        one.keg: one.target_vol if (told := system.keg(one.keg).carbonation) is None else told
        for one in others
    }


def _rated(asked: Wanted, second: Regulator | None) -> Wanted:
    """The same, no higher than a second regulator stands, if there is one."""
    if second is None:
        return asked
    return replace(asked, highest_gauge_pa=min(asked.highest_gauge_pa, second.max_pressure))


def _ways(plan: Lifting) -> list[Lift]:
    """On a second regulator, and alone on the shared one.

    First what keeps the others, then what lets them go on pouring, then what needs nothing bought.
    """
    if not plan.others:
        return [_lift(plan, "alone")]
    both = [_lift(plan, "alone"), _lift(plan, "second regulator")]
    return sorted(both, key=lambda one: _worth(plan, one))


def _worth(plan: Lifting, lift: Lift) -> tuple[bool, bool, bool]:
    """The smaller the better."""
    bought = lift.way == "alone" if plan.second is not None else lift.way != "alone"
    return not lift.keeps, not all(one.pours for one in lift.seen), bought


def _lift(plan: Lifting, way: Way) -> Lift:
    track = followed(plan, way)
    own = [level for level, _ in track[plan.point.keg]]
    limit = plan.point.target_vol + plan.point.tolerance_vol
    left = untouched(plan)
    others = tuple(seen(plan, one, track[one.keg], left[one.keg]) for one in plan.others)
    return Lift(
        keg=plan.point.keg,
        beer=plan.point.beer,
        way=way,
        title=_title(plan, way),
        high_gauge_pressure_pa=plan.high_pa,
        high_s=plan.high_s,
        steps=steps(plan, way),
        ready_at=moment(plan.wanted, plan.ready_s),
        reached_vol=own[marks(plan).index(plan.end)],
        highest_vol=max(own),
        limit_vol=limit,
        seen=others,
        keeps=max(own) <= limit and all(one.keeps for one in others),
        needs=_needs(plan, way),
        cautions=_cautions(plan, way),
    )


def _needs(plan: Lifting, way: Way) -> tuple[str, ...]:
    if not plan.others:
        return ()
    if way == "alone":
        return (SHUT_OFFS,)
    return () if plan.second is not None else (A_SECOND,)


def _title(plan: Lifting, way: Way) -> str:
    hours = f"{plan.high_s / HOUR_S:g} h"
    if not plan.others:
        return f"Raise its own regulator for {hours}"
    if way == "alone":
        return f"Alone on the shared regulator for {hours}, the other legs shut"
    return f"On a second regulator for {hours}, the others left as they are"


def _cautions(plan: Lifting, way: Way) -> tuple[Caution, ...]:
    shared = (LEGS, MANIFOLD) if way == "alone" and plan.others else ()
    return (*shared, cautions.BURST, cautions.VENTING, cautions.CO2_AIR)
