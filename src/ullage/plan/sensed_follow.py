"""Following a sensor through its samples to the facts they tell, from where that ended last time.

How far it went is noted with the samples, with what has to be remembered; the note is written after
the facts, so that whoever is stopped in between finds the same facts again and writes none twice.
A sensor that is given to another thing, or is let write only now, begins with what comes now: its
past was somebody else's to write down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache
from typing import Any, Final

from pydantic import TypeAdapter, ValidationError

from ullage.cellar import samples
from ullage.cellar.events import Event, in_order
from ullage.cellar.keg_events import KegAcquired
from ullage.cellar.moments import microseconds
from ullage.cellar.other_events import CylinderSwapped, PlaceSet
from ullage.cellar.recording import record
from ullage.cellar.samples import Sample, Series
from ullage.cellar.samples_marks import Mark, marks_of, remove_mark, set_mark
from ullage.errors import EventError
from ullage.plan.sensed_change import ChangeState, follow_change
from ullage.plan.sensed_facts import Found, Watched, fact_of, why_nothing
from ullage.plan.sensed_flow import FlowState, follow_flow
from ullage.plan.sensed_weight import Scale, WeightState, follow_weight
from ullage.system import parts
from ullage.system.sensor import Measures, Sensor

FACTS: Final = "facts"
"""The name of the note."""
PORTION: Final = 10_000
LEAST_NOISE_KG: Final = 0.002
OFF_SCALE_KG: Final = 0.5
"""So much lighter than the empty keg, and it is not the keg that stands there."""
MARGINS: Final[dict[Measures, float]] = {"temperature": 0.7, "pressure": 5_000.0}
"""The least change worth telling: K, Pa; common practice, no source."""
MARGIN_IN_NOISE: Final = 3.0

State = WeightState | ChangeState | FlowState
_STATES: Final[dict[Measures, type[State]]] = {
    "weight": WeightState,
    "temperature": ChangeState,
    "pressure": ChangeState,
    "flow": FlowState,
}


@dataclass(frozen=True, slots=True)
class Doubt:
    """A fact that a sensor told and the log would not take, and why."""

    source: str
    at: datetime
    why: str


@dataclass(frozen=True, slots=True)
class Followed:
    """The facts that were written, those that were not, and how many samples came too late."""

    facts: tuple[Event, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    late: int = 0

    def with_(self, other: Followed) -> Followed:
        """Both together."""
        late = self.late + other.late
        return Followed((*self.facts, *other.facts), (*self.doubts, *other.doubts), late)


@dataclass(frozen=True, slots=True)
class _Note:
    """How far a sensor was followed (µs since 1970), what it was of, and what is remembered."""

    at: int
    of: str
    state: State


def follow(watched: Watched, new: Sequence[Sample], now: datetime) -> Followed:
    """Follow a sensor through what came since last time, and write the facts that it tells.

    `new`: the samples that came now. Raises `StoreError`; the same may then be done again.
    """
    note = _begun(watched, new)
    if note is None:
        return Followed()
    done = Followed(late=sum(microseconds(one.at) <= note.at for one in new))
    while True:
        some = _portion(watched, note.at)
        state, found = _found(watched, note.state, some, now if len(some) < PORTION else None)
        done = done.with_(_written(watched, found, now))
        at = microseconds(some[-1].at) if some else note.at
        after = replace(note, at=at, state=state)
        if after != note:
            _write_down(watched, after)
        if len(some) < PORTION:
            return done
        note = after


def leave_out(watched: Watched, new: Sequence[Sample]) -> None:
    """Let facts begin after these samples, which somebody else's log tells of."""
    last = max((microseconds(one.at) for one in new), default=None)
    note = _note(watched)
    if last is not None and (note is None or note.at < last):
        _write_down(watched, _Note(last, watched.sensor.of, _fresh(watched)))


def _begun(watched: Watched, new: Sequence[Sample]) -> _Note | None:
    """Where to go on from; `None` where nothing is to be followed."""
    note = _note(watched)
    if not watched.sensor.writes:
        if note is not None:
            with watched.store.writing() as connection:
                remove_mark(connection, watched.store.cellar, series_of(watched.sensor), FACTS)
        return None
    if note is not None and note.of == watched.sensor.of:
        return note
    if not new:
        return None
    first = min(microseconds(one.at) for one in new)
    return _Note(first - 1, watched.sensor.of, _fresh(watched))


def _fresh(watched: Watched) -> State:
    """Nothing remembered yet; of a place, how warm it is by the log."""
    sensor = watched.sensor
    if sensor.measures == "temperature" and sensor.thing == "place":
        told = in_order(one.event for one in watched.store.read(sensor.of, planned=False))
        known = [one.temperature_k for one in told if isinstance(one, PlaceSet)]
        return ChangeState(known[-1] if known else None)
    return _STATES[sensor.measures]()


def series_of(sensor: Sensor) -> Series:
    """The series that a sensor's samples are kept in."""
    return Series(sensor.name, sensor.measures)


def _portion(watched: Watched, at: int) -> tuple[Sample, ...]:
    with watched.store.reading() as connection:
        return samples.after(
            connection, watched.store.cellar, series_of(watched.sensor), at, PORTION
        )


def _found(
    watched: Watched, state: State, some: Sequence[Sample], now: datetime | None
) -> tuple[State, Sequence[Found]]:
    """What samples tell, and what is remembered then. `now`: as late as it is after the last."""
    sensor = watched.sensor
    if isinstance(state, WeightState):
        return follow_weight(state, some, _scale(watched))
    if isinstance(state, ChangeState):
        margin = max(MARGINS[sensor.measures], MARGIN_IN_NOISE * sensor.noise_si)
        return follow_change(state, some, margin)
    last = some[-1].at if some else state.rose
    until = now or last
    return (state, ()) if until is None else follow_flow(state, some, until)


def _scale(watched: Watched) -> Scale:
    sensor = watched.sensor
    empty = _empty_keg(watched) if sensor.thing == "keg" else _empty_cylinder(watched)
    noise = max(sensor.noise_si, LEAST_NOISE_KG)
    return Scale(noise, empty - OFF_SCALE_KG, sensor.pours and sensor.thing == "keg")


def _empty_keg(watched: Watched) -> float:
    """What the keg that bears this name by the log weighs empty, kg; else that of the file."""
    name, kind = watched.sensor.thing_name, None
    told = watched.store.read(watched.sensor.of, kinds=("keg_acquired", "undone"), planned=False)
    for one in in_order(each.event for each in told):
        if isinstance(one, KegAcquired):
            kind = one.keg_kind
    return parts.keg_kind(kind or watched.system.keg(name).kind).tare_kg


def _empty_cylinder(watched: Watched) -> float:
    """What surely is no cylinder is lighter, kg: once it was swapped its tare is anybody's."""
    told = watched.store.read(
        watched.sensor.of, kinds=("cylinder_swapped", "undone"), planned=False
    )
    if any(isinstance(one, CylinderSwapped) for one in in_order(each.event for each in told)):
        return 0.0
    return watched.system.cylinder(watched.sensor.thing_name).tare or 0.0


def _written(watched: Watched, found: Sequence[Found], now: datetime) -> Followed:
    """Write what was found: all at once, or one by one where the log will not take them all."""
    facts: list[Event] = []
    doubts: list[Doubt] = []
    for one in found:
        fact = _fact(one, watched)
        (doubts if isinstance(fact, Doubt) else facts).append(fact)  # type: ignore[arg-type]
    try:
        done = list(record(watched.store, facts, now).events) if facts else []
    except EventError:
        done = []
        for fact in facts:
            try:
                done += record(watched.store, [fact], now).events
            except EventError as wrong:
                doubts.append(Doubt(watched.sensor.name, fact.at, str(wrong)))
    return Followed(tuple(done), tuple(doubts))


def _fact(found: Found, watched: Watched) -> Event | Doubt:
    sensor = watched.sensor
    try:
        fact = fact_of(found, watched)
    except ValidationError as wrong:
        first = wrong.errors(include_url=False)[0]
        return Doubt(sensor.name, found.at, f"{first['loc'][0]}: {first['msg']}")
    if fact is None:
        return Doubt(sensor.name, found.at, why_nothing(sensor))
    return fact


def _note(watched: Watched) -> _Note | None:
    with watched.store.reading() as connection:
        marks = marks_of(connection, watched.store.cellar, series_of(watched.sensor))
    if FACTS not in marks:
        return None
    mark = marks[FACTS]
    of, _, body = mark.body.partition("\n")
    try:
        return _Note(mark.at, of, _form(watched.sensor.measures).validate_json(body))
    except ValidationError:  # an older form: what it remembered is a rest or an hour at most
        return _Note(mark.at, of, _STATES[watched.sensor.measures]())


def _write_down(watched: Watched, note: _Note) -> None:
    body = _form(watched.sensor.measures).dump_json(note.state).decode()
    mark = Mark(FACTS, note.at, f"{note.of}\n{body}")
    with watched.store.writing() as connection:
        set_mark(connection, watched.store.cellar, series_of(watched.sensor), mark)


@cache
def _form(measures: Measures) -> TypeAdapter[Any]:
    return TypeAdapter(_STATES[measures])
