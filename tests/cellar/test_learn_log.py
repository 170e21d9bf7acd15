"""A log read for what it teaches: what is linear, what is replayed, what is left out."""

from __future__ import annotations

import pytest

from tests.cellar.logs import COLD_K, PSI, SEA_LEVEL, day, filled_log, warm_log
from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    KegWeighed,
    Kicked,
    Measured,
    Poured,
    Primed,
    Tapped,
)
from ullage.cellar.learn_fills import Filling, assumed_of
from ullage.cellar.learn_gas import CylinderFill
from ullage.cellar.learn_log import Lessons, lessons
from ullage.cellar.learn_terms import Linear, constant
from ullage.cellar.other_events import (
    CylinderConnected,
    CylinderRead,
    CylinderSwapped,
    CylinderWeighed,
    LineReplaced,
)
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import Assumed
from ullage.system import parts

ON = GasOn(at=day(0.1), keg="K1", gauge_pressure_pa=12 * PSI, cylinder="main")
TARE_KG = parts.keg_kind("ball-lock-5gal").tare_kg


def read(*events: Event, days: float = 30.0, begun: list[Event] | None = None) -> Lessons:
    return lessons([*(begun or filled_log()), *events], day(days), SEA_LEVEL)


def measured(days: float, **what: float) -> Measured:
    return Measured(at=day(days), keg="K1", **what)


def test_a_settled_keg_tells_of_its_thermometer_alone() -> None:
    (term,) = read(measured(5.0, temperature_k=277.0)).terms
    assert isinstance(term, Linear)
    assert term.factors == ((constant("thermometer", "fridge"), 1.0),)
    assert term.base == pytest.approx(COLD_K, abs=1e-6)


def test_a_keg_that_chills_is_replayed_without_its_readings() -> None:
    (term,) = read(measured(0.3, temperature_k=285.0), begun=warm_log()).terms
    assert isinstance(term, Filling)
    assert constant("chilling", "fridge") in term.unknowns
    assert constant("chilling", "room") not in term.unknowns  # it stood there for half an hour
    assert not any(isinstance(one, Measured) for one in term.events)


def test_a_filling_shows_what_replay_has_at_each_reading() -> None:
    log = [*filled_log(), ON]
    (term,) = read(ON, measured(3.0, level_vol=1.5), measured(6.0, level_vol=1.9)).terms
    assert isinstance(term, Filling)
    values = {one: one.at(0.0) for one in term.unknowns}
    one = Assumed(ambient_pa=SEA_LEVEL)
    levels = [
        float(at_moment(replay(log, one), day(days), one).kegs["K1"].level_vol)
        for days in (3.0, 6.0)
    ]
    # the first reading, far off, moves nothing of what the second is held against
    assert term.predicted(values) == pytest.approx(levels, abs=1e-9)


def test_a_shaken_gauge_of_beer_that_holds_less_shows_the_same() -> None:
    # by hand: in balance the gauge shows the pressure, and the chart turns it into volumes of
    # ordinary beer, whatever this beer's own factor
    (term,) = read(ON, measured(60.0, level_vol=2.4), days=70.0).terms
    values = {one: one.at(0.0) for one in term.unknowns}
    less = values | {constant("beer factor"): 0.93}
    assert term.predicted(less)[0] == pytest.approx(term.predicted(values)[0], abs=0.01)


def test_a_head_at_its_regulator_tells_of_the_gauge_alone() -> None:
    (term,) = read(ON, measured(5.0, gauge_pressure_pa=13 * PSI)).terms
    assert isinstance(term, Linear)
    assert term.base == pytest.approx(12 * PSI)
    assert term.factors == ((constant("gauge", "main"), 1.0),)
    (shut,) = read(ON, GasOff(at=day(1), keg="K1"), measured(2.0, gauge_pressure_pa=8 * PSI)).terms
    assert isinstance(shut, Filling)


def test_beer_that_still_ferments_is_left_out() -> None:
    sugar = Primed(at=day(0.05), keg="K1", sugar="sucrose", sugar_kg=0.09)
    told = read(sugar, measured(1.0, level_vol=1.5))
    assert told.terms == ()
    assert "it fermented" in told.left_out[0]


def test_a_reading_of_an_empty_keg_is_left_out() -> None:
    log = filled_log()[:-1]
    told = read(measured(1.0, level_vol=1.5), begun=log)
    assert told.terms == ()
    assert "no beer" in told.left_out[0]


def test_weights_tell_the_tare_where_the_beer_is_known_otherwise() -> None:
    full = KegWeighed(at=day(0.2), keg="K1", gross_kg=24.0)
    half = KegWeighed(at=day(5), keg="K1", gross_kg=14.0)
    pours = [Poured(at=day(2 + 0.1 * i), keg="K1", volume_m3=0.0005) for i in range(20)]
    later = [Poured(at=day(6 + 0.1 * i), keg="K1", volume_m3=0.0005) for i in range(16)]
    kicked = Kicked(at=day(9), keg="K1")
    empty = KegWeighed(at=day(9.1), keg="K1", gross_kg=TARE_KG + 0.2)
    terms = read(full, *pours, half, *later, kicked, empty).terms
    assert all(isinstance(one, Linear) for one in terms)
    first, ending, last = (one for one in terms if isinstance(one, Linear))
    # by hand: 18.9 L of about 1.012 kg/L when full, 8 L to come before the kick, nothing after it
    assert first.base == pytest.approx(TARE_KG + 19.1, abs=0.1)
    assert ending.base == pytest.approx(TARE_KG + 8.1, abs=0.1)
    assert last.base == pytest.approx(TARE_KG)
    # by hand: 0.25 L filled; a tenth of 8 L; 0.1 L of dregs; each with 0.1 kg of the scale
    assert [one.reading.sd for one in (first, ending, last)] == pytest.approx(
        [0.272, 0.821, 0.142], abs=0.01
    )


def test_a_weight_far_above_what_can_be_changes_no_filling() -> None:
    pour = Poured(at=day(1), keg="K1", volume_m3=0.0005)
    wild = KegWeighed(at=day(2), keg="K1", gross_kg=34.0)
    half = KegWeighed(at=day(2), keg="K1", gross_kg=14.0)
    last = measured(4.0, level_vol=1.6)
    for weight, kept in ((wild, False), (half, True)):
        filling = next(
            one for one in read(ON, pour, weight, last).terms if isinstance(one, Filling)
        )
        assert any(isinstance(one, KegWeighed) for one in filling.events) is kept


def test_a_cylinder_is_counted_from_its_filling() -> None:
    weighed = [
        CylinderWeighed(at=day(days), cylinder="main", contents_kg=held)
        for days, held in ((3.0, 4.4), (20.0, 4.3))
    ]
    swapped = CylinderSwapped(at=day(25), cylinder="main", contents_kg=4.5)
    after = CylinderWeighed(at=day(28), cylinder="main", contents_kg=4.4)
    first, second = (
        one for one in read(ON, *weighed, swapped, after).terms if isinstance(one, CylinderFill)
    )
    assert (first.told_kg, second.told_kg) == (None, 4.5)
    assert len(first.readings) == 2
    assert len(second.readings) == 2  # the weighing at the exchange is one of them
    # by hand: what the keg drew is counted from the filling, not from the weighing before
    assert first.weighings[1].drawn_kg > first.weighings[0].drawn_kg > 0.01
    values = {one: one.at(0.0) for one in first.unknowns}
    values[constant("handling")], values[constant("leak", "main")] = 0.5, 1e-8
    last = first.weighings[1]
    seconds = (last.at - first.filled_at).total_seconds()
    # analytic: full, less one and a half times what was drawn, less the leak
    assert first.predicted(values)[1] == pytest.approx(
        first.rated_kg - 1.5 * last.drawn_kg - 1e-8 * seconds
    )


def test_a_gauge_tells_of_a_cylinder_once_its_liquid_is_gone() -> None:
    full = CylinderRead(at=day(3), cylinder="main", gauge_pressure_pa=5.6e6, temperature_k=293.15)
    low = CylinderRead(at=day(9), cylinder="main", gauge_pressure_pa=2.0e6, temperature_k=293.15)
    assert not any(isinstance(one, CylinderFill) for one in read(full).terms)
    (fill,) = (one for one in read(full, low).terms if isinstance(one, CylinderFill))
    assert [one.by_scale for one in fill.weighings] == [False]


def test_a_cylinder_of_an_unknown_size_teaches_nothing() -> None:
    odd = CylinderConnected(at=day(-1), cylinder="odd", size="77 lb")
    weighed = CylinderWeighed(at=day(3), cylinder="odd", contents_kg=4.0)
    assert read(odd, weighed).terms == ()


def test_pints_of_a_line_that_is_gone_are_forgotten() -> None:
    tapped = Tapped(at=day(2), keg="K1", tap="left")
    pints = [measured(3.0, pint_s=10.0), measured(5.0, pint_s=11.0)]
    anew = LineReplaced(at=day(4), tap="left")
    assert [one.pint_s for one in read(ON, tapped, *pints).pints] == [10.0, 11.0]
    assert [one.pint_s for one in read(ON, tapped, *pints, anew).pints] == [11.0]


def test_what_was_planned_or_comes_later_is_not_read() -> None:
    planned = measured(3.0, temperature_k=277.0).model_copy(update={"planned": True})
    later = measured(40.0, temperature_k=277.0)
    assert read(planned, later).terms == ()


def test_unknowns_become_what_replay_assumes() -> None:
    values = {constant("absorption"): 0.30, constant("gauge", "main"): 500.0}
    one = assumed_of(values, SEA_LEVEL)
    assert one.absorption == pytest.approx(2.0)
    assert one.own.gauge_pa == {"main": 500.0}
    assert assumed_of({}, SEA_LEVEL) == Assumed(ambient_pa=SEA_LEVEL)


def test_another_filling_begins_anew() -> None:
    again = Filled(
        at=day(12), keg="K1", batch="pale", volume_m3=0.018, temperature_k=COLD_K, start_vol=0.9
    )
    first, second = (
        one
        for one in read(
            ON, measured(3.0, level_vol=1.5), again, measured(20.0, level_vol=1.0)
        ).terms
        if isinstance(one, Filling)
    )
    assert first.start != second.start
    assert second.events[0] == again
