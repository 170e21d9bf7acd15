"""The pours of this moment agree with the pour of the same question, and leave out what cannot."""

from __future__ import annotations

import pytest

from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.pour import pour
from ullage.plan.pours_now import pours_now
from ullage.plan.tap_cases import tap_case
from ullage.system.demo import demo_system

DEMO = demo_system()
PSI = 6894.757  # published: NIST SP 811


def test_it_is_the_pour_at_the_pressure_that_is_on() -> None:
    (found,) = pours_now(DEMO, {"K1": 11 * PSI})
    tap = DEMO.tap("left")
    beer = DEMO.beer("Backyard Pale")
    alone = pour(tap_case(DEMO, tap, beer, 11 * PSI, ambient_pressure(DEMO.altitude)))
    assert found.tap == "left"
    assert found.pint_s.value == pytest.approx(alone.pint_s.value)  # pin: the same model


def test_more_pressure_pours_faster() -> None:
    slow, fast = (pours_now(DEMO, {"K2": gauge * PSI})[0] for gauge in (9, 12))
    assert fast.pint_s.value < slow.pint_s.value


def test_a_tap_without_gas_or_flow_is_left_out() -> None:
    assert pours_now(DEMO, {}) == ()
    assert pours_now(DEMO, {"K1": 0.0, "K2": 0.0, "K3": 0.0}) == ()
