"""What is nearly used up, beer and gas; and sensors that say nothing any more."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ullage.cellar.state import EMPTY_M3
from ullage.plan.alarms_answer import Alarm, key_of
from ullage.plan.alarms_limits import MORE_THAN_LOW
from ullage.plan.alarms_log import CylinderLog, KegLog
from ullage.plan.alarms_scene import Scene
from ullage.plan.cautions import CYLINDER
from ullage.plan.spoken import headed, part, since
from ullage.system import parts
from ullage.units import Kind, format_quantity

REFILL_DO: Final = "Have it filled (it takes about {room}) or exchanged, or weigh it to be sure."
DRY_DO: Final = (
    "Have it filled or exchanged, and write that down; till then no keg that hangs on it "
    "carbonates or pours as reckoned."
)
WEIGH_DO: Final = "Weigh it, and look for a leak: more went than anything here took."
BREW_DO: Final = "Think of the next batch, or have a full keg ready to take its place."
EMPTY_DO: Final = "Write it down as kicked, shut its gas, and clean it for the next."
SILENT_DO: Final = (
    "Look at its battery, its network and its topic. Until it speaks again, nothing is watched by "
    "it: read by hand what it was there for."
)


def gas_low(scene: Scene) -> Iterator[Alarm]:
    """Cylinders that are nearly empty."""
    for one in scene.status.cylinders:
        told = scene.log.cylinders.get(one.cylinder, CylinderLog())
        share = one.contents_kg.value / one.rated_kg
        low = scene.limits.gas_share
        if not (share < low or (told.was_low and share < low + MORE_THAN_LOW)):
            continue
        if one.is_dry:
            said, do = f"is empty{since(one.known_at, scene.at)}: no keg gets gas from it", DRY_DO
        elif one.contents_kg.value < 0.0:
            said = "gave more than it held by what is written"
            do = WEIGH_DO
        else:
            left = format_quantity(one.contents_kg.value, Kind.MASS, scene.units)
            room_kg = max(one.rated_kg - one.contents_kg.value, 0.0)
            room = format_quantity(room_kg, Kind.MASS, scene.units)
            said = f"is nearly empty: about {left} of {one.what} left"
            do = REFILL_DO.format(room=room)
        yield Alarm(
            key_of("gas-low", "cylinder", one.cylinder),
            "gas-low",
            "cylinder",
            one.cylinder,
            "warning",
            told.full_at or one.known_at,
            f"{headed('cylinder', one.cylinder)} {said}.",
            do,
            CYLINDER,
        )


def beer_low(scene: Scene) -> Iterator[Alarm]:
    """Kegs that are nearly empty."""
    for keg in scene.status.kegs:
        if keg.batch is None or keg.filled_at is None:
            continue
        told = scene.log.kegs.get(keg.keg, KegLog())
        left = keg.beer_left_m3.value
        share = left / parts.keg_kind(keg.keg_kind).usual_fill_m3
        low = scene.limits.beer_share
        if not (share < low or (told.was_low and share < low + MORE_THAN_LOW)):
            continue
        named = f"{headed('keg', keg.keg)} ({keg.batch})"
        amount = format_quantity(max(left, 0.0), Kind.VOLUME, scene.units)
        empty = left <= EMPTY_M3
        yield Alarm(
            key_of("beer-low", "keg", keg.keg),
            "beer-low",
            "keg",
            keg.keg,
            "note",
            told.full_at or keg.filled_at,
            f"{named} is empty." if empty else f"{named} is nearly empty: {amount} left.",
            EMPTY_DO if empty else BREW_DO,
        )


def silent(scene: Scene) -> Iterator[Alarm]:
    """Sensors that have said nothing for much longer than they usually do."""
    for one in scene.sensed:
        if not one.is_silent(scene.at):
            continue
        sensor, at = one.sensor, one.last.at.astimezone(scene.at.tzinfo)
        of = part(sensor.thing, sensor.thing_name)
        text = (
            f"{headed('sensor', sensor.name)} ({sensor.measures} of {of}) has said nothing since "
            f"{at.day} {at:%b %Y, %H:%M}."
        )
        yield Alarm(
            key_of("silent", "sensor", sensor.name),
            "silent",
            "sensor",
            sensor.name,
            "note",
            one.last.at,
            text,
            SILENT_DO,
        )
