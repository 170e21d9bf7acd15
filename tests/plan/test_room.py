"""The air of a room and pressures against ratings, against estimates by hand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOn, Purged, Vented
from ullage.plan.room import CylinderInRoom, Safety, safety
from ullage.system.demo import demo_system
from ullage.system.model import Room, System

AT = datetime(2026, 6, 1, 12, tzinfo=UTC)
PSI = 6894.757293168361
DEMO = demo_system(AT.date())


def room_of(volume_m3: float, air_changes: float = 0.0, *, below: bool = False) -> System:
    room = Room.model_construct(
        name="cellar", volume=volume_m3, air_changes=air_changes, below_ground=below
    )
    return DEMO.model_copy(update={"room": room, "altitude": 0.0})


def cylinder(system: System) -> CylinderInRoom:
    (one,) = safety(system, [], AT).cylinders
    return one


def passed(one: CylinderInRoom) -> list[str]:
    return [limit.name for limit in one.limits if limit.passed]


def test_ten_pounds_in_thirty_cubic_metres() -> None:
    one = cylinder(room_of(30.0))
    # independent: 4.536 kg / 1.84 kg/m³ = 2.46 m³ in 30 m³: 8.2 %, and 0.04 % that was there
    assert one.full_fraction == pytest.approx(0.0825, abs=0.001)
    assert "NIOSH IDLH" in passed(one)
    # analytic: the 6.3 lb in it do 6.3/10 of that
    assert one.shut_fraction == pytest.approx(0.63 * 0.0822, rel=0.01)


def test_published_limits() -> None:
    limits = {one.name: one.fraction for one in cylinder(room_of(30.0)).limits}
    # published: OSHA, ACGIH, NIOSH
    assert limits["OSHA PEL"] == 5_000e-6
    assert limits["ACGIH STEL"] == 30_000e-6
    assert limits["NIOSH IDLH"] == 40_000e-6


def test_air_changes_help_a_slow_leak_and_hardly_a_burst() -> None:
    one = cylinder(room_of(30.0, 0.5))
    burst, _, day, week = one.emptyings
    # analytic: in an hour e^-0.5 of the first gas stays: mean (1 - e^-0.5)/0.5 = 0.787 of 8.2 %
    assert burst.fraction == pytest.approx(0.787 * 0.0822 + 4e-4, rel=0.01)
    # analytic: in a day it is steady: 8.2 % / (24 × 0.5) = 0.69 %
    assert day.fraction == pytest.approx(0.0822 / 12 + 4e-4, rel=0.02)
    assert week.fraction < 0.005
    assert burst.danger_s is not None
    # analytic: 3.96 % of 8.2 % in an hour, with some carried away: a little over 29 minutes
    assert 29 * 60 < burst.danger_s < 36 * 60
    assert day.danger_s is None


def test_a_shut_room_holds_all_of_a_leak() -> None:
    one = cylinder(room_of(30.0))
    fractions = [each.fraction for each in one.emptyings]
    assert fractions == pytest.approx([one.full_fraction] * 4)


def test_advice_follows_the_worst_case() -> None:
    assert "must" in safety(room_of(30.0), [], AT).advice[0]
    assert "well spent" in safety(room_of(70.0), [], AT).advice[0]
    assert "good practice" in safety(room_of(500.0), [], AT).advice[0]
    below = safety(room_of(500.0, below=True), [], AT)
    assert any("below ground" in line for line in below.advice)


def test_without_a_room_it_asks_for_one() -> None:
    answer = safety(DEMO.model_copy(update={"room": None}), [], AT)
    assert answer.cylinders == ()
    assert "[room]" in answer.advice[0]


def test_more_than_a_hundred_pounds_is_for_the_fire_code() -> None:
    ten = tuple(
        DEMO.cylinders[0].model_copy(update={"name": f"c{number}", "size": "20 lb"})
        for number in range(6)
    )
    # published: International Fire Code 2018, section 5307: above 100 lb
    assert safety(DEMO.model_copy(update={"cylinders": ten}), [], AT).code_applies
    assert not safety(DEMO.model_copy(update={"cylinders": ten[:5]}), [], AT).code_applies


def seen(answer: Safety) -> list[tuple[str, float, bool]]:
    return [(one.keg, round(one.gauge_pressure_pa / PSI, 3), one.above) for one in answer.pressures]


def test_every_set_and_planned_pressure_is_checked() -> None:
    soon = AT + timedelta(days=1)
    log: list[Event] = [
        GasOn(at=soon, keg="K1", gauge_pressure_pa=45 * PSI, planned=True),
        Purged(at=soon, keg="K2", cycles=3, gauge_pressure_pa=55 * PSI, planned=True),
        Vented(at=soon, keg="K2", planned=True),
        GasOn(at=AT, keg="K3", gauge_pressure_pa=99 * PSI),  # a fact is no plan
        GasOn(at=soon, keg="gone", gauge_pressure_pa=99 * PSI, planned=True),
    ]
    # the demo's regulator is set to 11 psi for three kegs; its vinyl lines are rated for 50 psi
    assert seen(safety(DEMO, log, AT)) == [
        ("K1", 11.0, False),
        ("K2", 11.0, False),
        ("K3", 11.0, False),
        ("K1", 45.0, False),
        ("K2", 55.0, True),
    ]
