"""What a keg's page says first: sugar that leads past its level, and by when a valve must be on."""

from __future__ import annotations

import pytest

from tests.plan.alarm_scenes import NOW, SET_PA, keg
from ullage.everyday_units import PSI
from ullage.plan.fermenting_out import TooMuchSugar
from ullage.plan.weakest import Weakest
from ullage.web.keg_data import KegData
from ullage.web.keg_words import lead

LOW = Weakest(20.0 * PSI, "the keg")


@pytest.mark.parametrize(
    ("ferments", "supply_pa", "limit", "ends"),
    [
        # of the pressure that keeps its level and a rating, the lower is told
        (True, None, None, "put a spunding valve on now at 28.7 psi."),
        (True, None, LOW, "put a spunding valve on now at no more than 20 psi."),
        (True, SET_PA, None, "put a spunding valve on now."),
        # asleep in the cold: what keeps its level there would be too little where it is warm
        (False, None, None, "put a spunding valve on before it is warm."),
    ],
)
def test_a_warm_keg_is_told_now_and_a_cold_one_before_it_is_warm(
    ferments: bool, supply_pa: float | None, limit: Weakest | None, ends: str
) -> None:
    sugared = keg(
        sugar=TooMuchSugar(5.0, 4.8e5, 293.15),
        ferments=ferments,
        keeps_gauge_pa=28.7 * PSI,
        supply_gauge_pa=supply_pa,
        limit=limit,
    )
    said = "".join(one.text for one in lead(KegData(sugared, None, ()), True, None, NOW, "us"))
    assert said.endswith(ends)
