"""Pressure beyond what is set: too high, near a rating, or too low."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Final

from ullage.plan.alarms_answer import Alarm, AlarmKind, Level, key_of
from ullage.plan.alarms_held import Limit, held_since
from ullage.plan.alarms_limits import (
    OFF_ENDS,
    RATING_ENDS,
    READ_COUNTS,
    SET_SETTLES,
)
from ullage.plan.alarms_log import KegLog
from ullage.plan.alarms_scene import Scene, Sensed
from ullage.plan.answers import Caution
from ullage.plan.cautions import CO2_AIR, PRESSURE
from ullage.plan.spoken import gauge_counted, headed, part
from ullage.plan.status_answer import KegStatus
from ullage.plan.status_limits import NEAR_RATING, unopened
from ullage.plan.sugar_left import sugar_gauge, valve_at
from ullage.units import Kind, format_quantity

AT_ONCE: Final = timedelta(0)
HIGH_DO: Final = (
    "Shut its gas and vent it slowly to {meant}, then watch the gauge. If it climbs with the "
    "gas shut, the beer is warmer than it was, still ferments or holds too much gas; if it climbs "
    "with the gas on, the regulator creeps: have it serviced or replaced."
)
DANGER_DO: Final = (
    "Vent it now, slowly, to {meant}, doors open and face away from the valve, and shut its gas. "
    "Find out what "
    "drives it before you set any pressure again: a regulator that creeps, a spunding valve that "
    "is clogged, warmth, yeast."
)
SUGAR_DO: Final = (
    "Shut its gas, put a spunding valve on it{at}, and keep it cold until that is on; vent it "
    "slowly, day by day, where there is none. Take the sugar back if it was written down wrong."
)
LOW_DO: Final = (
    "See whether {cylinder} is empty or shut, whether every shut-off up to the keg is open and "
    "its disconnect sits; then look for a leak."
)


def of_sensor(scene: Scene, sensed: Sensed) -> Iterator[Alarm]:
    """What a keg's pressure sensor says."""
    keg = scene.status.keg(sensed.sensor.thing_name)
    if keg is None:
        return
    since = {
        (one.kind, one.level): held
        for one in limits(scene, sensed)
        if (held := held_since(one, sensed.buckets, scene.at)) is not None
    }
    read = sensed.last.value
    danger, high = since.get(("pressure-high", "danger")), since.get(("pressure-high", "warning"))
    if danger is not None:
        yield _near_rating(scene, keg, min(danger, high or danger), read)
    elif high is not None:
        yield _off(scene, keg, "pressure-high", high, read)
    low = since.get(("pressure-low", "warning"))
    if low is not None:
        yield _off(scene, keg, "pressure-low", low, read)


def limits(scene: Scene, sensed: Sensed) -> tuple[Limit, ...]:
    """What a keg's pressure is held to: its rating, and what is set."""
    name = sensed.sensor.thing_name
    found = []
    if name in scene.ratings:
        rating = scene.ratings[name]
        near, ends = NEAR_RATING * rating, RATING_ENDS * rating
        found.append(Limit("pressure-high", "danger", True, near, ends, AT_ONCE))
    keg = scene.status.keg(name)
    wanted = None if keg is None else truly_wanted_pa(scene, keg)
    if wanted is None:
        return tuple(found)
    set_at = scene.log.kegs.get(name, KegLog()).set_at
    off, first = scene.limits.off_by(wanted), None if set_at is None else set_at + SET_SETTLES
    high = (wanted + off, wanted + OFF_ENDS * off)
    low = (wanted - off, wanted - OFF_ENDS * off)
    lasts = scene.limits.off_lasts
    found.append(Limit("pressure-high", "warning", True, *high, lasts, first))
    if keg is not None and keg.supply_gauge_pa is not None:
        found.append(Limit("pressure-low", "warning", False, *low, lasts, first))
    return tuple(found)


def truly_wanted_pa(scene: Scene, keg: KegStatus) -> float | None:
    """What a keg should stand at by a gauge of its own, Pa: its regulator's may read off."""
    shown = wanted_pa(scene, keg)
    if shown is None or keg.supply_gauge_pa is None:
        return shown
    return max(shown + scene.gauge_offset(keg.keg), 0.0)


def wanted_pa(scene: Scene, keg: KegStatus) -> float | None:
    """What its regulator's gauge should show, or its spunding valve be set to, Pa.

    As set, or lower where a planned step was missed.
    """
    set_pa = keg.supply_gauge_pa if keg.supply_gauge_pa is not None else keg.spunding_gauge_pa
    if set_pa is None:
        return None
    missed = (
        one.gauge_pressure_pa
        for one in scene.status.steps
        if one.missed and one.subject_kind == "keg" and one.keg == keg.keg
    )
    return min([set_pa, *(each for each in missed if each)])


def by_hand(scene: Scene, watched: frozenset[str]) -> Iterator[Alarm]:
    """What gauges that a person read say of kegs without a sensor, and replay of those near their
    rating. `watched`: kegs with a sensor that speaks."""
    for keg in scene.status.kegs:
        told = scene.log.kegs.get(keg.keg, KegLog())
        head, rating = keg.gauge_pressure_pa.value, scene.ratings.get(keg.keg)
        if keg.keg in watched:
            continue
        if rating is not None and head > NEAR_RATING * rating:
            yield _near_rating(scene, keg, told.set_at or scene.at, head, "by what is written")
        elif told.read is not None and scene.at - told.read.at <= READ_COUNTS:
            yield from _read(scene, keg, told.read.gauge_pa, told.read.at)


def by_sugar(scene: Scene) -> Iterator[Alarm]:
    """Sugar in kegs that would bring them near a rating: a danger once it ferments, else a warning
    while cold keeps it asleep."""
    for keg in scene.status.kegs:
        sugar, rating = keg.sugar, scene.ratings.get(keg.keg)
        if sugar is None or rating is None:
            continue
        gauge = sugar.gauge_pressure_pa
        if gauge is not None and gauge <= NEAR_RATING * rating:
            continue
        marked = format_quantity(rating, Kind.PRESSURE, scene.units)
        text = (
            f"{headed('keg', keg.keg)} holds sugar for {sugar.level_vol:.1f} volumes: fermented "
            f"out it stands at {sugar_gauge(sugar, scene.units)}; the lowest rating of "
            f"{part('keg', keg.keg)} and all that sees its gas is {marked}."
        )
        since = scene.log.kegs.get(keg.keg, KegLog()).sugar_at or keg.filled_at or scene.at
        level: Level = "danger" if keg.ferments else "warning"
        do = SUGAR_DO.format(at=valve_at(keg, scene.units))
        yield _alarm("pressure-high", keg.keg, since, level, (text, do), PRESSURE)


def _read(scene: Scene, keg: KegStatus, read_pa: float, at: datetime) -> Iterator[Alarm]:
    wanted = truly_wanted_pa(scene, keg)
    if wanted is None:
        return
    if read_pa > wanted + scene.limits.off_by(wanted):
        yield _off(scene, keg, "pressure-high", at, read_pa)
    elif keg.supply_gauge_pa is not None and read_pa < wanted - scene.limits.off_by(wanted):
        yield _off(scene, keg, "pressure-low", at, read_pa)


def _off(scene: Scene, keg: KegStatus, kind: AlarmKind, since: datetime, read: float) -> Alarm:
    shown = wanted_pa(scene, keg) or 0.0
    wanted = truly_wanted_pa(scene, keg) or 0.0
    stands, set_to, meant, by = (
        format_quantity(each, Kind.PRESSURE, scene.units)
        for each in (read, shown, wanted, abs(read - wanted))
    )
    word, do = ("above", HIGH_DO) if kind == "pressure-high" else ("below", LOW_DO)
    caution = PRESSURE if kind == "pressure-high" else CO2_AIR
    source = _meant_by(keg, shown)
    text = f"{headed('keg', keg.keg)} stands at {stands}, {by} {word} {source} ({set_to})."
    counted = gauge_counted(wanted - shown, scene.units, "The regulator's gauge")
    text = f"{text} {counted}" if counted else text
    do = do.format(meant=meant, cylinder=_cylinder(scene))
    return _alarm(kind, keg.keg, since, "warning", (text, do), caution)


def _cylinder(scene: Scene) -> str:
    """The cylinder, with what it holds by the log where there is only one."""
    if len(scene.status.cylinders) != 1:
        return "its cylinder"
    (one,) = scene.status.cylinders
    left = format_quantity(max(one.contents_kg.value, 0.0), Kind.MASS, scene.units)
    return f"{part('cylinder', one.cylinder)} (about {left} left by the log)"


def _meant_by(keg: KegStatus, wanted: float) -> str:
    if keg.supply_gauge_pa is None:
        return "its spunding valve"
    return "what is set" if wanted == keg.supply_gauge_pa else "what its plan wants by now"


def _near_rating(
    scene: Scene, keg: KegStatus, since: datetime, read: float, how: str = ""
) -> Alarm:
    stands, rating = (
        format_quantity(each, Kind.PRESSURE, scene.units) for each in (read, scene.ratings[keg.keg])
    )
    said = f" {how}" if how else ""
    text = (
        f"{headed('keg', keg.keg)} stands at {stands}{said}; the lowest rating of "
        f"{part('keg', keg.keg)} and all that sees its gas is {rating}."
        f"{unopened(keg, scene.units)}"
    )
    wanted = truly_wanted_pa(scene, keg)
    least = RATING_ENDS * scene.ratings[keg.keg]
    meant = format_quantity(
        least if wanted is None else min(wanted, least), Kind.PRESSURE, scene.units
    )
    do = DANGER_DO.format(meant=meant if wanted is not None else f"below {meant}")
    return _alarm("pressure-high", keg.keg, since, "danger", (text, do), PRESSURE)


def _alarm(
    kind: AlarmKind,
    keg: str,
    since: datetime,
    level: Level,
    said: tuple[str, str],
    caution: Caution,
) -> Alarm:
    key = key_of(kind, "keg", keg)
    return Alarm(key, kind, "keg", keg, level, since, *said, caution)
