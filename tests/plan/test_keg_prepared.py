"""How a keg was made ready since its last beer: what counts, and what undoes it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from ullage.cellar.events import Event
from ullage.cellar.keg_events import KegCleaned, KegSanitised, Kicked, Purged
from ullage.cellar.other_events import Undone
from ullage.plan.keg_prepared import NOT_PREPARED, Prepared, prepared

BEGIN = datetime(2026, 6, 1, 12, tzinfo=UTC)
LATE = BEGIN + timedelta(days=1)


def at(hours: float) -> datetime:
    return BEGIN + timedelta(hours=hours)


KICKED = Kicked(at=at(0), keg="K1")
CLEANED = KegCleaned(at=at(1), keg="K1", stripped=True)
SANITISED = KegSanitised(at=at(2), keg="K1", pushed=True)
PURGED = Purged(at=at(3), keg="K1", cycles=5, gauge_pressure_pa=2e5)


def test_all_that_was_done_since_the_kick_counts() -> None:
    log: list[Event] = [KICKED, CLEANED, SANITISED, PURGED]
    # analytic: each moment as it was written
    assert prepared(log, "K1", LATE) == Prepared(at(1), True, at(2), True, at(3))
    assert prepared(log, "K1", at(1.5)) == Prepared(at(1), True)
    assert prepared(log, "K2", LATE) == NOT_PREPARED


def test_what_was_before_the_last_beer_does_not() -> None:
    later = KICKED.model_copy(update={"at": at(5), "id": "0" * 32})
    assert prepared([CLEANED, SANITISED, later], "K1", LATE) == NOT_PREPARED


def test_what_comes_after_undoes_what_it_opens() -> None:
    again = KegCleaned(at=at(4), keg="K1")
    assert prepared([KICKED, CLEANED, SANITISED, PURGED, again], "K1", LATE) == Prepared(
        at(4), True
    )
    anew = KegSanitised(at=at(4), keg="K1")
    assert prepared([KICKED, PURGED, anew], "K1", LATE) == Prepared(sanitised_at=at(4))


def test_what_was_taken_back_or_only_planned_does_not_count() -> None:
    back = Undone(at=at(4), event=SANITISED.id, of=SANITISED.stream)
    planned = PURGED.model_copy(update={"planned": True})
    log: list[Event] = [KICKED, CLEANED, SANITISED, planned, back]
    assert prepared(log, "K1", LATE) == Prepared(at(1), True)
