"""Systems with exactly one fault each: it is found, alone, with its gravity."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import pytest

from tests.plan.samples import INCH, POUND, PSI, START, US_GALLON, fahrenheit, little_system
from ullage.plan.answers import Finding
from ullage.plan.whole import whole_answer
from ullage.system.model import Beer, Keg, LinePiece, Room, System, Tap

OUT_OF_BOUNDS_OF_PHYSICS = "Beyond what can be computed"


def found(system: System) -> tuple[Finding, ...]:
    return whole_answer(system, start=START, now=START).findings


def test_a_system_without_a_fault_has_no_findings() -> None:
    assert found(little_system()) == ()


# the fault, its level, the part it is found at, and words of what is said
FAULTS: dict[str, tuple[dict[str, Any], str, str, str]] = {
    "the regulator stands too low": (
        {"regulator": {"pressure": 8 * PSI}}, "warning", 'keg "K1"', "drifts to 2.1",
    ),
    "the regulator is set above its own rating": (
        {"regulator": {"max_pressure": 11 * PSI}, "beer": {"volumes": 2.42}},
        "danger", 'regulator "reg"', "above its own rating",
    ),
    "the disconnect does not fit": (
        {"tap": {"disconnect": "coupler-d"}}, "warning", 'tap "left"', "does not fit keg",
    ),
    "the regulator does not fit the valve": (
        {"regulator": {"valve": "W21.8x1/14"}}, "warning", 'regulator "reg"', "does not fit the",
    ),
    "the cylinder is overfilled": (
        {"cylinder": {"contents": 11 * POUND}}, "danger", 'cylinder "gas"', "more than the 10 lb",
    ),
    "the cylinder's test is overdue": (
        {"cylinder": {"requalified": date(2015, 3, 1)}}, "warning", 'cylinder "gas"', "5 years",
    ),
    "the keg is brimful": (
        {"keg": {"volume": 5.05 * US_GALLON}}, "note", 'keg "K1"', "hardly any headspace",
    ),
    "the keg is kicked": (
        {"keg": {"volume": 0.0}}, "note", 'keg "K1"', "holds no Pale any more",
    ),
    "the keg has no gas": (
        {"keg": {"regulator": None}}, "warning", 'keg "K1"', "No gas",
    ),
    "the keg is weaker than the regulator": (
        {"keg": {"kind": "euro-20l"}, "tap": {}}, "note", 'keg "K1"', "can be turned up to 60 psi",
    ),
    "the place is so cold that beer freezes": (
        {"cold": 28.5, "regulator": {"pressure": None}}, "warning", 'keg "K1"', "begins to freeze",
    ),
    # By hand: 4.54 kg at 1.84 g/L are 2.46 m3 of 30: 8.2 %, and 0.04 % that the air holds already
    "the room is small": (
        {"room": Room(name="cellar", volume=30.0, air_changes=0.0)},
        "danger", 'room "cellar"', "8.3 % CO2",
    ),
    "the pressure wanted is above the line's rating": (
        {"cold": 70, "beer": {"volumes": 3.9}},
        "danger", 'keg "K1"', "more pressure here than the lowest rating",
    ),
    "fewer volumes are wanted than no pressure keeps": (
        {
            "cold": 34, "beer": {"volumes": 1.2}, "tap": {"rise": -18 * INCH},
        },
        "warning", 'keg "K1"', "even without gauge pressure",
    ),
    "the faucet is too high": (
        {"tap": {"rise": 9.5}}, "danger", 'tap "left"', OUT_OF_BOUNDS_OF_PHYSICS,
    ),
    "the volumes are beyond all pressures": (
        {
            "cold": 104, "beer": {"volumes": 5.9}, "regulator": {"pressure": None},
            "cylinder": {"contents": 5 * POUND},
        },
        "danger", 'keg "K1"', OUT_OF_BOUNDS_OF_PHYSICS,
    ),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_each_fault_is_found_alone(fault: str) -> None:
    changes, level, where, words = FAULTS[fault]
    findings = found(little_system(**changes))
    assert [(one.level, one.where) for one in findings] == [(level, where)]
    assert words in findings[0].what
    assert findings[0].what.endswith(".")
    assert findings[0].remedy.endswith(".")


def with_another(volumes: float) -> System:
    system = little_system(regulator={"pressure": None})
    beer = Beer(name="Stout", volumes=volumes)
    keg = Keg(name="K2", kind="ball-lock-5gal", place="fridge", regulator="reg", beer="Stout")
    line = (LinePiece(length=3.0, bore=3 / 16 * INCH),)
    tap = Tap(name="right", keg="K2", line=line, rise=18 * INCH)
    return system.model_copy(
        update={
            "beers": (*system.beers, beer),
            "kegs": (*system.kegs, keg),
            "taps": (*system.taps, tap),
        }
    )


def test_two_beers_that_want_different_pressures_cannot_share_a_regulator() -> None:
    apart = found(with_another(2.1))
    assert [(one.level, one.where) for one in apart] == [("warning", 'regulator "reg"')]
    assert "Stout the least, Pale the most" in apart[0].what
    assert found(with_another(2.48)) == ()


def test_a_beer_in_no_keg_is_a_note() -> None:
    system = little_system()
    more = system.model_copy(update={"beers": (*system.beers, Beer(name="Mild", volumes=1.8))})
    assert [(one.level, one.where) for one in found(more)] == [("note", 'beer "Mild"')]


def test_findings_stand_the_gravest_first() -> None:
    system = little_system(
        cylinder={"contents": 11 * POUND, "requalified": date(2015, 3, 1)},
        keg={"volume": 5.05 * US_GALLON},
        tap={"rise": 9.5, "disconnect": "coupler-d"},
        regulator={"pressure": 20 * PSI},
        room=Room(name="cellar", volume=30.0),
    )
    levels = [one.level for one in found(system)]
    order = {"danger": 0, "warning": 1, "note": 2}
    assert levels == sorted(levels, key=lambda level: order[level])
    assert set(levels) == set(order)
    assert len(levels) >= 6


def test_a_room_with_air_enough_is_no_finding() -> None:
    assert found(little_system(room=Room(name="barn", volume=5_000.0))) == ()


def test_a_cellar_below_ground_is_said() -> None:
    room = Room(name="cellar", volume=30.0, below_ground=True)
    assert "below ground" in found(little_system(room=room))[0].what


def test_a_place_too_warm_for_its_beer_does_not_hide_the_cylinder() -> None:
    hot = little_system(cold=fahrenheit_of(45.0), beer={"volumes": 6.0})
    answer = whole_answer(hot, start=START, now=datetime(2026, 6, 11, tzinfo=UTC))
    assert answer.carbonation == ()
    assert answer.pours == ()
    assert len(answer.gas) == 1
    assert any(OUT_OF_BOUNDS_OF_PHYSICS in one.what for one in answer.findings)


def fahrenheit_of(celsius: float) -> float:
    degrees = 1.8 * celsius + 32.0
    assert fahrenheit(degrees) == pytest.approx(celsius + 273.15)
    return degrees
