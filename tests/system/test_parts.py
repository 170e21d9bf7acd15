"""The catalogue: complete, sourced, and agreeing with itself and with published sizes."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from ullage.errors import UnknownName
from ullage.system import parts
from ullage.system.parts import Fitting

INCH = 0.0254
PSI = 0.45359237 * 9.80665 / INCH**2
GALLON = 231 * INCH**3
POUR = 2 * GALLON / 128  # 2 US fl oz in a second, m³/s


def test_every_entry_has_a_title_and_a_source() -> None:
    tables = (
        parts.keg_kinds(),
        parts.cylinder_sizes(),
        parts.line_materials(),
        parts.disconnects(),
        parts.shanks(),
        parts.faucets(),
    )
    for table in tables:
        assert table
        for name, part in table.items():
            assert part.name == name
            assert part.title
            assert part.source
    assert all(row.source for row in parts.restrictions())


@pytest.mark.parametrize("name", parts.keg_kinds())
def test_a_keg_holds_its_beer_within_its_outside(name: str) -> None:
    keg = parts.keg_kind(name)
    area = math.pi / 4 * keg.inside_diameter_m**2
    assert keg.inside_diameter_m < keg.diameter_m
    assert keg.usual_fill_m3 < keg.capacity_m3 < area * keg.height_m  # analytic
    assert keg.capacity_m3 / area > 0.65 * keg.height_m
    assert 0.75 * keg.height_m < keg.dip_tube_length_m < keg.height_m
    assert keg.connection in parts.disconnects()


def test_published_sizes_of_kegs() -> None:
    ball, pin = parts.keg_kind("ball-lock-5gal"), parts.keg_kind("pin-lock-5gal")
    # published, quoted elsewhere: about 25 in × 8.5 in, about 10 lb; pin lock 3 in shorter and
    # 1 in wider
    assert ball.height_m == pytest.approx(25 * INCH)
    assert ball.diameter_m == pytest.approx(8.5 * INCH)
    assert ball.tare_kg == pytest.approx(4.5359237)
    assert pin.height_m == pytest.approx(ball.height_m - 3 * INCH)
    assert pin.diameter_m == pytest.approx(ball.diameter_m + INCH)
    assert ball.usual_fill_m3 == pytest.approx(5 * GALLON)
    half = parts.keg_kind("half-barrel")
    # published, quoted elsewhere: 23.3 × 16.1 in, 29.7 lb empty; a barrel is 31 US gal
    assert (half.height_m, half.diameter_m) == pytest.approx((23.3 * INCH, 16.1 * INCH))
    assert half.tare_kg == pytest.approx(29.7 * 0.45359237)
    assert half.usual_fill_m3 == pytest.approx(31 * GALLON / 2)


@pytest.mark.parametrize("name", parts.cylinder_sizes())
def test_a_cylinder_has_room_for_its_charge(name: str) -> None:
    size = parts.cylinder_size(name)
    water_capacity = size.rated_kg / 680.0  # published: filling 68 %, 49 CFR 173.304a
    assert water_capacity < math.pi / 4 * size.diameter_m**2 * size.height_m
    assert size.tare_kg > size.rated_kg


def test_published_size_of_the_5_lb_cylinder() -> None:
    size = parts.cylinder_size("5 lb")
    # published, quoted elsewhere: 5 in × 17.5 in, tare 12.5 lb
    assert (size.diameter_m, size.height_m) == pytest.approx((5 * INCH, 17.5 * INCH))
    assert size.tare_kg == pytest.approx(12.5 * 0.45359237)
    assert size.valve == "CGA 320"


def loss_pa(part: Fitting) -> float:
    speed = POUR / (math.pi / 4 * part.bore_m**2)
    return part.loss_coefficient * 1010.0 * speed**2 / 2


@pytest.mark.parametrize("faucet", ["faucet-rear-seal", "faucet-forward-seal"])
@pytest.mark.parametrize("disconnect", ["ball-lock", "pin-lock"])
def test_the_ends_of_a_line_lose_one_to_two_psi(faucet: str, disconnect: str) -> None:
    ends = (parts.disconnect(disconnect), parts.shank("shank-4in"), parts.faucet(faucet))
    assert 1.0 < sum(loss_pa(part) for part in ends) / PSI < 2.0  # common practice


# published: Brewers Association, Draught Beer Quality Manual, at 1 US gal/min; the first two as
# quoted elsewhere, 5/16 in barrier from 20 ft = 2 psi, the others from memory
HANDBOOK = [
    ("vinyl", 3 / 16, 3.00),
    ("vinyl", 1 / 4, 0.85),
    ("vinyl", 5 / 16, 0.40),
    ("vinyl", 3 / 8, 0.20),
    ("barrier", 1 / 4, 0.30),
    ("barrier", 5 / 16, 0.10),
    ("barrier", 3 / 8, 0.06),
]


@pytest.mark.parametrize(("material", "inches", "psi_per_foot"), HANDBOOK)
def test_the_handbook_restriction_is_as_published(
    material: str, inches: float, psi_per_foot: float
) -> None:
    row = parts.handbook_restriction(material, inches * INCH)
    assert row is not None
    assert row.pa_per_m == pytest.approx(psi_per_foot * PSI / 0.3048)


def test_no_handbook_restriction_for_other_lines() -> None:
    assert parts.handbook_restriction("barrier", 0.004) is None
    assert parts.handbook_restriction("stainless", 0.25 * INCH) is None
    assert parts.handbook_restriction("vinyl", 3 / 16 * INCH * 1.05) is None
    assert parts.handbook_restriction("vinyl", 3 / 16 * INCH * 1.01) is not None


def test_an_unknown_name_offers_the_nearest_and_all() -> None:
    with pytest.raises(UnknownName) as caught:
        parts.keg_kind("ball-lock-5-gal")
    assert 'did you mean "ball-lock-5gal"?' in str(caught.value)
    assert '"half-barrel"' in str(caught.value)
    for find in (parts.cylinder_size, parts.line_material, parts.disconnect, parts.shank):
        with pytest.raises(UnknownName, match="there are: "):
            find("?")
    with pytest.raises(UnknownName, match="no faucet is called"):
        parts.faucet("?")


def test_the_catalogue_is_read_only_when_asked_for() -> None:
    code = (
        "import sys, ullage.system.parts; print('pint' in sys.modules, 'pydantic' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False"]
