"""The bench of many people at once: who counts, when one stops, and that errors are counted."""

from __future__ import annotations

from pathlib import Path

import pytest
from benchmarks import people
from benchmarks.people import Crowd, Until, asked_by, crowd_asks, full_kegs
from benchmarks.served import fill, served


def test_one_stops_when_the_time_is_over_and_enough_was_asked() -> None:
    until = Until(soon=10.0, late=40.0, least=3)
    assert not until.is_over(9.9, 0)
    assert not until.is_over(11.0, 2)
    assert until.is_over(10.0, 3)
    assert until.is_over(40.0, 0)


def test_a_crowd_in_a_process_of_its_own_reads_and_writes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmarks.served.DAYS", 12)
    fill(tmp_path / "year.db")
    with served(tmp_path / "year.db") as address:
        kegs = full_kegs(address)
        assert kegs
        done = asked_by(Crowd(address, 4, 5.0, 0.05, 12, kegs))
    assert done.errors == ()
    assert len(done.seconds) >= 4 * 12
    assert done.written >= 1


def test_what_fails_is_counted() -> None:
    done = crowd_asks(Crowd("http://127.0.0.1:9", 2, 0.5, 0.05))
    assert done.errors
    assert len(done.errors) == len(done.seconds)
    assert all("ConnectionRefusedError" in one for one in done.errors)


def test_the_bar_is_the_one_that_is_told() -> None:
    """docs/club.md tells of fifty people."""
    assert (people.PEOPLE, people.BAR) == (50, 6.0)
