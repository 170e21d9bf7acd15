"""The single-line diagram says what is owned, how it is joined and how each number is known."""

from __future__ import annotations

import gzip
from dataclasses import replace
from itertools import combinations, product
from typing import get_args
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.draw import samples
from tests.draw.diagram_samples import NOON, Wish, live_of, system_of
from ullage.draw.live import Estimated, KegLive, Live, PartRef, Read, live_of_answer
from ullage.draw.pen import Box, Point
from ullage.draw.single_line import Diagram, Variant, diagram, single_line
from ullage.plan.answers import WholeAnswer
from ullage.system.demo import demo_system
from ullage.units import UnitSystem

FINGER = 44.0
"""WCAG 2.2, 2.5.5: a target is at least 44 by 44 CSS pixels."""
TOUCH = 0.3
"""Lines may end on a symbol's edge, rounding included."""
VARIANTS: tuple[Variant, ...] = get_args(Variant)
WISHES = [
    *(Wish(taps=taps) for taps in range(1, 13)),
    *(Wish(taps, 2, True) for taps in range(1, 13)),
    *(
        Wish(taps, 3, inside, spare=taps % 5)
        for taps, inside in product(range(1, 13), (False, True))
    ),
    Wish(0, 1, spare=12),
    Wish(0, 1, untapped=12),
    Wish(12, 12),
    Wish(12, 3, two_cylinders=True, untapped=3, spare=7),
    Wish(12, 1, taps_on_first=12),
    Wish(7, 2, taps_on_first=3, cylinder_inside=True),
]


def words(svg: str) -> list[str]:
    return [one.text or "" for one in ET.fromstring(svg).iter("text")]


def page_of(ref: PartRef) -> str:
    return f"/{ref.kind}/{ref.name}"


def drawn(wish: Wish, variant: Variant) -> Diagram:
    system = system_of(wish)
    return diagram(system, live_of(system), "us", variant=variant, link=page_of)


def test_it_shows_every_part_with_its_number(demo_answer: WholeAnswer) -> None:
    demo = demo_system(samples.START.date())
    said = words(single_line(demo, live_of_answer(demo, demo_answer), "us"))
    assert {"left", "middle", "right", "Backyard Pale", "Cellar Stout", "Harvest Wheat"} <= {*said}
    assert {"11 psi", "6.3 lb", "3.6 gal", "2.2 gal", "≈ 5 gal", "66 °F"} <= {*said}
    assert {tag: said.count(tag) for tag in ("PI", "WI", "LI", "TI")} == {
        "PI": 1,
        "WI": 1,
        "LI": 3,
        "TI": 5,
    }


def test_a_metric_household_reads_metric_units(demo_answer: WholeAnswer) -> None:
    demo = demo_system(samples.START.date())
    said = words(single_line(demo, live_of_answer(demo, demo_answer), "metric"))
    assert {"0.76 bar", "2.86 kg", "13.6 L", "18.9 °C"} <= {*said}


@pytest.mark.parametrize("variant", VARIANTS)
def test_an_estimate_is_marked_and_a_reading_bears_its_day(variant: Variant) -> None:
    system = system_of(Wish(4))
    said = words(single_line(system, live_of(system), "us", variant=variant))
    assert "≈ 2.41 ±0.12 vol" in said
    assert {"2.45 vol", "read 12 Nov"} <= {*said}


@pytest.mark.parametrize("variant", VARIANTS)
@pytest.mark.parametrize("wish", WISHES, ids=str)
def test_nothing_covers_anything(wish: Wish, variant: Variant) -> None:
    sheet = drawn(wish, variant)
    clashes = [(one, other) for one, other in combinations(sheet.boxes, 2) if one.overlaps(other)]
    assert clashes == []
    crossed = [
        (line, box) for line in sheet.lines for box in sheet.boxes if _runs_through(line, box)
    ]
    assert crossed == []


@settings(max_examples=40, deadline=None)
@given(
    wish=st.builds(
        Wish,
        taps=st.integers(1, 12),
        regulators=st.integers(1, 6),
        cylinder_inside=st.booleans(),
        spare=st.integers(0, 12),
        untapped=st.integers(0, 6),
        long_names=st.booleans(),
        two_cylinders=st.booleans(),
    ),
    first=st.integers(1, 12),
    variant=st.sampled_from(VARIANTS),
)
def test_nothing_covers_anything_in_any_system(wish: Wish, first: int, variant: Variant) -> None:
    test_nothing_covers_anything(replace(wish, taps_on_first=min(first, wish.taps)), variant)


@pytest.mark.parametrize("variant", VARIANTS)
@pytest.mark.parametrize("units", get_args(UnitSystem))
def test_the_longest_numbers_have_room(variant: Variant, units: UnitSystem) -> None:
    system = system_of(Wish(5, 2, taps_on_first=3, two_cylinders=True))
    keg = KegLive(
        left_m3=Estimated(0.0587, 0.0550, 0.0612),
        level_vol=Estimated(5.27, 4.7, 5.9),
        temperature_k=Estimated(250.4, 240.1, 262.2),
        head_gauge_pa=Estimated(4.1e5, 2.9e5, 5.2e5),
    )
    live = Live(
        kegs={one.name: keg for one in system.kegs},
        cylinders_kg={one.name: Estimated(22.68, 20.1, 24.9) for one in system.cylinders},
        pours_s={one.name: Estimated(118.4, 87.0, 119.9) for one in system.taps},
        places_k={one.name: Read(250.4, NOON) for one in system.places},
    )
    sheet = diagram(system, live, units, variant=variant, link=page_of)
    assert [pair for pair in combinations(sheet.boxes, 2) if pair[0].overlaps(pair[1])] == []
    assert all(box.right <= sheet.width for box in sheet.boxes)
    said = [box.what for box in sheet.boxes]
    assert not [one for one in said if one.startswith("≈") and "…" in one]


@pytest.mark.parametrize("variant", VARIANTS)
@pytest.mark.parametrize("wish", WISHES, ids=str)
def test_all_is_on_the_sheet_and_within_reach(wish: Wish, variant: Variant) -> None:
    sheet, system = drawn(wish, variant), system_of(wish)
    for box in (*sheet.boxes, *sheet.hits.values()):
        assert min(box.left, box.top) >= 0.0
        assert box.right <= sheet.width
        assert box.bottom <= sheet.height
    assert {ref.name for ref in sheet.hits if ref.kind == "keg"} == {k.name for k in system.kegs}
    assert {ref.name for ref in sheet.hits if ref.kind == "tap"} == {t.name for t in system.taps}
    assert sum(ref.kind in ("cylinder", "regulator") for ref in sheet.hits) == len(
        system.cylinders
    ) + len(system.regulators)
    for one, other in combinations(sheet.hits.values(), 2):
        assert not one.overlaps(other), (one, other)
    if variant == "narrow":
        for box in sheet.hits.values():
            assert min(box.right - box.left, box.bottom - box.top) >= FINGER


@pytest.mark.parametrize("taps", range(1, 13))
def test_a_phone_needs_no_scrolling_sideways(taps: int) -> None:
    assert drawn(Wish(taps, 3), "narrow").width == 390.0


@pytest.mark.parametrize("variant", VARIANTS)
def test_gas_reaches_every_keg_of_its_regulator(variant: Variant) -> None:
    """The lines that hang together are one net for each regulator, and no net holds two."""
    sheet, system = drawn(Wish(7, 3, long_names=False), variant), system_of(Wish(7, 3))
    nets = _nets(sheet)
    vessels = [box for box in sheet.boxes if box.what == "keg"]
    assert len(vessels) == len(system.kegs)
    reached = [
        {at for at, box in enumerate(vessels) if any(_ends_on(line, box) for line in net)}
        for net in nets
    ]
    shared = sorted(len(one) for one in reached if len(one) > 1)
    # analytic: seven kegs dealt to three regulators in turn are 3, 2 and 2 kegs
    assert shared == [2, 2, 3]


def test_a_system_of_nothing_still_draws() -> None:
    empty = demo_system().model_copy(
        update=dict.fromkeys(("cylinders", "regulators", "kegs", "taps"), ())
    )
    for variant in VARIANTS:
        svg = single_line(empty, Live(), "us", variant=variant, link=page_of)
        assert "Nothing is described yet." in words(svg)


@pytest.mark.parametrize("variant", VARIANTS)
def test_each_part_is_a_link_with_its_name(variant: Variant) -> None:
    system = system_of(Wish(4))
    svg = single_line(system, live_of(system), "us", variant=variant, link=page_of)
    root = ET.fromstring(svg)
    assert root.get("role") == "group"
    links = [*root.iter("a")]
    names = {one.get("href"): one.findtext("title") for one in links}
    assert names["/keg/K1"] == (
        "Keg K1, Amber Ale, 2.41 volumes estimated, give or take 0.12, wanted 2.5 vol, "
        "4.8 gallons left estimated, give or take 0.1, 38 °F, 11.3 psi in its head estimated, "
        "give or take 0.5, gas from regulator, in Garage fridge"
    )
    assert len(links) == len(names) == 2 + 1 + 1 + 4 + 4


def test_a_part_without_a_page_is_no_link() -> None:
    system = system_of(Wish(2))
    svg = single_line(system, Live(), "us", link=lambda ref: None)
    assert not [*ET.fromstring(svg).iter("a")]


def test_twelve_taps_stay_small() -> None:
    system = system_of(Wish(12, 3, spare=3))
    for variant in VARIANTS:
        raw = single_line(system, live_of(system), "us", variant=variant, link=page_of).encode()
        assert len(raw) <= 40_000
        assert len(gzip.compress(raw)) <= 8_000


def test_a_strict_page_may_carry_the_links() -> None:
    system = system_of(Wish(3))
    root = ET.fromstring(single_line(system, live_of(system), "us", link=page_of))
    for one in root.iter():
        assert "style" not in one.attrib
        assert not [key for key in one.attrib if key.startswith("on")]
        assert one.tag == "a" or "href" not in one.attrib


def _runs_through(line: tuple[Point, Point], box: Box) -> bool:
    (x1, y1), (x2, y2) = line
    return (
        min(x1, x2) < box.right - TOUCH
        and max(x1, x2) > box.left + TOUCH
        and min(y1, y2) < box.bottom - TOUCH
        and max(y1, y2) > box.top + TOUCH
    ) and box.what != "keg"


def _nets(sheet: Diagram) -> list[list[tuple[Point, Point]]]:
    """Join the lines that share an end, or of which one ends on the other."""
    nets: list[list[tuple[Point, Point]]] = []
    for line in sheet.lines:
        met = [net for net in nets if any(_joined(line, other) for other in net)]
        nets = [net for net in nets if net not in met]
        nets.append([line, *(one for net in met for one in net)])
    return nets


def _joined(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    return any(_on(end, other) for end in one) or any(_on(end, one) for end in other)


def _on(point: Point, line: tuple[Point, Point]) -> bool:
    (x1, y1), (x2, y2) = line
    return min(x1, x2) <= point[0] <= max(x1, x2) and min(y1, y2) <= point[1] <= max(y1, y2)


def _ends_on(line: tuple[Point, Point], box: Box) -> bool:
    """Whether a line comes to the check valve on a keg's gas post."""
    return any(box.left - 5 <= x <= box.left + 20 and box.top - 20 <= y <= box.top for x, y in line)
