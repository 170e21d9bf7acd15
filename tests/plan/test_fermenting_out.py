"""What a keg that ferments comes to, and what is advised of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.cellar.logs import PSI, day, filled_log, warm_log
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, GasOff, GasOn, Measured, Primed, SpundingSet
from ullage.cellar.other_events import PlaceSet
from ullage.cellar.state import Assumed
from ullage.draw.status_lines import status_lines
from ullage.plan.fermenting_out import ending
from ullage.plan.gas_ahead import gas_ahead
from ullage.plan.keg_now import present
from ullage.plan.look_ahead import look_ahead
from ullage.plan.status import Advice, status

TARGET, TOLERANCE = 2.4, 0.2  # of the log's batch


def spunding(valve_psi: float, gravity: float = 1.020) -> list[Event]:
    """A keg filled warm while it ferments, to 1.010, under a spunding valve from the start."""
    log = [one for one in warm_log() if one.at <= day(0.01)]
    filled = next(one for one in log if isinstance(one, Filled))
    fed = filled.model_copy(update={"gravity": gravity})
    valve = SpundingSet(at=day(0.02), keg="K1", gauge_pressure_pa=valve_psi * PSI)
    return [fed if one is filled else one for one in log] + [valve]


def advised(log: list[Event], days: float = 1.0) -> list[Advice]:
    return [one for one in status(log, day(days)).advice if one.need in ("valve", "connect")]


def test_a_keg_under_a_fitting_valve_is_left_alone_and_said_to_ferment() -> None:
    # common practice, from memory: 2.4 volumes at 68 °F want some 27 psi
    log = spunding(27)
    answer = status(log, day(1))
    keg = answer.kegs[0]
    assert keg.ferments
    assert keg.spunding_gauge_pa == pytest.approx(27 * PSI)
    assert keg.ending is not None
    assert keg.ending.level_vol == pytest.approx(TARGET, abs=0.1)
    assert keg.ending.valve_limits
    assert advised(log) == []
    said = " ".join(" ".join(status_lines(answer, "us")).split())
    assert "It still ferments under its spunding valve, set to 27 psi. No gas on." in said


@pytest.mark.parametrize(("valve", "word"), [(10, "be short of gas"), (45, "hold too much gas")])
def test_a_valve_that_would_miss_the_level_is_set_anew(valve: float, word: str) -> None:
    (one,) = advised(spunding(valve))
    assert one.need == "valve"
    keeps = status(spunding(valve), day(1)).kegs[0].keeps_gauge_pa
    assert keeps is not None
    assert f"will {word} when it has fermented out: set its spunding valve to 2" in one.text
    # common practice, from memory: 27 psi at 68 °F
    assert keeps == pytest.approx(27 * PSI, abs=1.5 * PSI)


def test_too_little_left_to_ferment_is_no_matter_of_the_valve() -> None:
    # by hand: one point is some half a volume: 0.86 and 0.5, part of it for the head
    (one,) = advised(spunding(27, 1.011))
    assert one.need == "connect"
    assert "will be short of gas when it has fermented out: connect it at 2" in one.text
    assert one.text.endswith(" then.")


def test_too_much_sugar_without_a_valve_wants_one() -> None:
    log = [one for one in warm_log() if one.at <= day(0.01)]
    # by hand: 150 g of 0.514 kg/kg are 39 L, 2.06 volumes in 18.9 L on top of 0.86
    log.append(Primed(at=day(0.02), keg="K1", sugar="sucrose", sugar_kg=0.15))
    (one,) = advised(log)
    assert "will hold too much gas when it has fermented out: put a spunding valve on at 2" in (
        one.text
    )


def test_what_it_ends_at_is_what_replay_comes_to() -> None:
    for log in (spunding(20), spunding(27, 1.012)):
        told = ending(present(log, day(1)).kegs["K1"], Assumed())
        assert told is not None
        # independent: the replay of the log three weeks on
        later = present(log, day(22)).kegs["K1"]
        assert float(later.level_vol) == pytest.approx(told.level_vol, abs=0.05)
        assert told.chilled_vol > told.level_vol


def test_nothing_is_told_of_beer_that_is_done_or_that_the_gas_is_on() -> None:
    keg = present(spunding(27), day(1)).kegs["K1"]
    assert ending(replace(keg, to_ferment_vol=0.0), Assumed()) is None
    # in the cold its yeast sleeps: it does not work its way to an end
    assert ending(replace(keg, place_k=278.15), Assumed()) is None


def sugared(sugar_kg: float) -> list[Event]:
    """A cold keg of 18.9 L with 0.86 volumes, gas on and sugar in it."""
    gas = GasOn(at=day(0.01), keg="K1", gauge_pressure_pa=12 * PSI)
    return [*filled_log(), gas, Primed(at=day(0.02), keg="K1", sugar="sucrose", sugar_kg=sugar_kg)]


@pytest.mark.parametrize("gas_on", [True, False])
@pytest.mark.parametrize(
    "hot",
    [
        PlaceSet(at=day(0.03), place="fridge", temperature_k=325.0),
        Measured(at=day(0.03), keg="K1", temperature_k=326.0),
    ],
)
def test_a_keg_hotter_than_solubility_is_known_is_told_as_at_fifty(
    hot: Event, *, gas_on: bool
) -> None:
    off = [] if gas_on else [GasOff(at=day(0.025), keg="K1")]
    answer = status([*sugared(0.3), *off, hot], day(0.04))
    (kept,) = answer.kegs
    assert kept.sugar is not None
    # published: solubility is known to 50 °C; analytic: 4.99 volumes at 0.43 an atmosphere
    # (published, Bunsen's of water) are past 11 bar, which is told as over it
    assert kept.sugar.at_k == pytest.approx(323.15)
    assert kept.sugar.gauge_pressure_pa is None
    assert "over 145 psi at 122 °F" in " ".join(" ".join(status_lines(answer, "us")).split())
    (ahead,) = look_ahead([*sugared(0.3), *off, hot], day(0.04)).kegs
    assert ahead.ready.at is None
    # too warm to be followed for a day, it is taken as it is: its gas is told all the same
    assert gas_ahead([*sugared(0.3), *off, hot], day(0.04)).cylinders
    # by hand: 200 g are 2.75 volumes on top of 0.86, at 0.43 an atmosphere 8.4, some of it in the
    # head: 8.5 bar absolute at most, 7.5 by the gauge
    (less,) = status([*sugared(0.2), *off, hot], day(0.04)).kegs
    assert less.sugar is not None
    assert less.sugar.gauge_pressure_pa == pytest.approx(7.5e5, rel=0.1)
