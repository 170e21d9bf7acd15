"""Readings of sensors taken in: kept as samples, and, where a sensor may, turned into facts.

Nothing happens in silence: what was refused comes back with its reason, and so does a fact that the
log would not take. Samples are kept first; the facts that they tell are written after (see
`sensed_follow`), and what has aged is thinned last.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from typing import Final, NamedTuple

from ullage.cellar import samples
from ullage.cellar.admit import CLOCK_SLACK
from ullage.cellar.samples import Kept, Sample, Series
from ullage.cellar.samples_thin import came_late, due, thin
from ullage.cellar.store import Store
from ullage.plan.begin import SOURCE, SYSTEM_DOCUMENT
from ullage.plan.sensed_facts import Watched
from ullage.plan.sensed_follow import Followed, follow, leave_out, series_of
from ullage.system.file import parse_system
from ullage.system.model import System
from ullage.system.parts import unknown
from ullage.system.sensor import Measures

NOTHING: Final = Followed()
CLASH: Final = "another value is kept for that moment already, and stands"
FIRST: Final = datetime(2000, 1, 1, tzinfo=UTC)
"""No reading is older."""


class Bounds(NamedTuple):
    """Between what a sensor can measure, in SI, and the same for people."""

    low: float
    high: float
    said: str


BOUNDS: Final[dict[Measures, Bounds]] = {
    "weight": Bounds(-50.0, 500.0, "-50 to 500 kg"),
    "temperature": Bounds(223.15, 373.15, "-50 to 100 degC"),
    "pressure": Bounds(-1.1e5, 3.0e7, "-1.1 to 300 bar"),
    "flow": Bounds(0.0, 1.0e5, "0 to 100,000 m3"),
}


@dataclass(frozen=True, slots=True)
class Reading:
    """One number of one sensor, in SI, at its moment; `place`: where it stood among others; `of`:
    what it was of, "" where that is as the system file has it."""

    source: str
    at: datetime
    value: float
    place: int = 0
    of: str = ""


@dataclass(frozen=True, slots=True)
class Refused:
    """What was not taken in, and why; `place` as it came."""

    source: str
    why: str
    place: int = 0


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What taking readings in came to: how many are new, how many were known, which were refused,
    and what following them did."""

    new: int = 0
    known: int = 0
    refused: tuple[Refused, ...] = ()
    followed: Followed = NOTHING

    def with_(self, other: TakenIn) -> TakenIn:
        """Both together."""
        return TakenIn(
            self.new + other.new,
            self.known + other.known,
            (*self.refused, *other.refused),
            self.followed.with_(other.followed),
        )


def system_of(store: Store) -> System | None:
    """The system of a store's file, read anew only when its text changes."""
    kept = store.get_document(SYSTEM_DOCUMENT)
    return _parsed(kept.text) if kept and kept.text else None


def sensors_of(store: Store) -> dict[str, Watched]:
    """The sensors of the household by name. Raises `SystemFileError`."""
    system = system_of(store)
    if system is None:
        return {}
    return {one.name: Watched(one, system, store) for one in system.sensors}


def no_sensor(name: str, known: Iterable[str]) -> str:
    """Say that no sensor bears a name, and what to do about it."""
    names = sorted(known)
    if not names:
        return "the system file has no sensors yet; describe them there as [[sensor]]"
    return str(unknown("sensor", name, names))


def take_in(
    store: Store, readings: Sequence[Reading], now: datetime, *, facts: bool = True
) -> TakenIn:
    """Take readings in. `now`: what counts as the future. `facts`: whether these may tell any.

    Raises `StoreError`: then nothing of it is sure, and the same may be taken in again.
    """
    sensors = sensors_of(store)
    good: list[Sample] = []
    refused: list[Refused] = []
    for one in readings:
        why = _why_not(one, sensors, now)
        if why:
            refused.append(Refused(one.source, why, one.place))
        else:
            sensor = sensors[one.source].sensor
            good.append(Sample(one.source, sensor.measures, one.of or sensor.of, one.at, one.value))
    kept = _kept(store, good)
    refused += _clashing(kept, readings)
    followed = Followed()
    for name, new in _by_source(kept.new).items():
        if facts:
            followed = followed.with_(follow(sensors[name], new, now))
        else:
            leave_out(sensors[name], new)
        thinned(store, series_of(sensors[name].sensor), now)
    return TakenIn(len(kept.new), kept.known, tuple(refused), followed)


def end_pours(store: Store, now: datetime) -> Followed:
    """Write down the pours that are over because nothing has flowed for a while."""
    done = Followed()
    for one in sensors_of(store).values():
        if one.sensor.measures == "flow" and one.sensor.writes:
            done = done.with_(follow(one, (), now))
    return done


def thinned(store: Store, series: Series, now: datetime) -> int:
    """Thin what has aged of a series and return how many samples went; as a rule none have."""
    with store.reading() as connection:
        if not due(connection, store.cellar, series, now):
            return 0
    with store.writing() as connection:
        return thin(connection, store.cellar, series, now)


def _kept(store: Store, good: Sequence[Sample]) -> Kept:
    if not good:
        return Kept()
    with store.writing() as connection:
        kept = samples.keep(connection, store.cellar, good)
        for new in _by_source(kept.new).values():
            first = min(new, key=lambda one: one.at)
            came_late(connection, store.cellar, Series(first.source, first.quantity), first.at)
    return kept


def _clashing(kept: Kept, readings: Sequence[Reading]) -> list[Refused]:
    if not kept.clashing:
        return []
    places = {(one.source, one.at, one.value): one.place for one in readings}
    return [
        Refused(one.source, CLASH, places[one.source, one.at, one.value]) for one in kept.clashing
    ]


def _by_source(new: Iterable[Sample]) -> dict[str, list[Sample]]:
    found: dict[str, list[Sample]] = {}
    for one in new:
        found.setdefault(one.source, []).append(one)
    return found


def _why_not(one: Reading, sensors: Mapping[str, Watched], now: datetime) -> str:
    """Why a reading is not taken in, "" where it is."""
    watched = sensors.get(one.source)
    if watched is None:
        return no_sensor(one.source, sensors)
    measures = watched.sensor.measures
    if one.at > now + CLOCK_SLACK:
        return f"{one.at.isoformat()} lies ahead: is the sensor's clock right?"
    if one.at < FIRST:
        return f"{one.at.isoformat()} is before the year 2000: is the sensor's clock right?"
    low, high, said = BOUNDS[measures]
    if not low <= one.value <= high:  # so is what is no number
        return (
            f"{one.value:g} {samples.UNITS[measures]} is no {measures} that is "
            f"measured here, {said}: are its unit, scale and offset right?"
        )
    return ""


@lru_cache(maxsize=4)
def _parsed(text: str) -> System:
    return parse_system(text, SOURCE)
