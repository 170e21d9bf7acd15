"""A keg on blended gas: sums by hand, the closed form of `physics.blend`, an independent solver."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from tests.cellar.logs import COLD_K, PSI, SEA_LEVEL, cellar_log, day
from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    Measured,
    Poured,
    Purged,
    Shaken,
    ToppedUp,
    Vented,
)
from ullage.cellar.on_blend import comes_to
from ullage.cellar.other_events import CylinderConnected, CylinderRead, CylinderSwapped
from ullage.cellar.replay import NOMINAL, at_moment, replay
from ullage.cellar.state import Assumed, CellarState, KegState
from ullage.physics import absorption, blend, solubility, water
from ullage.plan.blend import blended
from ullage.plan.blend_answer import BlendQuestion

STOUT = 0.25
R = 8.314462618


def stout_log(
    share: float | None = STOUT, beer_m3: float = 0.0189, start_vol: float = 1.2
) -> list[Event]:
    """A keg filled at noon beside one cylinder of a blend; `None`: its share is not written."""
    told = {} if share is None else {"co2_share": share}
    gas = CylinderConnected(at=day(-2), cylinder="main", size="5 lb", contents_kg=0.6, **told)
    kept = [event for event in cellar_log() if not isinstance(event, CylinderConnected)]
    beer = Filled(
        at=day(0),
        keg="K1",
        batch="pale",
        volume_m3=beer_m3,
        temperature_k=COLD_K,
        start_vol=start_vol,
        air_purged=True,
    )
    return [*kept, gas, beer]


def on(gauge: float, at: float = 0.01) -> Event:
    return GasOn(at=day(at), keg="K1", gauge_pressure_pa=gauge * PSI)


def fresh_head(at: float = 0.011) -> Event:
    """The head all blend: thirty cycles leave a 10⁻¹⁴ of what was there."""
    return Purged(at=day(at), keg="K1", cycles=30, gauge_pressure_pa=30 * PSI)


def cellar(events: list[Event], days: float, assumed: Assumed = NOMINAL) -> CellarState:
    return at_moment(replay(events, assumed), day(days), assumed)


def keg(events: list[Event], days: float, assumed: Assumed = NOMINAL) -> KegState:
    return cellar(events, days, assumed).kegs["K1"]


def settled(begun: KegState, share: float, gauge: float) -> blend.Settled:
    one = blend.Blended(
        float(begun.beer_m3),
        float(begun.head_m3),
        COLD_K,
        float(begun.level_vol),
        float(begun.solubility(NOMINAL)),
        SEA_LEVEL + gauge * PSI,
        share,
    )
    return blend.settled(one)


@pytest.mark.parametrize("share", [0.25, 0.5, 0.7, 0.95])
@pytest.mark.parametrize("beer_m3", [0.0189, 0.0095, 0.001])
def test_a_keg_left_alone_settles_where_the_closed_form_says(share: float, beer_m3: float) -> None:
    told = [*stout_log(share, beer_m3), on(25), fresh_head()]
    begun, ended = keg(told, 0.0111), keg(told, 3000)
    # independent: the balance of both gases by brentq; a real gas in place of an ideal one, and
    # the trace of air left at filling, make the rest; and there the beer takes its nitrogen (2 %)
    # out of a head that nothing fills up again
    there = settled(begun, share, 25)
    assert float(ended.level_vol) == pytest.approx(there.level_vol, abs=0.02)
    assert float(ended.head_pa()) == pytest.approx(there.pressure_pa, rel=0.02)


def test_a_full_keg_on_stout_gas_comes_to_what_blend_says() -> None:
    told = [*stout_log(), on(25), fresh_head()]
    answer = blended(BlendQuestion(COLD_K, 1.2, share=STOUT, gauge_pa=25 * PSI))
    full = answer.stages[0]
    # by hand: 39.7 psi absolute × 0.25 = 9.9 psi of CO2, 0.68 bar; at 38 °F beer holds some 1.4
    # volumes a bar (2.4 at 11.2 psi gauge, 1.79 bar): 0.92 volumes, and the head must give. As it
    # holds less than 1.2 the beer keeps nearly what it had.
    assert float(keg(told, 400).level_vol) == pytest.approx(1.2, abs=0.03)
    # independent: the answer of `ullage blend` for the same keg from 1.2 volumes; its keg is
    # filled a little otherwise
    assert float(keg(told, 400).level_vol) == pytest.approx(full.level_vol, abs=0.02)


def test_a_last_litre_comes_to_the_partial_pressure() -> None:
    told = [*stout_log(0.7, beer_m3=0.001, start_vol=0.5), on(25), fresh_head()]
    pressure = blend.pure_equivalent(SEA_LEVEL + 25 * PSI, 0.7, COLD_K)
    factor = float(keg(told, 1).solubility(NOMINAL))
    dalton = float(solubility.equilibrium_volumes(pressure, COLD_K, factor))
    # analytic: 18 litres of head are as good as fresh gas for one litre of beer: by Dalton, less
    # what the litre took of it (under 0.1 volumes: a litre's two volumes of some 35 of CO2)
    assert dalton - 0.12 < float(keg(told, 400).level_vol) < dalton


def test_on_next_to_no_co2_beer_goes_flat() -> None:
    told = [*stout_log(0.01, beer_m3=0.0095, start_vol=2.4), on(25), fresh_head()]
    shaken = [*told, Shaken(at=day(1), keg="K1", duration_s=7200.0)]
    # by hand: all gas there is 9.5 L × 2.4 = 22.8 L; the head of 9.8 L takes 9.5 L of it for each
    # bar, the beer 9.5 L a volume and 0.746 bar a volume: c = 22.8 / (9.5 + 7.1) = 1.37, and a
    # little more since the blend has 1 % of CO2
    assert float(keg(shaken, 3).level_vol) == pytest.approx(1.40, abs=0.04)
    vented = list(shaken)
    for n in range(8):
        vented += [
            Purged(at=day(2 + n), keg="K1", cycles=9, gauge_pressure_pa=30 * PSI),
            Shaken(at=day(2.1 + n), keg="K1", duration_s=7200.0),
        ]
    # by hand: each head let off takes 7.1 of 16.6 parts with it: 1.4 × 0.57⁸ = 0.015, and what 1 %
    # of 2.7 bar holds is 0.04
    assert float(keg(vented, 11).level_vol) < 0.1


def test_what_comes_in_is_charged_by_the_moles_of_the_blend() -> None:
    told = [*stout_log(beer_m3=0.0095, start_vol=0.9), Vented(at=day(0.005), keg="K1")]
    before, after = cellar(told, 0.01), cellar([*told, on(25)], 0.01)
    taken = float(after.cylinders["main"].drawn_kg - before.cylinders["main"].drawn_kg)
    # by hand, n = pV/RT: 172.4 kPa × 9.81 L / (8.314 × 276.5 K) = 0.735 mol; the beer's share of
    # the nitrogen is some 2 % more; 0.25 × 44.01 + 0.75 × 28.01 = 32.0 g/mol: 23.5 g, 24.0 g
    assert taken == pytest.approx(0.0240, abs=0.0005)
    # by hand: a quarter of the moles is CO2
    co2_kg = float(after.kegs["K1"].ledger.gas_drawn_kg - before.kegs["K1"].ledger.gas_drawn_kg)
    assert taken / co2_kg == pytest.approx(32.0 / (0.25 * 44.01), rel=1e-3)


def test_a_litre_poured_takes_a_litre_of_blend_at_the_whole_pressure() -> None:
    told = [*stout_log(beer_m3=0.0095, start_vol=0.9), on(25), fresh_head()]
    before = cellar(told, 300)
    pour = Poured(at=day(300), keg="K1", volume_m3=0.001)
    after = cellar([*told, pour], 300)
    taken = float(after.cylinders["main"].drawn_kg - before.cylinders["main"].drawn_kg)
    # by hand: the head's gas spreads into the litre and the rest is let in: 273.7 kPa (less 0.8 of
    # vapour) × 1 L / (8.314 × 276.5 K) = 0.1187 mol of 32.0 g/mol
    assert taken == pytest.approx(0.00380, rel=0.03)
    assert float(after.kegs["K1"].head_pa()) == pytest.approx(SEA_LEVEL + 25 * PSI, abs=1.0)


def test_straight_co2_written_out_is_as_before() -> None:
    def after(share: float | None) -> CellarState:
        told = stout_log(share)
        history: list[Event] = [
            on(12),
            Poured(at=day(3), keg="K1", volume_m3=0.001),
            on(20, 4),
            on(8, 6),
        ]
        events = [event.model_copy(update={"id": f"{n:032x}"}) for n, event in enumerate(told)]
        return cellar([*events, *history], 9)

    assert after(1.0) == after(None)
    assert after(1.0).kegs["K1"].nitrogen_mol == 0.0


def test_a_trace_of_nitrogen_changes_a_trace() -> None:
    # analytic: the limit is straight CO2. At a share of 1 - 1e-6 the nitrogen that comes with the
    # 0.1 kg (2.3 mol) of CO2 is 2.3e-6 mol, some 20 Pa in a head of 0.4 L: 3e-4 volumes
    pure, nearly = (keg([*stout_log(share), on(25)], 60) for share in (1.0, 1.0 - 1e-6))
    assert float(nearly.level_vol) == pytest.approx(float(pure.level_vol), abs=5e-4)


def by_solver(begun: KegState, seconds: float, share: float, gauge: float) -> float:
    """The level by LSODA: the law of absorption, nitrogen that stays, CO2 that thins with it."""
    factor, vapour = float(begun.solubility(NOMINAL)), float(water.vapour_pressure(COLD_K))
    beer_m3, head_m3 = float(begun.beer_m3), float(begun.head_m3)
    takes = float(blend.nitrogen_held(beer_m3, head_m3, COLD_K))
    along = (1.0 - share) / share
    assert begun.beer is not None
    rate = float(absorption.still_rate(begun.beer, COLD_K, float(begun.depth_m)))

    def slope(_: float, state: np.ndarray) -> list[float]:
        level, carbon = float(state[0]), float(state[1])
        gap = float(solubility.equilibrium_volumes(carbon + vapour, COLD_K, factor)) - level
        rises = rate * max(gap, 0.0) ** (4 / 3)
        taken = beer_m3 * blend.CARBON_MOL_M3 * rises
        return [rises, -along * taken / (takes + along * head_m3 / (R * COLD_K))]

    nitrogen = float(begun.nitrogen_mol) / takes
    carbon = SEA_LEVEL + gauge * PSI - vapour - nitrogen - float(begun.air_pa(COLD_K))
    begin = [float(begun.level_vol), carbon]
    done = solve_ivp(slope, (0.0, seconds), begin, method="LSODA", rtol=1e-8, atol=1e-9)
    return float(done.y[0, -1])


@pytest.mark.parametrize("share", [0.4, 0.7, 0.9])
@pytest.mark.parametrize("beer_m3", [0.0189, 0.012, 0.004])
@pytest.mark.parametrize("hours", [1.0, 12.0, 96.0])
def test_it_gets_there_as_a_solver_does(share: float, beer_m3: float, hours: float) -> None:
    told = [*stout_log(share, beer_m3, start_vol=0.9), on(30)]
    begun = keg(told, 0.01)
    ours = keg(told, 0.01 + hours / 24.0)
    # independent: solve_ivp; ideal gas there, a virial term here
    found = by_solver(begun, hours * 3600.0, share, 30)
    assert float(ours.level_vol) == pytest.approx(found, abs=0.01)


def test_a_head_that_stands_above_the_blend_is_taken_first() -> None:
    high = ToppedUp(at=day(0.005), keg="K1", gauge_pressure_pa=30 * PSI)
    told = [*stout_log(0.7, beer_m3=0.0095, start_vol=0.9), high, on(20, 0.006)]
    begun, soon, late = (keg(told, days) for days in (0.0061, 0.1, 20))
    # analytic: the check valve keeps 30 psi, which falls as the beer takes it, down to 20 psi
    assert float(begun.head_pa()) == pytest.approx(SEA_LEVEL + 30 * PSI, rel=0.01)
    assert SEA_LEVEL + 20 * PSI < float(soon.head_pa()) < float(begun.head_pa())
    assert float(late.head_pa()) == pytest.approx(SEA_LEVEL + 20 * PSI, abs=1.0)
    assert float(soon.nitrogen_mol) == float(begun.nitrogen_mol) < float(late.nitrogen_mol)


events_of = st.lists(
    st.one_of(
        st.floats(0.0, 35.0).map(
            lambda psi: GasOn(at=day(0), keg="K1", gauge_pressure_pa=psi * PSI)
        ),
        st.just(GasOff(at=day(0), keg="K1")),
        st.just(Vented(at=day(0), keg="K1")),
        st.floats(0.0, 35.0).map(
            lambda psi: ToppedUp(at=day(0), keg="K1", gauge_pressure_pa=psi * PSI)
        ),
        st.just(Purged(at=day(0), keg="K1", cycles=3, gauge_pressure_pa=30 * PSI)),
        st.floats(0.5, 3.0).map(lambda vol: Measured(at=day(0), keg="K1", level_vol=vol)),
        st.floats(1e-4, 2e-3).map(lambda m3: Poured(at=day(0), keg="K1", volume_m3=m3)),
        st.just(Shaken(at=day(0), keg="K1", duration_s=1800.0)),
    ),
    max_size=8,
)


def spaced(history: list[Event]) -> list[Event]:
    return [one.model_copy(update={"at": day(1 + n)}) for n, one in enumerate(history)]


@given(st.sampled_from([0.05, 0.25, 0.7]), events_of)
@settings(max_examples=60, deadline=None)
def test_no_gas_is_made_or_lost(share: float, history: list[Event]) -> None:
    told = [*stout_log(share, beer_m3=0.017), *spaced(history)]
    found = cellar(told, 12)
    one = found.kegs["K1"]
    # analytic: what came less what went is what is there, and no nitrogen comes but with CO2
    assert float(one.ledger.gas_kg()) == pytest.approx(float(one.gas_kg()), abs=1e-12)
    assert float(one.nitrogen_mol) >= 0.0
    assert float(one.level_vol) >= 0.0
    assert not any("cannot be followed" in warning for warning in found.warnings)


@given(st.sampled_from([0.25, 0.7]), events_of)
@settings(max_examples=25, deadline=None)
def test_samples_go_the_same_way(share: float, history: list[Event]) -> None:
    scales = np.array([0.6, 1.0, 1.7])
    told = [*stout_log(share, beer_m3=0.017), *spaced(history)]
    many = keg(told, 12, Assumed(absorption=scales))
    for i, scale in enumerate(scales):
        alone = keg(told, 12, Assumed(absorption=float(scale)))
        level = np.broadcast_to(many.level_vol, scales.shape)[i]
        assert float(level) == pytest.approx(float(alone.level_vol), abs=1e-6)


def two_cylinders() -> list[Event]:
    """Straight CO2 beside a blend, and beer of 0.9 volumes."""
    pure = CylinderConnected(at=day(-2), cylinder="pure", size="10 lb")
    return [*stout_log(start_vol=0.9), pure]


def test_a_charge_is_taken_from_the_cylinder_that_gave_it() -> None:
    told = [*two_cylinders()]
    charge = ToppedUp(at=day(1e-5), keg="K1", gauge_pressure_pa=30 * PSI, cylinder="pure")
    after = cellar([*told, charge], 1e-5)
    # by hand: 206.8 kPa × 0.406 L / (8.314 × 276.5 K) × 44.01 g/mol = 1.61 g, the air's pressure
    # there before
    assert float(after.cylinders["pure"].drawn_kg) == pytest.approx(1.61e-3, rel=0.06)
    assert float(after.cylinders["main"].drawn_kg) == 0.0
    assert after.kegs["K1"].nitrogen_mol == 0.0


def test_carbonated_with_co2_and_served_with_a_blend() -> None:
    burst = GasOn(at=day(0.01), keg="K1", gauge_pressure_pa=30 * PSI, cylinder="pure")
    serve = GasOn(at=day(2), keg="K1", gauge_pressure_pa=35 * PSI, cylinder="main")
    told = [*two_cylinders(), burst]
    carbonated = float(keg(told, 2).level_vol)
    served = keg([*told, serve], 60)
    # analytic: the blend would let it hold less than it has, so a full keg keeps nearly all; by
    # hand: the head's 0.41 L of CO2 at 3 bar is 0.06 volumes of 18.9 L, of which it takes a part
    assert carbonated > 1.6
    assert carbonated - 0.1 < float(served.level_vol) < carbonated + 0.06
    # analytic: the nitrogen is there, in the head first of all
    assert 0.0 < float(served.nitrogen_pa(COLD_K)) < 35 * PSI


def test_where_it_comes_to_is_where_it_goes() -> None:
    told = [*stout_log(0.7, beer_m3=0.0095, start_vol=0.9), on(25)]
    begun, ended = keg(told, 0.02), keg(told, 3000)
    factor = float(begun.solubility(NOMINAL))
    # independent: the replay of years
    assert float(comes_to(begun, factor, NOMINAL)) == pytest.approx(
        float(ended.level_vol), abs=0.002
    )


def test_a_cylinder_connected_anew_with_another_gas_feeds_it() -> None:
    other = CylinderConnected(
        at=day(5), cylinder="main", size="5 lb", contents_kg=0.6, co2_share=0.7
    )
    told = [*stout_log(1.0), on(12), other]
    supply = keg(told, 6).supply
    assert supply is not None
    assert supply.co2_share == 0.7


def test_a_gauge_tells_what_a_blend_has_left() -> None:
    full = [event for event in stout_log() if not isinstance(event, CylinderConnected)]
    told: list[Event] = [
        CylinderConnected(at=day(-2), cylinder="main", size="5 lb", co2_share=STOUT),
        *full,
    ]
    held = cellar(told, 1).cylinders["main"].contents_kg
    # by hand: 3.34 L × 140 bar / (8.314 × 293 K) = 19.2 mol of 32.0 g/mol, 0.61 kg; such gas is an
    # eighth denser than an ideal one
    assert float(held) == pytest.approx(0.61 * 1.125, rel=0.02)
    read = CylinderRead(at=day(2), cylinder="main", gauge_pressure_pa=70e5, temperature_k=293.15)
    half = cellar([*told, read], 2).cylinders["main"].contents_kg
    # by hand: half the pressure is a little less than half the gas
    assert 0.44 < float(half) / float(held) < 0.5
    again = cellar([*told, read, CylinderSwapped(at=day(3), cylinder="main")], 3)
    assert float(again.cylinders["main"].contents_kg) == pytest.approx(float(held))
    assert again.cylinders["main"].co2_share == STOUT


def test_events_a_moment_apart_do_not_matter() -> None:
    # analytic: looked at every hour it is where it is when looked at once; a chord that stands for
    # a nearly straight line differs by a trace
    told = [*stout_log(0.7, beer_m3=0.0095, start_vol=0.9), on(25)]
    state = replay(told)
    for hour in range(1, 100):
        state = at_moment(state, day(0.01) + timedelta(hours=hour))
    often = state.kegs["K1"]
    once = keg(told, 0.01 + 99 / 24.0)
    assert float(often.level_vol) == pytest.approx(float(once.level_vol), abs=0.005)
