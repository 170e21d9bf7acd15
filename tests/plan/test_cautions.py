"""Cautions where the hand acts bear the number that must not be passed."""

from __future__ import annotations

from typing import get_args

import pytest

from ullage.cellar.keg_events import GasOn, Vented
from ullage.everyday_units import PSI
from ullage.plan.answers import Method
from ullage.plan.at_hand import GAS, caution_for
from ullage.plan.cautions import CO2_AIR, for_method


@pytest.mark.parametrize("method", get_args(Method))
def test_every_way_says_first_what_must_not_be_set(method: Method) -> None:
    first, *others = for_method(method, 60 * PSI)
    assert first.level == "warning"
    # analytic: 60 psi are 4.14 bar
    assert first.text.startswith("Never set more than 60 psi (4.1 bar)")
    assert CO2_AIR in others


def test_what_is_about_to_be_set_bears_the_rating_where_it_is_known() -> None:
    assert caution_for(GasOn) == GAS
    assert caution_for(GasOn, "60 psi") == (
        "CO2 suffocates: doors open. Never above 60 psi, the lowest rating in the chain."
    )
    assert caution_for(Vented, "60 psi") == caution_for(Vented)
