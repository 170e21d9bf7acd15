"""A head below the air's pressure: flat beer that cools with its gas off."""

from __future__ import annotations

import pytest

from tests.cellar.logs import PSI, day, filled_log
from ullage.cellar.keg_events import GasOn
from ullage.plan.keg_timeline import keg_timeline
from ullage.plan.status import status
from ullage.plan.suction import below_air, suction


def test_a_flat_keg_that_cools_with_no_gas_on_is_told_before_it_chills() -> None:
    line = keg_timeline(filled_log(), "K1", day(0))
    lowest = min(one.gauge_pressure_pa.value for one in line.ahead)
    # on paper: a head of CO2 over beer that holds its 0.8 volumes at 20 °C: at 3 °C the same level
    # is in balance with 0.8/1.4 of an atmosphere, 5 to 7 psi below the air's
    assert lowest / PSI == pytest.approx(-6.0, abs=2.5)
    said = suction(line, "us")
    assert said.startswith("As it stands its head falls to ")
    assert "below the air's pressure. A keg's seals hold pressure in" in said
    assert said.endswith("Put gas on before it chills.")
    later = suction(keg_timeline(filled_log(), "K1", day(5)), "us")
    assert later.startswith("Its head stands ")
    assert later.endswith("Put gas on now.")


def test_with_gas_on_there_is_nothing_to_tell() -> None:
    on = GasOn(at=day(0.01), keg="K1", gauge_pressure_pa=12 * PSI, cylinder="main")
    assert suction(keg_timeline([*filled_log(), on], "K1", day(0.02)), "us") == ""
    assert below_air(-1_000.0, "us") == ""


def test_what_to_do_says_it_of_a_head_that_is_below_the_air_now() -> None:
    said = [one.text for one in status(filled_log(), day(5)).advice if one.need == "connect"]
    assert len(said) == 1
    assert "below the air's pressure: it may suck in air." in said[0]
