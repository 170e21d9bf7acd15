"""What making a keg ready takes: as usual in a log that is fresh, then as it tells."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.plan import stouts
from tests.plan.samples import START, little_system
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, GasOn
from ullage.cellar.standing import standing_of
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.begin import first_events
from ullage.plan.gas import KegUse, all_uses
from ullage.plan.gas_ahead_unbooked import each_fill_kg, usual_fill_kg
from ullage.system import parts


def test_a_fresh_log_counts_the_sanitiser_that_gas_counts() -> None:
    log: list[Event] = [*first_events(little_system(), START)]
    now = standing_of(log, START).now
    ambient = float(ambient_pressure(0.0))
    usual = usual_fill_kg(now, "gas", ambient)
    # independent: the 2.1 oz a keg that an expert read off `gas`, 60 g
    assert usual == pytest.approx(0.060, abs=0.003)
    kind = parts.keg_kind("ball-lock-5gal")
    head = kind.capacity_m3 - kind.usual_fill_m3
    use = KegUse("K1", kind.usual_fill_m3, head, 0.8, 2.5, 8e4, 277.0, sanitiser=True)
    # analytic: the same sum in both
    assert usual == pytest.approx(all_uses(use, ambient)[0].mass_kg, rel=1e-6)
    assert each_fill_kg((), log, "gas", usual) == usual


def test_a_log_that_tells_of_a_filling_is_believed() -> None:
    later = START + timedelta(days=9)
    log: list[Event] = [
        *first_events(little_system(), START),
        Filled(at=later, keg="K1", batch="Pale", volume_m3=0.018, temperature_k=277.0),
        GasOn(at=later, keg="K1", gauge_pressure_pa=8e4, cylinder="gas"),
    ]
    # analytic: no sanitiser was written down, so none is taken to be pushed out
    assert each_fill_kg((), log, "gas", 0.06) == 0.0


def test_no_keg_is_made_ready_with_a_blend() -> None:
    log = [*first_events(stouts.stouts(), stouts.AT)]
    now, ambient = standing_of(log, stouts.AT).now, float(ambient_pressure(91.0))
    # by hand: the answer of `gas` counts of a blend only what pushes the beer out
    assert usual_fill_kg(now, "stout gas", ambient) == 0.0
    # independent: the 2.1 oz a keg that an expert read off `gas`, 60 g
    assert usual_fill_kg(now, "co2", ambient) == pytest.approx(0.060, abs=0.003)
    straight = standing_of([*first_events(stouts.stouts("100 %"), stouts.AT)], stouts.AT).now
    assert usual_fill_kg(straight, "stout gas", ambient) > 0.0
