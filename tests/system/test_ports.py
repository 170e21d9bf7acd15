"""Ends and small parts of the catalogue: each names what there is, and mates with one other."""

from __future__ import annotations

import pytest

from ullage.errors import UnknownName
from ullage.system import parts, ports

INCH, MILLIMETRE = 0.0254, 1e-3


def test_each_end_mates_with_one_other_and_back() -> None:
    for end, other in ports.ends().items():
        assert end != other
        assert ports.opposite(other) == end
        assert ports.joint_of(end) is ports.joint_of(other)


def test_every_part_has_ends_seals_a_source_and_a_rating() -> None:
    for adapter in ports.adapters().values():
        assert set(adapter.ends) <= set(ports.ends())
        assert adapter.source
        assert adapter.max_gauge_pa > 300_000.0
        assert adapter.rank >= 1
    for joint in ports.joints():
        assert joint.source
        assert joint.seal is None or joint.seal in ports.seals()
    for fixture in ports.fixtures():
        assert {fixture.inlet, fixture.outlet} - {None} <= set(ports.ends())


def test_every_faucet_shank_and_kind_of_keg_has_its_ends() -> None:
    assert all(ports.fixture("faucet", name) for name in parts.faucets())
    assert all(ports.fixture("shank", name) for name in parts.shanks())
    for kind in parts.keg_kinds().values():
        is_coupler = ports.fixture("coupler", kind.connection) is not None
        assert is_coupler or f"{kind.connection} gas post" in ports.ends()


def test_every_cylinder_of_the_catalogue_has_a_known_valve() -> None:
    for size in parts.cylinder_sizes().values():
        assert ports.valve_end(size.valve) is not None


@pytest.mark.parametrize(
    ("written", "end"),
    [
        ("CGA 320", "CGA 320 valve"),
        ("cga-320", "CGA 320 valve"),
        ("W21.8x1/14", "W21.8x1/14 valve"),
        ("W21.8 × 1/14", "W21.8x1/14 valve"),
        ("DIN 477-1 No. 6", "W21.8x1/14 valve"),
        ("BS 341 No. 8", "BS 341 No. 8 valve"),
        ("a valve", None),
    ],
)
def test_a_valve_by_its_names(written: str, end: str | None) -> None:
    assert ports.valve_end(written) == end


@pytest.mark.parametrize(
    ("end", "metres"),
    [
        # published, from memory: the standards' own sizes
        ("CGA 320 valve", 0.825 * INCH),
        ("W21.8x1/14 valve", 21.8 * MILLIMETRE),
        ("1/4 in flare", 7 / 16 * INCH),
        ("3/8 in flare", 5 / 8 * INCH),
        ("G 5/8 male", 22.911 * MILLIMETRE),
        ("G 3/4 male", 26.441 * MILLIMETRE),
        ("1/4 in NPT male", 0.540 * INCH),
    ],
)
def test_sizes_of_threads(end: str, metres: float) -> None:
    assert ports.joint_of(end).diameter_m == pytest.approx(metres, rel=1e-6)


def test_threads_that_start_on_each_other_and_do_not_hold() -> None:
    # analytic: 21.8 mm - 20.96 mm = 0.84 mm; 22.91 mm - 22.23 mm = 0.69 mm; both under 1 mm
    assert ports.look_alike("CGA 320 valve", "W21.8x1/14 nut")
    assert ports.look_alike("7/8-14 beer thread", "G 5/8 female")
    assert ports.look_alike("1/4 in NPT male", "Rp 1/4 female")
    # two outer threads never meet; the right pair mates; 16.7 mm is far from 11.1 mm
    assert not ports.look_alike("CGA 320 valve", "W21.8x1/14 valve")
    assert not ports.look_alike("CGA 320 valve", "CGA 320 nut")
    assert not ports.look_alike("1/4 in flare", "G 3/8 female")
    assert not ports.look_alike("5/16 in barb", "1/4 in hose")


@pytest.mark.parametrize(
    ("material", "bore_m", "ends"),
    [
        ("vinyl", 3 / 16 * INCH, ("3/16 in hose",)),
        ("vinyl", 8 * MILLIMETRE, ("5/16 in hose",)),
        ("barrier", 4 * MILLIMETRE, ("8 mm tube",)),
        ("stainless", 6 * MILLIMETRE, ("8 mm tube",)),
        ("stainless", 5 * MILLIMETRE, ()),
        ("vinyl", 7 * MILLIMETRE, ()),
        # common practice, no source: 3/16 in line is sold as 5 mm where inches are not used
        ("vinyl", 0.005, ("3/16 in hose",)),
    ],
)
def test_what_the_end_of_a_line_is(material: str, bore_m: float, ends: tuple[str, ...]) -> None:
    assert ports.line_ends(material, bore_m) == ends


def test_an_unknown_end_is_refused_with_the_nearest() -> None:
    with pytest.raises(UnknownName, match='did you mean "1/4 in flare"'):
        ports.opposite("1/4in flare")
