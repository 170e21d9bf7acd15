"""Gas that goes where no keg takes it: slowly, by the cylinder's readings, or in a rush."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import groupby, pairwise
from typing import Final, NamedTuple

from ullage.cellar.leak_verdict import fell_pa, outcome
from ullage.cellar.samples import Bucket
from ullage.plan.alarms_answer import Alarm, key_of
from ullage.plan.alarms_held import STRETCH, aligned
from ullage.plan.alarms_limits import (
    LIFTED_KG_H,
    OFF_ENDS,
    RUSH_HOURS,
    RUSH_KG_H,
    RUSH_SHARE_H,
)
from ullage.plan.alarms_scene import Leak, Scene, Sensed
from ullage.plan.answers import Caution
from ullage.plan.cautions import CO2_AIR
from ullage.plan.spoken import date_text, headed
from ullage.units import Kind, format_quantity

HOUR: Final = timedelta(hours=1)
LIQUID_GONE_PA: Final = 3.0e6
"""Below this gauge no liquid is left, however cold a home is: it boils at 30 bar at -5 degC
(CoolProp), and colder places hold no cylinder that serves."""
FIND: Final = (
    "Shut the cylinder's valve whenever nothing is being carbonated, and look for the leak: foam "
    "on every joint, then the halves of the gas side one after the other."
)
RUSH_DO: Final = (
    "Open doors and windows before you go near, and leave at once if you feel short of breath or "
    "dizzy. Then shut the cylinder's valve, and look for a hose that came off or a fitting that is "
    "open."
)
RUSH: Final = Caution(
    "danger",
    "CO2 displaces air and gathers low: never enter a closed cellar or small room in which a "
    "cylinder empties. If you feel unwell, get out and call for help.",
)


def vanishing(scene: Scene) -> Iterator[Alarm]:
    """Cylinders whose readings make a leak probable."""
    for one in scene.leaks:
        key = key_of("gas-vanishing", "cylinder", one.cylinder)
        yield Alarm(
            key,
            "gas-vanishing",
            "cylinder",
            one.cylinder,
            "warning",
            one.since,
            one.sentence,
            f"{FIND} {_ends(scene, one)}",
            CO2_AIR,
        )


def _ends(scene: Scene, leak: Leak) -> str:
    """What a test since then found, and what ends the alarm."""
    told = scene.log.cylinders.get(leak.cylinder)
    test = None if told is None else told.tested
    ends = "This ends with a weighing that finds no gas missing."
    if test is None or test.at < leak.since:
        return ends
    on = f"The test of {test.part}, {date_text(test.at.astimezone(), scene.at)},"
    found = outcome(test)
    if found == "gained":
        return f"{on} gained pressure, behind which any leak could hide: test again. {ends}"
    if found == "fell":
        fell = format_quantity(fell_pa(test), Kind.PRESSURE, scene.units)
        return f"{on} lost {fell}: it leaks there. {ends}"
    return f"{on} held: if anything still leaks, it is elsewhere. {ends}"


class Hour(NamedTuple):
    """The stretches of one hour: when it begins, the highest reading of its first and its last."""

    since: datetime
    first: float
    last: float


def of_sensor(scene: Scene, sensed: Sensed) -> Iterator[Alarm]:
    """What a cylinder's scale or gauge says: whether gas rushes out of it."""
    name = sensed.sensor.thing_name
    known = scene.status.cylinder(name)
    blended = known is not None and known.co2_share < 1.0
    since = rushing_since(sensed, scene.at, blended)
    if since is None:
        return
    hours = _hours(sensed.buckets, scene.at)
    lost = hours[-1].first - hours[-1].last if hours else 0.0
    kind = Kind.MASS if sensed.sensor.measures == "weight" else Kind.PRESSURE
    went, left = (format_quantity(each, kind, scene.units) for each in (lost, sensed.last.value))
    shows = "It weighs" if kind is Kind.MASS else "Its gauge shows"
    text = (
        f"{headed('cylinder', name)} has been losing gas for hours, {went} in the last full one: "
        f"no keg takes so much. {shows} {left} now."
    )
    key = key_of("gas-rushing", "cylinder", name)
    yield Alarm(key, "gas-rushing", "cylinder", name, "danger", since, text, RUSH_DO, RUSH)


def rushing_since(sensed: Sensed, at: datetime, is_blend: bool = False) -> datetime | None:
    """The first of the hours on end that took too much gas; `None` where there is no rush.

    `is_blend`: all of it is gas, so that its gauge tells of a rush at any pressure.
    """
    run: list[Hour] = []
    held: datetime | None = None
    for one in _hours(sensed.buckets, at):
        if held is not None and not _takes(one, sensed, OFF_ENDS, is_blend):
            held, run = None, []
        follows = not run or one.since - run[-1].since <= HOUR
        run = [*(run if follows else ()), one] if _takes(one, sensed, 1.0, is_blend) else []
        if held is None and len(run) >= RUSH_HOURS:
            held = run[0].since
    return held


def _takes(hour: Hour, sensed: Sensed, share: float, is_blend: bool) -> bool:
    """Whether an hour took more gas than kegs do, or than a share of that."""
    lost = hour.first - hour.last
    if sensed.sensor.measures == "weight":
        return share * RUSH_KG_H < lost < LIFTED_KG_H
    gas_alone = is_blend or hour.first < LIQUID_GONE_PA
    return gas_alone and lost > share * RUSH_SHARE_H * hour.first


def _hours(buckets: Sequence[Bucket], at: datetime) -> list[Hour]:
    """The whole hours in which there were several readings, by those in the middle of a stretch.

    An hour ends with the first stretch of the next one, so that nothing is lost in between.
    """
    whole = [one for one in buckets if one.since + STRETCH <= at]
    firsts = [next(some) for _, some in groupby(whole, key=lambda one: aligned(one.since, HOUR))]
    return [
        Hour(aligned(one.since, HOUR), _middle(one), _middle(other))
        for one, other in pairwise(firsts)
        if other.since - one.since <= HOUR + STRETCH
    ]


def _middle(one: Bucket) -> float:
    return 0.5 * (one.low + one.high)
