"""Discovery messages: a hub that reads them shows every keg and cylinder without being set up.

They follow the convention that many home-automation hubs read: at
`<first level>/sensor/<id>/config` stands, as JSON, what a number is called, its unit, and on which
topic and under which key it comes. A hub that does not read them ignores them.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from ullage.bus.states import States
from ullage.bus.topics import OFFLINE, ONLINE, Message, Speaking, slugs


@dataclass(frozen=True, slots=True)
class Shown:
    """A key of a state as a hub shows it: its name, its unit, and what sort of number it is."""

    key: str
    name: str
    unit: str | None = None
    sort: str | None = None


KEG: Final = (
    Shown("beer", "Beer"),
    Shown("beer_left_l", "Beer left", "L", "volume_storage"),
    Shown("carbonation_vol", "Carbonation", "vol"),
    Shown("wanted_gauge_pressure_kpa", "Pressure wanted", "kPa", "pressure"),
    Shown("temperature_c", "Temperature", "°C", "temperature"),
    Shown("next_task", "Next task"),
    Shown("next_task_due", "Next task due", sort="timestamp"),
)
CYLINDER: Final = (
    Shown("contents_kg", "Gas in it", "kg", "weight"),
    Shown("gas_days_left", "Gas left", "d", "duration"),
    Shown("next_task", "Next task"),
    Shown("next_task_due", "Next task due", sort="timestamp"),
)


def discovery_messages(found: States, speaking: Speaking) -> Iterator[Message]:
    """A message for each number of each thing; none where discovery is switched off."""
    yield from _of_kind("keg", found.kegs, KEG, speaking)
    yield from _of_kind("cylinder", found.cylinders, CYLINDER, speaking)


def _of_kind(
    kind: str, names: Iterable[str], shown: Iterable[Shown], speaking: Speaking
) -> Iterator[Message]:
    if speaking.discovery is None:
        return
    for name, slug in slugs(names).items():
        own = f"{speaking.prefix.replace('/', '_')}_{kind}_{slug}"
        for one in shown:
            config = {
                "name": one.name,
                "unique_id": f"{own}_{one.key}",
                "state_topic": speaking.state(kind, slug),
                "value_template": f"{{{{ value_json.{one.key} }}}}",
                "availability_topic": speaking.available,
                "payload_available": ONLINE,
                "payload_not_available": OFFLINE,
                "device": {"identifiers": [own], "name": _called(kind, name)},
            }
            if one.unit is not None:
                config |= {"unit_of_measurement": one.unit, "state_class": "measurement"}
            if one.sort is not None:
                config |= {"device_class": one.sort}
            topic = f"{speaking.discovery}/sensor/{own}_{one.key}/config"
            yield Message(topic, json.dumps(config, ensure_ascii=False))


def _called(kind: str, name: str) -> str:
    """What a thing is called: `Keg K1`, but no `Keg keg 1`."""
    return name if name.lower().startswith(kind) else f"{kind.capitalize()} {name}"
