"""What was heard, taken in: a message that comes once more is known, whoever told its moment."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from ullage.bus.broker import Heard, address
from ullage.bus.inbox import Inbox
from ullage.cellar.store import Store
from ullage.errors import UllageError
from ullage.plan.begin import begin
from ullage.system.demo import demo_text
from ullage.system.file import parse_system

NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)
FILE = (
    demo_text(date(2026, 3, 1))
    + """
[[sensor]]
name = "plain"
of = "place:garage"
measures = "temperature"
unit = "degC"
topic = "cellar/plain"

[[sensor]]
name = "warm"
of = "place:garage"
measures = "temperature"
unit = "degC"
topic = "cellar/both"
value = "t"

[[sensor]]
name = "heavy"
of = "keg:K1"
measures = "weight"
unit = "kg"
topic = "cellar/both"
value = "w"
"""
)


@pytest.fixture
def inbox(tmp_path: Path) -> Iterator[Inbox]:
    with Store.open(str(tmp_path / "log.db")) as store:
        begin(store, parse_system(FILE), FILE, NOW - timedelta(days=1), NOW)
        yield Inbox(store, lambda line: None)


def heard(
    payload: bytes, mid: int = 1, *, again: bool = False, kept: bool = False, after_s: float = 0.0
) -> Heard:
    at = NOW - timedelta(hours=1) + timedelta(seconds=after_s)
    return Heard("cellar/plain", payload, 1, mid, 1, again, kept, at)


def test_one_that_comes_again_is_known(inbox: Inbox) -> None:
    inbox.take([heard(b"4.5")], NOW)
    inbox.take([heard(b"4.5", again=True, after_s=5.0)], NOW)
    assert (inbox.tally.new, inbox.tally.known) == (1, 1)


def test_the_same_value_said_anew_is_new(inbox: Inbox) -> None:
    inbox.take([heard(b"4.5", 1), heard(b"4.5", 2, after_s=5.0)], NOW)
    inbox.take([heard(b"4.5", 1, after_s=9.0)], NOW)  # its number is used anew, but not again
    assert (inbox.tally.new, inbox.tally.known) == (3, 0)


def test_one_that_may_have_come_but_did_not_is_kept(inbox: Inbox) -> None:
    inbox.take([heard(b"4.5", again=True)], NOW)
    assert inbox.tally.new == 1


def test_what_was_not_committed_is_not_remembered(
    inbox: Inbox, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object, **__: object) -> None:
        raise UllageError("the disk is full")

    with monkeypatch.context() as patch:
        patch.setattr("ullage.plan.sensed.take_in", fails)
        with pytest.raises(UllageError):
            inbox.take([heard(b"4.5")], NOW)
    inbox.take([heard(b"4.5", again=True)], NOW)
    assert inbox.tally.new == 1


def test_a_kept_one_without_its_moment_is_stale(inbox: Inbox) -> None:
    inbox.take([heard(b"4.5", kept=True)], NOW)
    assert (inbox.tally.new, inbox.tally.stale) == (0, 1)


def test_a_message_may_hold_several_numbers(inbox: Inbox) -> None:
    one = Heard("cellar/both", b'{"t": 4.5, "w": 21.0}', 1, 1, 1, False, False, NOW)
    inbox.take([one], NOW)
    assert inbox.tally.new == 2


def test_a_topic_that_nobody_speaks_on_is_left_alone(inbox: Inbox) -> None:
    inbox.take([Heard("else", b"4.5", 1, 1, 1, False, False, NOW)], NOW)
    assert (inbox.tally.new, inbox.tally.refused) == (0, 0)


@pytest.mark.parametrize(
    ("text", "tls", "found"),
    [
        ("broker", False, ("broker", 1883)),
        ("broker", True, ("broker", 8883)),
        ("10.0.0.7:1884", False, ("10.0.0.7", 1884)),
        ("[::1]:1884", True, ("::1", 1884)),
        ("[::1]", False, ("::1", 1883)),
    ],
)
def test_where_a_broker_is(text: str, tls: bool, found: tuple[str, int]) -> None:
    assert address(text, tls=tls) == found


@pytest.mark.parametrize("text", ["", ":1883", "a:b", "a:0", "a:65536", "mqtt://a", "a b", "::1"])
def test_what_is_no_broker_is_told(text: str) -> None:
    with pytest.raises(UllageError, match="is no broker; write its host"):
        address(text)
