"""A fridge, or a keg in it, that is warmer than it is kept, or about to freeze."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from ullage.plan.alarms_answer import Alarm, AlarmKind, SubjectOf, key_of
from ullage.plan.alarms_held import Limit, held_since
from ullage.plan.alarms_limits import (
    CHILLS,
    COOLS,
    FREEZING_K,
    OFF_ENDS,
    THAWED_K,
    WARM_LASTS,
)
from ullage.plan.alarms_log import KegLog, Kept
from ullage.plan.alarms_scene import Scene, Sensed
from ullage.plan.answers import Caution
from ullage.plan.spoken import headed
from ullage.units import Kind, format_quantity

WARM_DO: Final = (
    "See that it has power, that its door shuts, and that its fan and its thermostat's probe are "
    "where they belong; then keep it shut. If you set it warmer than {meant} yourself, write that "
    "down at the place."
)
WARM: Final = Caution(
    "warning",
    "Beer that warms up pushes harder: watch the gauges of its kegs. Unplug a fridge before you "
    "work on it, never drill where a refrigerant line may run, and leave refrigerant and mains to "
    "those licensed for it.",
)
COLD_DO: Final = (
    "Set the thermostat to {meant} again and see that its probe has not slipped. Let a keg that "
    "has ice in it thaw before you pour: ice blocks the dip tube, and what is drawn off it is "
    "stronger."
)
COLD: Final = Caution(
    "warning",
    "Never heat a keg to thaw it. Freezing beer swells and drives its gas out: read the gauge, and "
    "vent before you open anything.",
)


def of_sensor(scene: Scene, sensed: Sensed) -> Iterator[Alarm]:
    """What a thermometer of a place or of a keg says."""
    kept = kept_for(scene, sensed)
    for one in limits(scene, sensed):
        since = held_since(one, sensed.buckets, scene.at)
        if since is not None and kept is not None:
            yield _alarm(scene, sensed, one.kind, since, kept)


def limits(scene: Scene, sensed: Sensed) -> tuple[Limit, ...]:
    """What a temperature is held to; nothing where nobody said how warm it is kept."""
    kept = kept_for(scene, sensed)
    if kept is None:
        return ()
    first = _judged_from(scene, sensed, kept)
    off, lasts = scene.limits.warm_k, scene.limits.warm_lasts
    beyond, within = kept.kelvin + off, kept.kelvin + OFF_ENDS * off
    found = [Limit("warm", "warning", True, beyond, within, lasts, first)]
    if kept.kelvin > FREEZING_K:
        thawed = min(THAWED_K, kept.kelvin)
        found.append(
            Limit("freezing", "warning", False, FREEZING_K, thawed, WARM_LASTS, kept.since)
        )
    return tuple(found)


def kept_for(scene: Scene, sensed: Sensed) -> Kept | None:
    """How warm the thing of a sensor is kept; `None` where nobody said, or a keg holds no beer."""
    name = sensed.sensor.thing_name
    if sensed.sensor.thing == "place":
        return scene.kept(name)
    keg = scene.status.keg(name)
    if keg is None or keg.batch is None:
        return None
    return scene.kept(keg.place)


def _judged_from(scene: Scene, sensed: Sensed, kept: Kept) -> datetime | None:
    """From when warmth counts: a place has to cool after it is set, a keg to chill as well."""
    cooled = None if kept.since is None else kept.since + COOLS
    if sensed.sensor.thing == "place":
        return cooled
    settled = scene.log.kegs.get(sensed.sensor.thing_name, KegLog()).settled_at
    moments = [kept.since, settled]
    chilled = [one + CHILLS for one in moments if one is not None]
    return max(chilled, default=None)


def _alarm(scene: Scene, sensed: Sensed, kind: AlarmKind, since: datetime, kept: Kept) -> Alarm:
    name = sensed.sensor.thing_name
    subject: SubjectOf = "place" if sensed.sensor.thing == "place" else "keg"
    now, meant, freezing = (
        format_quantity(each, Kind.TEMPERATURE, scene.units)
        for each in (sensed.last.value, kept.kelvin, FREEZING_K)
    )
    if kind == "warm":
        text = f"{headed(subject, name)} is at {now}; it is kept at {meant}."
        said, caution = (text, WARM_DO.format(meant=meant)), WARM
    else:
        text = f"{headed(subject, name)} is at {now}; below {freezing} beer is about to freeze."
        said, caution = (text, COLD_DO.format(meant=meant)), COLD
    return Alarm(key_of(kind, subject, name), kind, subject, name, "warning", since, *said, caution)
