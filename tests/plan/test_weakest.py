"""The weakest part of a chain: told by its name, and counted alike by every page."""

from __future__ import annotations

import pytest

from tests.plan.samples import FOOT, INCH, PSI, START, little_system
from ullage.cellar.keg_events import GasOn, Purged, Vented
from ullage.plan.cases import lowest_rating
from ullage.plan.weakest import Weakest, weakest, weakest_behind
from ullage.plan.written_pressures import above_notes
from ullage.system.model import LinePiece, System


def gas_line(material: str) -> LinePiece:
    return LinePiece(length=4 * FOOT, bore=5 / 16 * INCH, material=material)


def barrier(**more: object) -> System:
    """A little system whose beer line is no weakness: barrier line, marked for 100 psi."""
    line = (LinePiece(length=5 * FOOT, bore=3 / 16 * INCH, material="barrier"),)
    return little_system(tap={"line": line}, **more)  # type: ignore[arg-type]


def told(found: Weakest) -> tuple[float, str]:
    return round(found.gauge_pa / PSI, 2), found.what


def test_the_weakest_part_is_told_by_its_name() -> None:
    # pin: vinyl in the catalogue is marked for 50 psi
    vinyl = little_system(tap={"line": (LinePiece(length=5 * FOOT, bore=3 / 16 * INCH),)})
    assert told(weakest(vinyl, vinyl.kegs[0])) == (50.0, "the beer line")
    weak = barrier(regulator={"max_pressure": 40 * PSI})
    assert told(weakest(weak, weak.kegs[0])) == (40.0, "the regulator")
    old = barrier(keg={"max_pressure": 30 * PSI})
    assert told(weakest(old, old.kegs[0])) == (30.0, "the keg")


def test_a_gas_line_that_is_told_counts() -> None:
    told_of = barrier(keg={"gas_line": gas_line("vinyl")}, regulator={"max_pressure": 60 * PSI})
    assert told(weakest(told_of, told_of.kegs[0])) == (50.0, "the gas line")
    trunk = barrier(regulator={"gas_line": gas_line("vinyl"), "max_pressure": 60 * PSI})
    assert told(weakest(trunk, trunk.kegs[0])) == (50.0, "the gas line")


def test_what_lies_behind_a_regulator_is_the_weakest_of_its_kegs() -> None:
    system = little_system()
    assert weakest_behind(system, system.kegs).gauge_pa == pytest.approx(
        min(lowest_rating(system, keg) for keg in system.kegs)
    )
    with pytest.raises(ValueError, match="empty"):
        weakest_behind(system, ())


def test_a_pressure_above_it_is_told_with_the_number_and_the_part() -> None:
    system = little_system(tap={"line": (LinePiece(length=5 * FOOT, bore=3 / 16 * INCH),)})
    name = system.kegs[0].name
    events = (
        GasOn(at=START, keg=name, gauge_pressure_pa=70 * PSI),
        GasOn(at=START, keg=name, gauge_pressure_pa=12 * PSI),
        Purged(at=START, keg=name, cycles=3, gauge_pressure_pa=55 * PSI, planned=True),
        GasOn(at=START, keg="another", gauge_pressure_pa=70 * PSI),
        Vented(at=START, keg=name),
    )
    assert above_notes(system, events, "us") == (
        "70 psi is too much: the lowest rating here is 50 psi: the beer line; turn it down and let "
        "the pressure off now.",
        "55 psi is too much: the lowest rating here is 50 psi: the beer line; plan less.",
    )
