"""From a system file to a log: once in full, and again only what is new."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from tests.events_of_each_kind import AT
from ullage.cellar.keg_events import Filled, GasOn, KegAcquired, Tapped
from ullage.cellar.store import Store
from ullage.errors import EventError
from ullage.plan.begin import SYSTEM_DOCUMENT, begin, first_events
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
