"""A cylinder of blended gas in a system file: read, refused, full, and what does not fit it."""

from __future__ import annotations

from datetime import date

import pytest

from ullage.errors import SystemFileError
from ullage.physics.cylinder import water_capacity
from ullage.system.checks import findings
from ullage.system.cylinder import most_kg
from ullage.system.file import parse_system
from ullage.system.model import System

FILE = """
name = "Stout"
[[place]]
name = "pantry"
temperature = "64 degF"
[[cylinder]]
name = "stout gas"
size = "5 lb"
place = "pantry"
{told}
[[regulator]]
name = "regulator"
cylinder = "stout gas"
{valve}
"""
TODAY = date(2026, 11, 28)


def system(told: str = 'co2 = "25 %"', valve: str = "") -> System:
    return parse_system(FILE.format(told=told, valve=valve), "stout.toml")


def said(one: System) -> list[tuple[str, str]]:
    return [(found.level, f"{found.where}: {found.what}") for found in findings(one, TODAY)]


def test_left_out_it_is_straight_co2() -> None:
    plain = system(told="")
    assert plain.cylinders[0].co2 == 1.0
    assert plain == system(told='co2 = "100 %"')
    assert plain.cylinders[0].full_kg == pytest.approx(5 * 0.45359237)


def test_a_share_is_read_with_its_unit() -> None:
    assert system(told='co2 = "25 %"').cylinders[0].co2 == pytest.approx(0.25)
    assert system(told='co2 = "70 percent"').cylinders[0].is_blend


@pytest.mark.parametrize(
    ("written", "why"),
    [
        ('"0 %"', '"0 %" is out of bounds: 1 % to 100 %'),
        ('"150 %"', '"150 %" is out of bounds: 1 % to 100 %'),
        ("0.25", "0.25 has no unit"),
        ('"stout"', '"stout" is not a share'),
        ("true", "true or false is not a share"),
    ],
)
def test_what_is_no_share_is_refused_at_its_line(written: str, why: str) -> None:
    with pytest.raises(SystemFileError) as refused:
        system(told=f"co2 = {written}")
    assert "stout.toml, line 10: [[cylinder]]" in str(refused.value)
    assert why in str(refused.value)


def test_what_a_full_one_holds() -> None:
    one = system().cylinders[0]
    # by hand: 5 lb over 0.68 kg/L is 3.335 L; at 140 bar and 20 °C an ideal gas of 32.01 g/mol is
    # 184 kg/m³ (0.61 kg), and 25 % CO2 makes it some 12 % denser
    assert one.full_kg == pytest.approx(0.69, abs=0.01)
    assert one.held_kg == one.full_kg
    # analytic: 0.25 × 44.01 of each 0.25 × 44.01 + 0.75 × 28.013 g
    assert one.co2_of(1.0) == pytest.approx(11.0024 / 32.0124, rel=1e-4)
    assert system(told="").cylinders[0].co2_of(1.0) == 1.0


def test_no_cylinder_holds_more_than_the_highest_filling() -> None:
    # analytic: 5 % over 5 lb
    assert most_kg("5 lb") == pytest.approx(1.05 * 5 * 0.45359237)
    # independent: 5 % over what 3.335 L of an ideal gas of 32.01 g/mol are at 200 bar (0.876 kg),
    # which 25 % CO2 makes some 11 % denser
    assert most_kg("5 lb", 0.25) == pytest.approx(1.05 * 0.876 * 1.11, rel=0.03)
    # analytic: nothing is filled more densely than CO2 alone
    densest = 680.0 * water_capacity(5 * 0.45359237)
    assert most_kg("5 lb", 0.95) == pytest.approx(1.05 * densest)


def test_more_than_a_blend_can_be_is_a_danger() -> None:
    # five pounds are what the size holds of CO2: three times what 140 bar make of a blend
    (level, what), *_ = said(system(told='co2 = "25 %"\ncontents = "5 lb"'))
    assert level == "danger"
    assert "holds 5 lb of a blend, more than the 1.5 lb that 140 bar (2,000 psi)" in what
    assert not [one for one in said(system(told='contents = "5 lb"')) if one[0] == "danger"]


def test_the_valve_of_a_blend_is_its_own() -> None:
    asked = [what for _, what in said(system())]
    assert any("its valve is not that of CO2" in what for what in asked)
    (level, what), *_ = said(system(valve='valve = "CGA 320"'))
    assert level == "danger"
    assert "its inlet (CGA 320) does not fit" in what
    matched = system(told='co2 = "25 %"\nvalve = "CGA 580"', valve='valve = "CGA 580"')
    assert said(matched) == []
    assert said(system(told="", valve='valve = "CGA 320"')) == []


def test_no_adapter_is_advised_for_a_blend() -> None:
    (found, *_) = findings(system(valve='valve = "CGA 320"'), TODAY)
    assert "never an adapter" in found.remedy
    assert "2,000 psi" in found.remedy
