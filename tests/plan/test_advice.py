"""What comes first where a keg wants more than one thing: what can be done about its gas."""

from __future__ import annotations

from typing import Any

import pytest

from tests.plan.alarm_scenes import NOW, keg
from ullage.everyday_units import PSI
from ullage.plan.advice import Seen, advice
from ullage.plan.answers import Band
from ullage.plan.status_answer import Advice
from ullage.plan.weakest import Weakest

RATED = Weakest(20.0 * PSI, "the regulator")


def told(**other: Any) -> list[Advice]:
    """What is advised of one keg, off its gas, whose level needs 25 psi where 20 are allowed."""
    warm = {"keeps_gauge_pa": 25.0 * PSI, "limit": RATED, "supply_gauge_pa": None}
    head = Band(12.0 * PSI, 12.0 * PSI, 12.0 * PSI)
    one = keg(
        **{**warm, "gauge_pressure_pa": head, "comes_to_vol": None, "carbonated": False, **other}
    )
    return list(advice(Seen(NOW, "us", (one,), (), ())))


@pytest.mark.parametrize(
    # analytic: 2.4 volumes are wanted, within 0.2
    ("level_vol", "need"),
    [(2.99, "cure"), (2.61, "cure"), (2.19, "colder")],
)
def test_too_much_gas_comes_before_the_pressure_that_is_forbidden(
    level_vol: float, need: str
) -> None:
    (one,) = told(level_vol=Band(level_vol, level_vol, level_vol))
    assert one.need == need
    assert ("do not set it" in one.text) == (need == "colder")


@pytest.mark.parametrize(("level_vol", "needs"), [(2.99, ["cure"]), (2.0, [])])
def test_an_empty_cylinder_hides_no_cure(level_vol: float, needs: list[str]) -> None:
    """Letting gas off takes none; what needs some waits until there is some."""
    level = Band(level_vol, level_vol, level_vol)
    for supply_pa in (None, 12.0 * PSI):
        dry = told(level_vol=level, supply_gauge_pa=supply_pa, dry_cylinder="main", limit=None)
        assert [one.need for one in dry] == needs
