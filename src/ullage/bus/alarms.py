"""Alarms as messages: whether each holds, kept by the broker, and a notice now and then.

A state is published of every alarm that is watched for, on or off, so that one which ends is seen
to end. Where the only sensor that watches is silent it is `null`: not known is no good news. The
notices go to one topic as plain text, as seldom as `plan.alarms_telling` says, and are not kept.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from ullage.bus.topics import OFFLINE, ONLINE, Message, Speaking, slugs
from ullage.cellar import samples
from ullage.cellar.standing import standing
from ullage.cellar.store import Store
from ullage.draw.alarms_lines import notice
from ullage.plan.alarms_answer import TITLES, Alarm, AlarmKind, Standing, SubjectOf, key_of
from ullage.plan.alarms_heard import heard_of, tell
from ullage.plan.alarms_now import alarms_now
from ullage.plan.alarms_telling import standings
from ullage.plan.sensed import system_of
from ullage.plan.sensed_follow import series_of
from ullage.plan.spoken import headed
from ullage.plan.status import status_of
from ullage.plan.status_answer import StatusAnswer
from ullage.plan.status_limits import as_it_stands
from ullage.system.model import System

OF_KEG: Final[tuple[AlarmKind, ...]] = ("pressure-high", "pressure-low", "beer-low")
OF_CYLINDER: Final[tuple[AlarmKind, ...]] = ("gas-vanishing", "gas-low")
"""What is watched by what is written down, with a sensor or without."""


@dataclass(frozen=True, slots=True)
class Watch:
    """An alarm that is watched for, and the one that holds; `blind`: its sensor says nothing."""

    kind: AlarmKind
    subject_kind: SubjectOf
    subject: str
    holds: Standing | None = None
    blind: bool = False


@dataclass(frozen=True, slots=True)
class AlarmsSaid:
    """All that is watched for, and the alarms that hold, the most pressing first."""

    watches: tuple[Watch, ...] = ()
    alarms: tuple[Alarm, ...] = ()


def alarms_said(store: Store, now: datetime) -> AlarmsSaid:
    """What holds now, and what does not. Raises `UllageError`."""
    system, stands = system_of(store), standing(store, now)
    status = status_of(stands, describe=as_it_stands(store, stands, lambda: system))
    units = "us" if system is None else system.units
    alarms = alarms_now(store, system, now, units, status)
    held = {one.alarm.key: one for one in standings(alarms, heard_of(store), now)}
    silent = {one.subject for one in alarms if one.kind == "silent"} | set(_mute(store, system))
    watches = {
        key_of(one.kind, one.subject_kind, one.subject): one
        for one in _watches(status, system, silent)
    }
    for key, one in held.items():
        alarm = one.alarm
        watches[key] = Watch(alarm.kind, alarm.subject_kind, alarm.subject, one)
    return AlarmsSaid(tuple(watches.values()), alarms)


def alarm_messages(said: AlarmsSaid, speaking: Speaking) -> Iterator[Message]:
    """The state of each."""
    for watch, slug in _slugged(said):
        yield Message(_topic(watch, slug, speaking), _state(watch))


def alarm_discovery(said: AlarmsSaid, speaking: Speaking) -> Iterator[Message]:
    """How a hub shows each; none where discovery is switched off."""
    if speaking.discovery is None:
        return
    for watch, slug in _slugged(said):
        device = f"{speaking.prefix.replace('/', '_')}_{watch.subject_kind}_{slug}"
        own = f"{device}_{watch.kind.replace('-', '_')}"
        topic = _topic(watch, slug, speaking)
        config = {
            "name": TITLES[watch.kind],
            "unique_id": own,
            "state_topic": topic,
            "value_template": "{{ value_json.state }}",
            "payload_on": "on",
            "payload_off": "off",
            "json_attributes_topic": topic,
            "device_class": "problem",
            "availability_topic": speaking.available,
            "payload_available": ONLINE,
            "payload_not_available": OFFLINE,
            "device": {
                "identifiers": [device],
                "name": headed(watch.subject_kind, watch.subject),
            },
        }
        at = f"{speaking.discovery}/binary_sensor/{own}/config"
        yield Message(at, json.dumps(config, ensure_ascii=False))


def notices(store: Store, said: AlarmsSaid, speaking: Speaking, now: datetime) -> list[Message]:
    """The notices that are due, noted as given: whoever asks has to publish them."""
    due = tell(store, said.alarms, now)
    return [Message(f"{speaking.prefix}/notice", notice(one), kept=False) for one in due]


def _mute(store: Store, system: System | None) -> Iterator[str]:
    """Sensors that never spoke."""
    for one in () if system is None else system.sensors:
        with store.reading() as connection:
            if samples.latest(connection, store.cellar, series_of(one)) is None:
                yield one.name


def _watches(status: StatusAnswer, system: System | None, silent: set[str]) -> Iterator[Watch]:
    for keg in status.kegs:
        yield from (Watch(kind, "keg", keg.keg) for kind in OF_KEG)
    for cylinder in status.cylinders:
        yield from (Watch(kind, "cylinder", cylinder.cylinder) for kind in OF_CYLINDER)
    for one in () if system is None else system.sensors:
        blind = one.name in silent
        yield Watch("silent", "sensor", one.name)
        if one.thing == "cylinder" and one.measures in ("weight", "pressure"):
            yield Watch("gas-rushing", "cylinder", one.thing_name, blind=blind)
        elif one.measures == "temperature":
            subject: SubjectOf = "place" if one.thing == "place" else "keg"
            yield Watch("warm", subject, one.thing_name, blind=blind)
            yield Watch("freezing", subject, one.thing_name, blind=blind)


def _slugged(said: AlarmsSaid) -> Iterator[tuple[Watch, str]]:
    names: dict[str, list[str]] = {}
    for one in said.watches:
        names.setdefault(one.subject_kind, []).append(one.subject)
    safe = {kind: slugs(some) for kind, some in names.items()}
    for one in said.watches:
        yield one, safe[one.subject_kind][one.subject]


def _topic(watch: Watch, slug: str, speaking: Speaking) -> str:
    return speaking.state(f"alarm/{watch.kind}/{watch.subject_kind}", slug)


def _state(watch: Watch) -> str:
    said: dict[str, object] = {"state": None if watch.blind else "off"}
    if watch.holds is not None:
        alarm = watch.holds.alarm
        said = {
            "state": "on",
            "level": alarm.level,
            "since": alarm.since.astimezone().isoformat(timespec="seconds"),
            "text": alarm.text,
            "do": alarm.do,
            "caution": alarm.caution.text if alarm.caution else None,
            "seen": watch.holds.quiet,
        }
    return json.dumps(said, ensure_ascii=False)
