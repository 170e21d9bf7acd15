"""One regulator, several kegs: the log may not have it at two pressures without a word."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.web.made_up import with_demo
from ullage.cellar.keg_events import GasOff, GasOn
from ullage.cellar.other_events import CylinderConnected, Undone
from ullage.cellar.standing import standing
from ullage.everyday_units import PSI
from ullage.plan.begin import described
from ullage.plan.one_regulator import at_odds, status_with_odds
from ullage.plan.status import status_of
from ullage.system.model import System
from ullage.web.book import Book


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """The demo: three kegs on one regulator, each at 11 psi by the log."""
    return with_demo(tmp_path)


def said(book: Book) -> tuple[str, ...]:
    present = book.present()
    return at_odds(present.system, present.status.kegs, "us")


def test_one_pressure_is_nothing_to_tell(book: Book) -> None:
    assert said(book) == ()


def test_two_pressures_on_one_regulator_are_told_with_both_kegs(book: Book) -> None:
    book.record(GasOn(at=book.clock(), keg="K2", gauge_pressure_pa=30 * PSI))
    (text,) = said(book)
    assert "11 psi" in text
    assert "keg K2 on 30 psi" in text


def test_a_keg_whose_gas_is_off_sees_nothing(book: Book) -> None:
    at = book.clock()
    book.record(GasOn(at=at, keg="K2", gauge_pressure_pa=30 * PSI))
    for keg in ("K1", "K3"):
        book.record(GasOff(at=at, keg=keg))
    assert said(book) == ()


def test_less_than_a_needle_tells_is_no_difference(book: Book) -> None:
    book.record(GasOn(at=book.clock(), keg="K2", gauge_pressure_pa=11.4 * PSI))
    assert said(book) == ()


def test_two_regulators_may_differ(book: Book) -> None:
    book.record(GasOn(at=book.clock(), keg="K2", gauge_pressure_pa=30 * PSI))
    present = book.present()
    second = present.system.regulators[0].model_copy(update={"name": "second"})
    kegs = tuple(
        keg.model_copy(update={"regulator": "second"}) if keg.name == "K2" else keg
        for keg in present.system.kegs
    )
    parted = present.system.model_copy(
        update={"regulators": (*present.system.regulators, second), "kegs": kegs}
    )
    assert at_odds(parted, present.status.kegs, "us") == ()


def test_the_regulator_is_at_what_was_said_last_not_at_what_its_last_keg_is_on(book: Book) -> None:
    """K3 comes after K2 in the file, yet of K2 the pressure was said last."""
    at = book.clock()
    book.record(GasOn(at=at, keg="K2", gauge_pressure_pa=30 * PSI))
    assert book.present().system.regulators[0].pressure == 30 * PSI
    (text,) = said(book)
    assert "plans take it to be at 30 psi, which was said last" in text
    assert "each keg is followed at what was written down for it" in text
    book.record(GasOn(at=at, keg="K1", gauge_pressure_pa=9 * PSI))
    assert book.present().system.regulators[0].pressure == 9 * PSI


def test_what_was_taken_back_was_never_said(book: Book) -> None:
    told = book.record(GasOn(at=book.clock(), keg="K2", gauge_pressure_pa=30 * PSI))
    book.record(Undone(at=book.clock(), event=told.events[0].id, of=told.events[0].stream))
    assert book.present().system.regulators[0].pressure == pytest.approx(11 * PSI)
    assert said(book) == ()


def test_a_keg_on_another_cylinder_hangs_on_another_regulator(book: Book) -> None:
    book.record(
        CylinderConnected(at=book.clock(), cylinder="second", size="5 lb"),
        GasOn(at=book.clock(), keg="K2", gauge_pressure_pa=30 * PSI, cylinder="second"),
    )
    present = book.present()
    assert said(book) == ()
    assert next(keg for keg in present.system.kegs if keg.name == "K2").regulator is None
    assert present.system.regulators[0].pressure == pytest.approx(11 * PSI)


def test_a_keg_that_left_the_gas_sets_nothing(book: Book) -> None:
    at = book.clock()
    book.record(GasOn(at=at, keg="K2", gauge_pressure_pa=30 * PSI))
    book.record(GasOff(at=at, keg="K2"))
    assert book.present().system.regulators[0].pressure == pytest.approx(11 * PSI)


def test_a_store_warns_in_its_status_as_the_pages_do(book: Book) -> None:
    book.record(GasOn(at=book.clock(), keg="K2", gauge_pressure_pa=30 * PSI))
    stands = standing(book.store, book.clock())
    answer = status_with_odds(
        status_of(stands), stands, book.store, lambda: described(book.store), "us"
    )
    assert answer.warnings == said(book)


def test_a_store_at_one_pressure_reads_no_file(book: Book) -> None:
    stands = standing(book.store, book.clock())
    answer = status_of(stands)

    def never() -> System:
        raise AssertionError("nothing asks for the system file")

    assert status_with_odds(answer, stands, book.store, never, "us") is answer
