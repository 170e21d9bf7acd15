"""Cylinders whose readings make a leak probable, worked out once for each reading of them.

To tell gas that no beer took, the whole log must be replayed. That is done when a reading was
written down, or what came before it was changed, and kept beside the log until then; glasses that
are poured meanwhile change nothing of it, so whoever asks next is answered at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Final

from pydantic import AwareDatetime, TypeAdapter, ValidationError
from pydantic.dataclasses import dataclass

from ullage.cellar.events import Event, facts_until
from ullage.cellar.other_events import CylinderRead, CylinderWeighed
from ullage.cellar.readings_mark import readings_mark
from ullage.cellar.snapshots import Snapshot
from ullage.cellar.state import CellarState
from ullage.cellar.store import Store
from ullage.plan.alarms_limits import SURE, UNSURE
from ullage.plan.alarms_scene import Leak
from ullage.plan.keg_now import present
from ullage.units import UnitSystem

if TYPE_CHECKING:
    from ullage.plan.unexplained import Unexplained

STREAM: Final = "alarms: leaks"
FORM: Final = "1"


@dataclass(frozen=True)
class Found:
    """A leak that held at a cylinder's newest reading, which tells of now up to `counts_until`."""

    cylinder: str
    since: AwareDatetime
    counts_until: AwareDatetime
    sentence: str


_FOUND: Final = TypeAdapter(tuple[Found, ...])
Log = Callable[[], Sequence[Event]]


def leaks(
    store: Store, log: Log, at: datetime, units: UnitSystem, sure: float = SURE
) -> tuple[Leak, ...]:
    """The cylinders that probably leak, so `sure` at least.

    `log`: the whole of it, asked for only where it is needed.

    Raises `StoreError`.
    """
    mark, stream, form = readings_mark(store), f"{STREAM}: {units}", f"{FORM} {sure:g}"
    kept = store.load_snapshot(stream, form)
    found = None if kept is None or kept.number != mark else _read(kept.body)
    if found is None:
        found = tuple(worked_out(log(), at, units, sure))
        body = _FOUND.dump_json(found).decode()
        store.offer_snapshots(Snapshot(stream, mark, form, body))
    return tuple(
        Leak(one.cylinder, one.since, one.sentence) for one in found if at <= one.counts_until
    )


def worked_out(
    log: Sequence[Event], at: datetime, units: UnitSystem, sure: float = SURE
) -> Iterator[Found]:
    """Go through the readings of every cylinder; replays the log."""
    facts = facts_until(log, at)
    cellar = present(log, at)
    for cylinder in sorted(cellar.cylinders):
        moments = [
            one.at
            for one in facts
            if isinstance(one, CylinderWeighed | CylinderRead) and one.cylinder == cylinder
        ]
        if moments:
            judged = _judged(facts, cellar, cylinder, moments, units)
            yield from _held(judged, cylinder, sure)


def _judged(
    facts: Sequence[Event],
    cellar: CellarState,
    cylinder: str,
    moments: Sequence[datetime],
    units: UnitSystem,
) -> Iterator[tuple[datetime, Unexplained | None]]:
    """What each reading did not find, by what was known then: the last reading first."""
    from ullage.plan.unexplained import unexplained  # noqa: PLC0415  (slow to load)

    for moment in reversed(moments):
        yield moment, unexplained(facts, cellar, cylinder, moment, units)


def _held(
    judged: Iterable[tuple[datetime, Unexplained | None]], cylinder: str, sure: float
) -> Iterator[Found]:
    """The leak that holds at the last of these readings, if one does.

    It began, as an alarm, at the reading that first made it sure, each judged by what was known
    then, and would have ended at one that made it unsure.
    """
    from ullage.plan.unexplained import LOOKED_BACK  # noqa: PLC0415  (slow to load)

    last: Unexplained | None = None
    since: datetime | None = None
    for moment, one in judged:
        last = last or one
        if one is None or one.probability < UNSURE:
            break
        if one.probability >= sure:
            since = moment
    if last is not None and since is not None:
        yield Found(cylinder, since, last.until + LOOKED_BACK, last.sentence)


def _read(body: str) -> tuple[Found, ...] | None:
    try:
        return _FOUND.validate_json(body)
    except ValidationError:
        return None
