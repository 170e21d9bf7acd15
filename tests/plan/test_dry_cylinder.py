"""A cylinder found empty feeds no keg: nothing is promised of its gas, nowhere is it below zero."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.cellar.logs import PSI, day, filled_log
from tests.plan import stouts
from tests.plan.alarm_scenes import LONG_AGO, cylinder, only, scene
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOn
from ullage.cellar.other_events import CylinderRead, CylinderSwapped, CylinderWeighed
from ullage.draw.live import live_of_status
from ullage.draw.status_lines import status_lines
from ullage.plan.answers import Band
from ullage.plan.begin import first_events
from ullage.plan.look_ahead import look_ahead
from ullage.plan.status import status


def run_dry(*more: Event) -> list[Event]:
    """Weighed empty on the second; gas on all the same on the sixth."""
    found = CylinderWeighed(at=day(1), cylinder="main", contents_kg=0.0)
    return [*filled_log(), found, GasOn(at=day(5), keg="K1", gauge_pressure_pa=12 * PSI), *more]


def test_its_kegs_get_nothing_and_are_promised_nothing() -> None:
    answer = status(run_dry(), day(6))
    (kept,) = answer.kegs
    assert (kept.dry_cylinder, kept.comes_to_vol) == ("main", None)
    assert [one.text for one in answer.advice if one.kind == "cylinder"] == [
        "Cylinder main is empty since 2 Nov: no keg gets gas from it. Swap it."
    ]
    assert not [one for one in answer.advice if one.need in ("connect", "raise")]
    said = " ".join(" ".join(status_lines(answer, "us")).split())
    assert "Gas set to 12 psi, but cylinder main is empty: it gets none." in said
    assert "leads to" not in said
    (ahead,) = look_ahead(run_dry(), day(6)).kegs
    assert ahead.ready.at is None
    assert ahead.ready.words == "no gas comes: cylinder main is empty"


def test_a_full_one_in_its_place_feeds_again() -> None:
    swapped = run_dry(CylinderSwapped(at=day(5.5), cylinder="main"))
    (kept,) = status(swapped, day(6)).kegs
    assert kept.dry_cylinder is None
    # common practice, from memory: 12 psi at 38 °F keep 2.5 volumes
    assert kept.comes_to_vol == pytest.approx(2.5, abs=0.1)


def test_the_drawing_shows_nothing_below_zero() -> None:
    answer = status(run_dry(), day(6))
    # replay goes on counting what the keg took, so that a swap finds how far off it was
    assert answer.cylinders[0].contents_kg.value < 0.0
    held = live_of_status(answer).cylinders_kg["main"]
    assert held.value == 0.0


def test_its_alarm_says_swap_and_not_weigh() -> None:
    dry = replace(cylinder(-0.02), is_dry=True, contents_kg=Band(-0.02, -0.02, -0.02))
    alarm = only(scene(cylinder=dry))
    assert alarm.key == "gas-low:cylinder:main"
    assert alarm.text.startswith(f"Cylinder main is empty since {LONG_AGO.day} ")
    assert alarm.do.startswith("Have it filled or exchanged")


@pytest.mark.parametrize("co2", ["1 %", "25 %", "75 %", "100 %"])
@pytest.mark.parametrize(("gauge_psi", "dry"), [(0.0, True), (60.0, False)])
def test_whatever_its_gas_a_gauge_at_nothing_is_empty(
    co2: str, gauge_psi: float, *, dry: bool
) -> None:
    at = stouts.AT + timedelta(days=1)
    read = CylinderRead(
        at=at, cylinder="stout gas", gauge_pressure_pa=gauge_psi * PSI, temperature_k=291.0
    )
    log = [*first_events(stouts.stouts(co2), stouts.AT), read]
    answer = status(log, at + timedelta(hours=1))
    held = next(one for one in answer.cylinders if one.cylinder == "stout gas")
    # analytic: at one bar absolute a cylinder that was full at 139 bar holds some 0.7 % of it, one
    # of CO2, filled to 667 g a litre, 1.86 over 667, 0.3 %; at 5 bar it pushes beer out as before
    assert held.is_dry is dry
    assert next(one for one in answer.kegs if one.keg == "K2").dry_cylinder == (
        "stout gas" if dry else None
    )
