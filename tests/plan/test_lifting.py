"""What a full keg weighs, told of its own kind; a heavy one is not offered to be rocked."""

from __future__ import annotations

import pytest

from tests.plan.samples import keg_case, wanted
from ullage.cellar.draws import draws
from ullage.cellar.keg_events import Moved
from ullage.plan.at_hand import caution_for
from ullage.plan.cautions import for_method, is_general
from ullage.plan.lifting import full_keg, full_kg, lift
from ullage.plan.methods import schedules
from ullage.plan.schedule import Means
from ullage.system import parts

PSI = 6894.757293168361


@pytest.mark.parametrize(
    ("kind", "weight_kg"),
    [
        # by hand: fill × 1.012 kg/L and the catalogue's tare, as an expert worked them out
        ("ball-lock-5gal", 18.93 * 1.012 + 4.54),
        ("half-barrel", 73.0),
        ("euro-50l", 63.0),
        ("quarter-barrel", 40.0),
        ("euro-30l", 40.0),
        ("ball-lock-1.75gal", 9.4),
    ],
)
def test_a_full_keg_weighs_its_beer_and_its_steel(kind: str, weight_kg: float) -> None:
    assert full_kg(parts.keg_kind(kind)) == pytest.approx(weight_kg, abs=0.6)


def test_who_moves_a_keg_is_told_what_that_one_weighs() -> None:
    assert caution_for(Moved, keg_kind="half-barrel") == (
        "Full, such a keg weighs some 73 kg (161 lb): do not lift it alone."
    )
    assert lift("ball-lock-1.75gal").endswith("lift it from the knees.")
    assert caution_for(Moved) == (
        "A full keg weighs 9 to 73 kg (21 to 161 lb): do not lift it alone."
    )
    # every kind's caution is one line of a terminal
    assert all(len(f"Caution: {lift(kind)}") <= 80 for kind in (None, *parts.keg_kinds()))
    assert full_keg("euro-50l") in lift("euro-50l")


def test_a_heavy_keg_is_not_offered_to_be_rocked() -> None:
    def methods(weight_kg: float, start_vol: float) -> set[str]:
        want = wanted(means=Means(weight_kg=weight_kg))
        found = schedules(keg_case(start_vol=start_vol), want, 11.2 * PSI, draws())
        return {one.method for one in found}

    assert "shake" in methods(24.0, 0.82)
    assert "shake" not in methods(73.0, 0.82)
    assert "vent and shake" in methods(24.0, 3.2)
    assert methods(73.0, 3.2) == {"vent at rest"}


def test_the_caution_beside_rocking_tells_the_kegs_own_weight() -> None:
    rocked = for_method("shake", 50 * PSI, 40.0)[1]
    assert rocked.text.startswith("The keg weighs some 40 kg (88 lb) now: rock it on the floor")
    assert is_general(rocked)
