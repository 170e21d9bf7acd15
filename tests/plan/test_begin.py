"""From a system file to a log: once in full, and again only what is new."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.events_of_each_kind import AT
from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOn,
    KegAcquired,
    KegCleaned,
    KegSanitised,
    Poured,
    Purged,
    Tapped,
)
from ullage.cellar.replay import replay
from ullage.cellar.state import CellarState
from ullage.cellar.store import Store
from ullage.errors import EventError
from ullage.plan.begin import SYSTEM_DOCUMENT, begin, first_events
from ullage.plan.drinking import drinking
from ullage.system.demo import demo_system, demo_text
from ullage.system.file import parse_system

NEW_KEG = '\n[[keg]]\nname = "K4"\nkind = "ball-lock-5gal"\nplace = "garage"\n'


def test_every_part_of_the_file_is_told() -> None:
    events = first_events(demo_system(), AT)
    assert {event.at for event in events} == {AT}
    for kind, count in ((KegAcquired, 3), (Filled, 3), (GasOn, 3), (Tapped, 3)):
        assert sum(isinstance(event, kind) for event in events) == count


def test_what_the_log_has_is_left_as_it_is() -> None:
    log = first_events(demo_system(), AT)
    more = parse_system(demo_text() + NEW_KEG)
    again = first_events(more, AT + timedelta(days=9), log)
    assert [event.subject for event in again if isinstance(event, KegAcquired)] == ["K4"]
    assert {event.kind for event in again} == {
        "household_set", "place_set", "batch_described", "keg_acquired",
    }  # fmt: skip


def test_a_store_begins_with_the_events_and_the_text(tmp_path: Path) -> None:
    with Store.open(str(tmp_path / "log.db")) as store:
        done = begin(store, demo_system(), demo_text(), AT, AT)
        document = store.get_document(SYSTEM_DOCUMENT)
        assert store.count() == len(done.events)
        assert document is not None
        assert document.text == demo_text()


def test_a_beginning_in_the_future_writes_nothing(tmp_path: Path) -> None:
    with Store.open(str(tmp_path / "log.db")) as store:
        with pytest.raises(EventError, match="lies ahead"):
            begin(store, demo_system(), demo_text(), AT + timedelta(days=1), AT)
        assert (store.count(), store.documents()) == (0, ())


def test_an_empty_keg_still_to_buy_is_not_acquired_yet() -> None:
    wished = parse_system(f"{demo_text()}{NEW_KEG}to_buy = true\n")
    acquired = {one.keg for one in first_events(wished, AT) if isinstance(one, KegAcquired)}
    assert acquired == {"K1", "K2", "K3"}


def test_names_as_long_as_a_file_lets_them_be(tmp_path: Path) -> None:
    """A file's names have 80 letters at most, and the log must take each of them."""
    place, keg = "p" * 80, "k" * 80
    text = (
        f'name = "Long"\n[[place]]\nname = "{place}"\ntemperature = "3 degC"\n'
        f'[[keg]]\nname = "{keg}"\nkind = "ball-lock-5gal"\nplace = "{place}"\n'
    )
    with Store.open(str(tmp_path / "log.db")) as store:
        begin(store, parse_system(text), text, AT, AT)
        streams = {one.event.stream for one in store.read()}
    assert {f"place:{place}", f"keg:{keg}"} <= streams


EMPTY = """
name = "One tap, two empty kegs"
[[place]]
name = "fridge"
temperature = "38 degF"
[[keg]]
name = "K1"
kind = "ball-lock-5gal"
place = "fridge"
[[keg]]
name = "K2"
kind = "ball-lock-5gal"
place = "fridge"
[[tap]]
name = "front"
keg = "K1"
line = [{ length = "10 ft", bore = "3/16 in" }]
rise = "18 in"
"""


def begun(*more: Event) -> CellarState:
    return replay([*first_events(parse_system(EMPTY), AT), *more])


def later(hours: float) -> datetime:
    return AT + timedelta(hours=hours)


def filled(hours: float, keg: str = "K1") -> Filled:
    return Filled(at=later(hours), keg=keg, batch="Pale", volume_m3=0.0189, temperature_k=277.0)


def test_an_empty_keg_hangs_on_the_tap_that_the_file_says() -> None:
    assert begun().kegs["K1"].tap == "front"
    assert begun().kegs["K2"].tap is None


def test_its_first_filling_leaves_it_on_there() -> None:
    ready = (
        KegCleaned(at=later(1), keg="K1"),
        KegSanitised(at=later(2), keg="K1", pushed=True),
        Purged(at=later(3), keg="K1", gauge_pressure_pa=2e5, cycles=3),
        filled(4),
    )
    now = begun(*ready)
    assert now.kegs["K1"].tap == "front"
    # what is learnt of drinking says the same: a pint on each of ten days is the tap's
    log = [*first_events(parse_system(EMPTY), AT), *ready]
    log += [Poured(at=later(24 * n), keg="K1", volume_m3=473e-6) for n in range(1, 11)]
    rate = drinking(log, replay(log), later(241), parse_system(EMPTY)).taps["front"]
    assert rate is not None
    # analytic: 473 mL a day
    assert rate.drunk_m3_s.value * 86_400.0 == pytest.approx(473e-6, rel=0.3)


def test_one_that_held_beer_is_taken_off_for_its_next() -> None:
    again = (filled(1), KegCleaned(at=later(2), keg="K1"), filled(3))
    assert begun(*again).kegs["K1"].tap is None
    # and where another keg was put on that tap while it was empty, it is on none
    other = Tapped(at=later(1), keg="K2", tap="front")
    assert begun(other, filled(2)).kegs["K1"].tap is None


def test_a_tap_that_is_new_in_the_file_is_told_of_a_known_keg() -> None:
    log = first_events(parse_system(EMPTY), AT)
    more = EMPTY + EMPTY[EMPTY.index("[[tap]]") :].replace("front", "back").replace("K1", "K2")
    again = first_events(parse_system(more), later(24), log)
    told = [(one.keg, one.tap) for one in again if isinstance(one, Tapped)]
    assert told == [("K2", "back")]
