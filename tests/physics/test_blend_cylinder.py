"""The gas in a cylinder of a blend, against the reference equations."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI

from ullage.errors import OutOfRange
from ullage.physics.blend_cylinder import density, full_mass


@pytest.mark.parametrize("share", [0.01, 0.25, 0.5, 0.7])
@pytest.mark.parametrize("bar", [1.0, 10.0, 70.0, 140.0])
@pytest.mark.parametrize("kelvin", [293.15, 313.15])
def test_density_of_the_mixture(share: float, bar: float, kelvin: float) -> None:
    mixture = f"HEOS::CarbonDioxide[{share}]&Nitrogen[{1.0 - share}]"
    # independent: CoolProp's multi-fluid equations for CO2 and nitrogen
    there = PropsSI("Dmass", "P", bar * 1e5, "T", kelvin, mixture)
    assert density(bar * 1e5, kelvin, share) == pytest.approx(there, rel=0.03)


def test_thin_gas_is_ideal() -> None:
    # analytic: p M / (R T), M = 0.25 × 44.0095 + 0.75 × 28.0134 = 32.0124 g/mol
    ideal = 1e4 * 0.0320124 / (8.314462618 * 293.15)
    assert density(1e4, 293.15, 0.25) == pytest.approx(ideal, rel=1e-3)
    assert density(0.0, 293.15, 0.25) == 0.0


def test_no_cylinder_is_denser_than_one_of_co2() -> None:
    # analytic: 10 L at 680 kg/m³
    assert full_mass(0.010, 0.95) == pytest.approx(6.8)


def test_what_is_no_blend_is_refused() -> None:
    with pytest.raises(OutOfRange, match="share of CO2"):
        density(1e7, 293.15, 1.2)
    with pytest.raises(OutOfRange, match="temperature of the blend"):
        density(1e7, 150.0, 0.25)
    with pytest.raises(OutOfRange, match="pressure of the blend"):
        density(4e7, 293.15, 0.25)
