"""The 80 % bands hold what truly happens eight times in ten.

Kegs of households whose constants are drawn by their spreads, with a seed of these tests' own. What
truly happens shares the program's physics (`tests.plan.true_kegs`) but neither its samples nor how
it makes a band of them: single kegs are replayed with their own constants, offsets put where they
are in the world, not to first order. So this proves that the spreads arrive in the answers whole
and once, and not that the spreads themselves are right, nor the physics. Who drinks when is counted
here by hand, glass by glass: there nothing is shared.

analytic: of 168 truths in an 80 % band 3.1 % is the standard deviation of the share that it holds;
72 to 88 % is where it must lie.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache

import numpy as np
import pytest

from tests.cellar.logs import FILL_M3, day, filled_log
from tests.plan.samples import FOOT, INCH, PSI, US_PINT, little_system
from tests.plan.true_kegs import FILL_SD_M3, Scene, Truth, scene, share, true
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOn, Poured, Tapped
from ullage.cellar.learnt import KeptConstant, constants_kept
from ullage.physics import beer as beer_physics
from ullage.physics import hydraulics
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.constants import (
    ALCOHOL_ON_VISCOSITY,
    BORE_TOLERANCE,
    EXTRACT_ON_VISCOSITY,
    FITTING_LOSS_SPREAD,
    GAUGE_READING,
    GRAVITY,
)
from ullage.plan.answers import Method, Schedule
from ullage.plan.followed import followed
from ullage.plan.keg_now import ways
from ullage.plan.look_ahead import kegs_ahead, look_ahead
from ullage.plan.planned import planned_events
from ullage.plan.pour import pour
from ullage.plan.status import status
from ullage.plan.tap_cases import tap_case
from ullage.plan.tap_flow import TapCase
from ullage.system.model import LinePiece

KEGS, HOUSEHOLDS = 12, 14
HELD = (0.72, 0.88)
TOLERANCE_VOL = 0.2
BEGUN = day(0.01)


def truths(keg: int) -> list[Truth]:
    """The households that have a keg."""
    return [true(1_000 * keg + one) for one in range(HOUSEHOLDS)]


def is_held(early: datetime | None, late: datetime | None, truly: datetime | None) -> bool:
    """Whether a moment lies in a band, of which an end that is `None` lies beyond all."""
    if truly is None:
        return late is None
    return early is not None and early <= truly and (late is None or truly <= late)


@pytest.mark.parametrize("days", [3.0, 7.0, 21.0])
def test_levels_on_gas(days: float) -> None:
    held = []
    for number in range(KEGS):
        told = scene(number)
        band = status(told.on_gas(told.fill_m3), day(days)).kegs[0].level_vol
        for truth in truths(number):
            log = told.on_gas(told.fill_m3 + truth.fill_off_m3)
            held.append(band.low <= truth.level(log, day(days)) <= band.high)
    assert HELD[0] <= share(held) <= HELD[1]


def test_ready_dates_of_a_keg_on_gas() -> None:
    held = []
    for number in range(KEGS):
        told = scene(number)
        found = look_ahead(told.on_gas(told.fill_m3), BEGUN).kegs[0].ready
        for truth in truths(number):
            log = told.on_gas(told.fill_m3 + truth.fill_off_m3)
            truly = truth.first(log, told.target_vol - TOLERANCE_VOL, BEGUN)
            held.append(is_held(found.early, found.late, truly))
    assert HELD[0] <= share(held) <= HELD[1]


@cache
def offered(number: int) -> dict[Method, Schedule]:
    """The ways of a keg that nothing was done to."""
    told = scene(number)
    answer = ways(told.log(told.fill_m3), "K1", BEGUN)
    return {one.method: one for one in answer.schedules}


def done(told: Scene, way: Schedule, truth: Truth) -> list[Event]:
    """What happened in a household that followed a way to the letter."""
    steps = planned_events(way, "K1", 32 * "0", "main")
    followed = [step.model_copy(update={"planned": False}) for step in steps]
    return [*told.log(told.fill_m3 + truth.fill_off_m3), *followed]


@pytest.mark.parametrize("method", ["hold", "burst"])
def test_ready_dates_of_ways(method: Method) -> None:
    held = []
    for number in range(KEGS):
        told, way = scene(number), offered(number)[method]
        for truth in truths(number):
            log = done(told, way, truth)
            truly = truth.first(log, told.target_vol - TOLERANCE_VOL, BEGUN)
            last = max(event.at for event in log)
            if truly is not None and truly < last:
                truly = last  # it is ready when the burst is let off, if not later
            held.append(is_held(way.ready_early, way.ready_late, truly))
    assert HELD[0] <= share(held) <= HELD[1]


def test_ready_dates_of_a_way_asked_for_on_the_fifth_day() -> None:
    """How far a keg has come by then is not known either."""
    held = []
    for number in range(KEGS):
        told = scene(number)
        answer = ways(told.on_gas(told.fill_m3), "K1", day(5))
        way = next(one for one in answer.schedules if one.method == "hold")
        set_to = GasOn(
            at=day(5),
            keg="K1",
            gauge_pressure_pa=answer.gauge_pressure_pa.value,
            cylinder="main",
        )
        for truth in truths(number):
            log = [*told.on_gas(told.fill_m3 + truth.fill_off_m3), set_to]
            truly = truth.first(log, told.target_vol - TOLERANCE_VOL, day(5))
            held.append(is_held(way.ready_early, way.ready_late, truly))
    assert HELD[0] <= share(held) <= HELD[1]


KEPT = constants_kept(
    day(-1),
    (
        KeptConstant(constant="absorption", value=0.18, sd=0.008),
        KeptConstant(constant="beer factor", value=0.950, sd=0.004),
        KeptConstant(constant="gauge", about="main", value=2_000.0, sd=700.0),
        KeptConstant(constant="thermometer", about="fridge", value=-0.4, sd=0.1),
    ),
)
"""What a household learnt: far from the usual, and well known."""


def test_what_was_learnt_narrows_the_bands_and_they_hold_still() -> None:
    levels, dates = [], []
    for number in range(KEGS):
        told = scene(number)
        usual, log = told.on_gas(told.fill_m3), [KEPT, *told.on_gas(told.fill_m3)]
        band = status(log, day(7)).kegs[0].level_vol
        wide = status(usual, day(7)).kegs[0].level_vol
        # analytic: rate 16.7 % to 4.4 %, gauge and thermometer to a fifth; alcohol and extract stay
        assert band.high - band.low < 0.6 * (wide.high - wide.low)
        ready = look_ahead(log, BEGUN).kegs[0].ready
        for one in range(HOUSEHOLDS):
            truth = true(1_000 * number + one, KEPT)
            truly = told.on_gas(told.fill_m3 + truth.fill_off_m3)
            levels.append(band.low <= truth.level(truly, day(7)) <= band.high)
            moment = truth.first(truly, told.target_vol - TOLERANCE_VOL, BEGUN)
            dates.append(is_held(ready.early, ready.late, moment))
    assert HELD[0] <= share(levels) <= HELD[1]
    assert HELD[0] <= share(dates) <= HELD[1]


def glasses(random: np.random.Generator, a_day: float, days: float) -> list[tuple[float, float]]:
    """Glasses of small ones and pints at random times: day and m3."""
    times = np.sort(random.uniform(0.0, days, random.poisson(a_day * days)))
    return [(float(at), float(random.choice([0.3e-3, US_PINT]))) for at in times]


def test_kegs_are_kicked_within_the_band_as_often_as_it_says() -> None:
    held = []
    for seed in range(168):
        random = np.random.default_rng(50_000 + seed)
        drunk = glasses(random, float(random.uniform(0.5, 1.5)), 400.0)
        told = float(random.uniform(10.0, 20.0))
        left = FILL_M3 + FILL_SD_M3 * float(random.standard_normal())
        # independent: the day of the glass that the keg does not fill any more
        gone = next(
            at for n, (at, _) in enumerate(drunk) if sum(v for _, v in drunk[: n + 1]) > left
        )
        log: list[Event] = [
            *filled_log(start_vol=2.4),
            GasOn(at=day(0), keg="K1", gauge_pressure_pa=12 * PSI, cylinder="main"),
            Tapped(at=day(0), keg="K1", tap="left"),
        ]
        log += [
            Poured(at=day(at), keg="K1", volume_m3=volume) for at, volume in drunk if at <= told
        ]
        found = kegs_ahead(followed(log, day(told), timedelta(days=1), None))[0].kicked
        held.append(is_held(found.early, found.late, day(gone)))
    assert HELD[0] <= share(held) <= HELD[1]


def tap(random: np.random.Generator) -> TapCase:
    """A tap as it is told: pressure, line and beer of a usual kind."""
    line = LinePiece(
        length=float(random.uniform(4.0, 14.0)) * FOOT,
        bore=float(random.choice([3 / 16, 1 / 4])) * INCH,
    )
    system = little_system(
        cold=float(random.uniform(34.0, 46.0)),
        tap={"line": (line,), "rise": float(random.uniform(0.0, 24.0)) * INCH},
    )
    gauge = float(random.uniform(8.0, 16.0)) * PSI
    made_of = tap_case(system, system.taps[0], system.beers[0], gauge, ambient_pressure(0.0))
    return replace(made_of, carbonation_vol=2.4)


def true_pint(case: TapCase, random: np.random.Generator) -> float:
    """Seconds for a pint of a line whose bore, fittings, gauge and beer are truly otherwise."""

    def off() -> float:
        return float(random.standard_normal())

    bore = 1.0 + BORE_TOLERANCE.sd * off()
    path = [
        replace(piece, bore_m=bore * piece.bore_m) if i in case.line else piece
        for i, piece in enumerate(case.path)
    ]
    alcohol = ALCOHOL_ON_VISCOSITY.value + ALCOHOL_ON_VISCOSITY.sd * off()
    extract = EXTRACT_ON_VISCOSITY.value + EXTRACT_ON_VISCOSITY.sd * off()
    viscosity = [
        float(beer_physics.viscosity(case.beer, piece.temperature_k, alcohol, extract))
        for piece in path
    ]
    density = float(beer_physics.density(case.beer, path[0].temperature_k))
    fittings = max(1.0 + FITTING_LOSS_SPREAD.sd * off(), 0.2)
    driving = case.gauge_pa + GAUGE_READING.sd * off() + density * GRAVITY.value * case.level_m
    flow = hydraulics.flow_rate(driving, path, density, viscosity, fittings)
    return US_PINT / float(flow)


def test_pints_take_a_time_within_the_band_as_often_as_it_says() -> None:
    held = []
    for number in range(KEGS):
        random = np.random.default_rng(90_000 + number)
        case = tap(random)
        band = pour(case).pint_s
        held += [band.low <= true_pint(case, random) <= band.high for _ in range(HOUSEHOLDS)]
    assert HELD[0] <= share(held) <= HELD[1]
