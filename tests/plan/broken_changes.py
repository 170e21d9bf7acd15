"""The changes that break a household: each one thing, larger or smaller by chance."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from tests.plan.broken import FULL_M3, INCH, PINT_M3, PSI, Home, balance_pa, cylinder_kg
from ullage.system.model import LinePiece

Change = Callable[[Home, np.random.Generator], Home]


def _pressure_too_high(home: Home, rng: np.random.Generator) -> Home:
    more = rng.uniform(5.0, 12.0) * PSI
    return replace(home, set_pa=home.set_pa + more, set_days=rng.uniform(1.0, 14.0))


def _pressure_let_down(home: Home, rng: np.random.Generator) -> Home:
    low = max(home.set_pa - rng.uniform(4.0, 8.0) * PSI, 2.0 * PSI)
    return replace(home, set_pa=low, set_days=rng.uniform(1.0, 10.0), vented=True)


def _never_enough_pressure(home: Home, rng: np.random.Generator) -> Home:
    low = rng.uniform(0.25, 0.55) * home.set_pa
    return replace(home, before_pa=low, set_pa=low, start_vol=0.85)


def _not_yet_carbonated(home: Home, rng: np.random.Generator) -> Home:
    return replace(home, start_vol=0.85, filled_days=rng.uniform(1.0, 4.0), poured_m3=3 * PINT_M3)


def _too_much_gas_in_beer(home: Home, rng: np.random.Generator) -> Home:
    high = balance_pa(home.target_vol + rng.uniform(0.8, 1.6), home.cold_k, home.altitude_m)
    days = rng.uniform(1.0, 4.0)
    return replace(home, before_pa=high, set_days=days, vented=True)


def _line_short(home: Home, rng: np.random.Generator) -> Home:
    return replace(home, line=(_piece(home, length=rng.uniform(0.12, 0.45)),))


def _line_long(home: Home, rng: np.random.Generator) -> Home:
    return replace(home, line=(_piece(home, length=rng.uniform(2.5, 5.0)),))


def _line_wide(home: Home, rng: np.random.Generator) -> Home:
    return replace(home, line=(_piece(home, bore=float(rng.choice([1 / 4, 5 / 16]))),))


def _piece(home: Home, length: float = 1.0, bore: float = 3 / 16) -> LinePiece:
    """The line with its length scaled, and of another bore (in)."""
    return LinePiece(length=length * home.line[0].length, bore=bore * INCH)


def _warm_tower(home: Home, rng: np.random.Generator) -> Home:
    return replace(home, tower_k=home.cold_k + rng.uniform(5.0, 16.0))


def _line_through_warmth(home: Home, rng: np.random.Generator) -> Home:
    whole = home.line[0]
    share = rng.uniform(0.3, 0.6)
    warm = home.cold_k + rng.uniform(6.0, 15.0)
    cold = LinePiece(length=(1.0 - share) * whole.length, bore=whole.bore)
    outside = LinePiece(length=share * whole.length, bore=whole.bore, temperature=warm)
    return replace(home, line=(cold, outside), tower_k=warm)


def _fridge_too_warm(home: Home, rng: np.random.Generator) -> Home:
    """Warmer for the last weeks than when it was carbonated; half the keepers know it."""
    warm = home.cold_k + rng.uniform(5.0, 10.0)
    knows = bool(rng.random() < 0.5)
    return replace(
        home,
        start_vol=home.target_vol,
        filled_days=rng.uniform(2.0, 5.0),
        poured_m3=5 * PINT_M3,
        cold_k=warm,
        tower_k=warm,
        written_cold_k=None if knows else home.cold_k,
    )


def _frozen(home: Home, rng: np.random.Generator) -> Home:
    ice = rng.uniform(270.7, 271.5)
    knows = bool(rng.random() < 0.5)
    return replace(
        home,
        cold_k=ice,
        written_cold_k=None if knows else home.cold_k,
        block_k=math.inf,
        block_at="line",
    )


def _regulator_lets_through(home: Home, rng: np.random.Generator) -> Home:
    more = rng.uniform(4.0, 15.0) * PSI
    return replace(
        home, set_pa=home.set_pa + more, set_days=rng.uniform(1.0, 7.0), written_set_pa=home.set_pa
    )


def _cylinder_empty(home: Home, rng: np.random.Generator) -> Home:
    """As full when connected as what was drawn until some days ago."""
    days = rng.uniform(1.0, 6.0)
    drawn = home.cylinder_kg - cylinder_kg(home, days)
    return replace(home, cylinder_kg=drawn, gas_stops_days=days, gas_stops_all=True)


def _cylinder_valve_shut(home: Home, rng: np.random.Generator) -> Home:
    return replace(home, gas_stops_days=rng.uniform(2.0, 10.0), gas_stops_all=True)


def _check_valve_stuck(home: Home, rng: np.random.Generator) -> Home:
    return replace(home, gas_stops_days=rng.uniform(2.0, 10.0))


def _gas_leak(home: Home, rng: np.random.Generator) -> Home:
    return replace(home, leaks_kg_day=rng.uniform(0.015, 0.055))


def _beer_poppet_shut(home: Home, rng: np.random.Generator) -> Home:
    del rng
    return replace(home, block_k=math.inf, block_at="keg")


def _dip_tube_clogged(home: Home, rng: np.random.Generator) -> Home:
    return replace(home, block_k=10.0 ** rng.uniform(2.2, 3.2), block_at="keg")


def _line_kinked(home: Home, rng: np.random.Generator) -> Home:
    return replace(home, block_k=10.0 ** rng.uniform(2.2, 3.2), block_at="line")


def _faucet_half_open(home: Home, rng: np.random.Generator) -> Home:
    return replace(home, block_k=10.0 ** rng.uniform(1.8, 2.8), block_at="faucet")


def _gas_past_dip_tube_seal(home: Home, rng: np.random.Generator) -> Home:
    del rng
    return replace(home, gas_into_beer=True)


def _line_dirty(home: Home, rng: np.random.Generator) -> Home:
    return replace(home, cleaned_days=rng.uniform(45.0, 150.0), soured="line", rough_at="line")


def _faucet_dirty(home: Home, rng: np.random.Generator) -> Home:
    del rng
    return replace(home, rough_at="faucet")


def _glass_dirty(home: Home, rng: np.random.Generator) -> Home:
    del rng
    return replace(home, rough_at="glass")


def _beer_infected(home: Home, rng: np.random.Generator) -> Home:
    del rng
    return replace(home, soured="keg")


def _keg_empty(home: Home, rng: np.random.Generator) -> Home:
    del rng
    return replace(home, poured_m3=FULL_M3 - 1e-5)


def _beer_drips(home: Home, rng: np.random.Generator) -> Home:
    del rng
    return replace(home, wet=True)


CHANGES: dict[str, Change] = {
    "pressure too high": _pressure_too_high,
    "pressure let down": _pressure_let_down,
    "never enough pressure": _never_enough_pressure,
    "not yet carbonated": _not_yet_carbonated,
    "too much gas in the beer": _too_much_gas_in_beer,
    "line short": _line_short,
    "line long": _line_long,
    "line wide": _line_wide,
    "warm tower": _warm_tower,
    "line through warmth": _line_through_warmth,
    "fridge too warm": _fridge_too_warm,
    "frozen": _frozen,
    "regulator lets through": _regulator_lets_through,
    "cylinder empty": _cylinder_empty,
    "cylinder valve shut": _cylinder_valve_shut,
    "check valve stuck": _check_valve_stuck,
    "gas leak": _gas_leak,
    "beer poppet shut": _beer_poppet_shut,
    "dip tube clogged": _dip_tube_clogged,
    "line kinked": _line_kinked,
    "faucet half open": _faucet_half_open,
    "gas past the dip tube's seal": _gas_past_dip_tube_seal,
    "line dirty": _line_dirty,
    "faucet dirty": _faucet_dirty,
    "glass dirty": _glass_dirty,
    "beer infected": _beer_infected,
    "keg empty": _keg_empty,
    "beer drips": _beer_drips,
}
