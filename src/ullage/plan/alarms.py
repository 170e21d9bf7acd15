"""The alarms that hold in a scene, the most pressing first: a pure function, with nothing kept.

Each kind has a module of its own; what begins and ends it stands in `alarms_limits`. Whether
somebody is told again is another question: see `alarms_telling`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ullage.plan import alarms_gas, alarms_left, alarms_pressure, alarms_warmth
from ullage.plan.alarms_answer import Alarm, by_weight
from ullage.plan.alarms_held import Limit
from ullage.plan.alarms_scene import Scene, Sensed
from ullage.plan.spoken import date_text


def alarms(scene: Scene) -> tuple[Alarm, ...]:
    """Everything that is wrong at the scene's moment.

    Of several sensors of one thing the alarm that began first stands for all. Sugar is told where
    no pressure is a danger yet: a keg to be vented now is not told to be vented day by day.
    """
    found: dict[str, Alarm] = {}
    for one in _all(scene):
        known = found.get(one.key, one)
        found[one.key] = min(known, one, key=lambda each: (by_weight(each), each.since))
    for one in alarms_pressure.by_sugar(scene):
        if one.key not in found or found[one.key].level != "danger":
            found[one.key] = one
    return tuple(sorted(found.values(), key=by_weight))


def limits_of(scene: Scene, sensed: Sensed) -> tuple[Limit, ...]:
    """The limits that a sensor's samples are held to; none for those without."""
    thing, measures = sensed.sensor.thing, sensed.sensor.measures
    if measures == "temperature":
        return alarms_warmth.limits(scene, sensed)
    if (thing, measures) == ("keg", "pressure"):
        return alarms_pressure.limits(scene, sensed)
    return ()


def _all(scene: Scene) -> Iterator[Alarm]:
    watched: set[str] = set()
    for one in scene.sensed:
        for alarm in _of_sensor(scene, one):
            yield _as_of(alarm, scene, one)
        reads = (one.sensor.thing, one.sensor.measures) == ("keg", "pressure")
        if reads and not one.is_silent(scene.at):
            watched.add(one.sensor.thing_name)
    yield from alarms_pressure.by_hand(scene, frozenset(watched))
    yield from alarms_gas.vanishing(scene)
    yield from alarms_left.gas_low(scene)
    yield from alarms_left.beer_low(scene)
    yield from alarms_left.silent(scene)


def _of_sensor(scene: Scene, sensed: Sensed) -> Iterator[Alarm]:
    thing, measures = sensed.sensor.thing, sensed.sensor.measures
    if measures == "temperature":
        yield from alarms_warmth.of_sensor(scene, sensed)
    elif measures == "pressure" and thing == "keg":
        yield from alarms_pressure.of_sensor(scene, sensed)
    elif thing == "cylinder":
        yield from alarms_gas.of_sensor(scene, sensed)


def _as_of(alarm: Alarm, scene: Scene, sensed: Sensed) -> Alarm:
    """An alarm of a sensor that fell silent still holds, and says how old it is."""
    if not sensed.is_silent(scene.at):
        return alarm
    at = sensed.last.at.astimezone(scene.at.tzinfo)
    when = f"{date_text(at, scene.at)}, {at:%H:%M}"
    text = f"{alarm.text} That is of {when}: its sensor says nothing since."
    return replace(alarm, text=text)
