"""What may be recorded: refused with a sentence, or taken with a warning."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.cellar.logs import FILL_M3, PSI, cellar_log, day, filled_log
from ullage.cellar.admit import admit
from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOn,
    KegAcquired,
    KegWeighed,
    Moved,
    Poured,
    Shaken,
    ToppedUp,
)
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    CylinderSwapped,
    CylinderWeighed,
    Undone,
)
from ullage.errors import EventError

NOW = day(10)
POUR = Poured(at=day(1), keg="K1", volume_m3=0.0005)

REFUSED: list[tuple[Event, str]] = [
    (Poured(at=day(11), keg="K1", volume_m3=0.0005), "lies ahead"),
    (Poured(at=day(9), keg="K1", volume_m3=0.0005, planned=True), "is past"),
    (Poured(at=day(1), keg="K2", volume_m3=0.0005), "no keg is called K2"),
    (Poured(at=day(-1), keg="K1", volume_m3=0.0005), "holds no beer"),
    (Poured(at=day(1), keg="K1", volume_m3=0.1), "more than keg K1 can ever hold"),
    (Shaken(at=day(-1), keg="K1", duration_s=60.0), "holds no beer"),
    (Moved(at=day(1), keg="K1", place="frige"), "did you mean fridge"),
    (KegAcquired(at=day(1), keg="K1", keg_kind="ball-lock-5gal", place="room"), "already"),
    (KegAcquired(at=day(1), keg="K2", keg_kind="ball-lock", place="room"), "ball-lock"),
    (Filled(at=day(1), keg="K1", batch="pale", volume_m3=0.03, temperature_k=280.0), "holds"),
    (KegWeighed(at=day(1), keg="K1", gross_kg=60.0), "cannot be keg K1"),
    (KegWeighed(at=day(1), keg="K1", gross_kg=1.0), "cannot be keg K1"),
    (CylinderWeighed(at=day(1), cylinder="main", contents_kg=9.0), "tare"),
    (CylinderSwapped(at=day(1), cylinder="spare"), "no cylinder is called spare"),
    (CylinderConnected(at=day(1), cylinder="b", size="11 lb"), "11 lb"),
    (BatchDescribed(at=day(1), batch="b", target_vol=2.4, og=1.01, fg=1.05), "changed places"),
    (GasOn(at=day(11), keg="K1", gauge_pressure_pa=9.9e5, planned=True), "rating"),
    (GasOn(at=day(1), keg="K1", gauge_pressure_pa=7e4, cylinder="spare"), "spare"),
    (Undone(at=day(2), event="0" * 32, of="keg:K1"), "no event"),
]


@pytest.mark.parametrize(("event", "words"), REFUSED, ids=lambda part: getattr(part, "kind", part))
def test_what_cannot_have_happened_is_refused(event: Event, words: str) -> None:
    with pytest.raises(EventError, match=words) as refusal:
        admit(event, filled_log(), NOW)
    assert "\n" not in str(refusal.value)


TAKEN: list[tuple[Event, str]] = [
    (Poured(at=day(1), keg="K1", volume_m3=0.0191), "more than thought"),
    (
        Filled(at=day(1), keg="K1", batch="pale", volume_m3=FILL_M3, temperature_k=280.0),
        "was thought to hold",
    ),
    (GasOn(at=day(1), keg="K1", gauge_pressure_pa=9.9e5), "above the rating"),
]


@pytest.mark.parametrize(("event", "words"), TAKEN, ids=lambda part: getattr(part, "kind", part))
def test_what_real_life_does_is_taken_with_a_warning(event: Event, words: str) -> None:
    assert any(words in warning for warning in admit(event, filled_log(), NOW))


def test_a_batch_not_described_is_an_ordinary_beer() -> None:
    fill = Filled(at=day(0), keg="K1", batch="mystery", volume_m3=FILL_M3, temperature_k=280.0)
    assert "not described" in admit(fill, cellar_log(), NOW)[0]


def test_an_ordinary_day_needs_no_word() -> None:
    for event in (
        POUR,
        GasOn(at=day(1), keg="K1", gauge_pressure_pa=12 * PSI),
        ToppedUp(at=day(1), keg="K1", gauge_pressure_pa=30 * PSI, cylinder="main"),
        GasOn(at=day(12), keg="K1", gauge_pressure_pa=12 * PSI, planned=True),
    ):
        assert admit(event, filled_log(), NOW) == ()


def test_an_event_written_late_is_judged_by_its_own_time() -> None:
    kicked_later = [*filled_log(), Moved(at=day(3), keg="K1", place="room")]
    assert admit(POUR, kicked_later, NOW) == ()


def test_an_event_is_taken_back_once() -> None:
    told: list[Event] = [*filled_log(), POUR]
    undo = Undone(at=day(2), event=POUR.id, of=POUR.stream)
    assert admit(undo, told, NOW) == ()
    with pytest.raises(EventError, match="already"):
        admit(Undone(at=day(3), event=POUR.id, of=POUR.stream), [*told, undo], NOW)


def test_a_clock_a_little_ahead_is_no_harm() -> None:
    soon = Poured(at=NOW + timedelta(minutes=3), keg="K1", volume_m3=0.0005)
    assert admit(soon, filled_log(), NOW) == ()
