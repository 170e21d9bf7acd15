"""The picture of a sharing: what it says, that nothing lies on anything, its words."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.sharers import bar_of, with_keg, with_tap
from ullage.draw import share_later_words as later
from ullage.draw import share_words as words
from ullage.draw.metric import width_of
from ullage.draw.share_chart import describe, share_chart
from ullage.draw.share_labels import Named, placed
from ullage.draw.share_lines import share_lines
from ullage.plan.share import share
from ullage.plan.share_answer import Seen, ShareAnswer, ShareQuestion

START = datetime(2026, 6, 1, 18, tzinfo=UTC)
SIZE = 11.0


def shared(levels: tuple[float, ...], regulators: int) -> ShareAnswer:
    return share(bar_of(levels, regulators), ShareQuestion(), START)


def texts(svg: str) -> list[ET.Element]:
    root = ET.fromstring(svg)
    return [one for one in root.iter() if one.tag.endswith("text")]


def box(one: ET.Element) -> tuple[float, float, float, float]:
    """Where a text lies at most."""
    said = one.text or ""
    size = float(one.get("font-size", "11"))
    numbers = "Mono" in one.get("font-family", "")
    long, x, y = width_of(said, size, numbers), float(one.get("x", "0")), float(one.get("y", "0"))
    left = x - long * {"start": 0.0, "middle": 0.5, "end": 1.0}[one.get("text-anchor", "start")]
    return left, y - 0.76 * size, left + long, y + 0.22 * size


def verticals(svg: str) -> list[tuple[float, float, float]]:
    """The regulators' hairlines: x, from y, to y."""
    root = ET.fromstring(svg)
    paths = [
        one.get("d", "") for one in root.iter() if one.get("stroke") == "#0a5a9c" and one.get("d")
    ]
    found = re.findall(r"M([\d.]+),([\d.]+)V([\d.]+)", " ".join(paths))
    return [(float(x), float(top), float(foot)) for x, top, foot in found]


@pytest.mark.parametrize("regulators", [1, 2, 3, 4, 6])
def test_no_word_lies_on_another_nor_on_a_hairline(regulators: int) -> None:
    levels = (1.9, 2.1, 2.3, 2.5, 2.7, 3.0)
    svg = share_chart(shared(levels, regulators), "us", standalone=True)
    boxes = [(one.text, box(one)) for one in texts(svg)]
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        apart = a[2] <= b[0] + 0.5 or b[2] <= a[0] + 0.5 or a[3] <= b[1] or b[3] <= a[1]
        assert apart, (one, other)
    lines = verticals(svg)
    assert len({x for x, _, _ in lines}) == regulators
    for x, top, foot in lines:
        for said, (left, high, right, low) in boxes:
            clear = not left + 0.5 < x < right - 0.5 or foot <= high or top >= low
            assert clear, said


def test_bars_rise_with_what_the_beers_want() -> None:
    said = [one.text or "" for one in texts(share_chart(shared((3.0, 2.1, 2.5), 2), "us"))]
    names = [one for one in said if one.startswith("K")]
    assert names == ["K2 beer K2", "K3 beer K3", "K1 beer K1"]
    assert "pressure on the gauge, psi" in said


def test_it_is_told_in_words_too() -> None:
    answer = shared((2.1, 2.55, 3.0), 1)
    told = describe(answer, "us")
    assert told.startswith("Set regulator R1 to")
    assert "beer K1 in K1 is kept from" in told
    assert "too much" in told
    assert "too little" in told


@given(st.lists(st.floats(0.0, 354.0), min_size=1, max_size=4))
@settings(max_examples=80, deadline=None, derandomize=True)
def test_names_of_few_regulators_always_find_a_place(at: list[float]) -> None:
    lines = sorted({round(one, 1) for one in at})
    found = placed([(f"regulator {n}: 11.8 psi", x) for n, x in enumerate(lines)], 354.0, SIZE)
    assert [one.x for one in found] == lines
    for one in found:
        assert one.left >= -1e-6
        assert one.right <= 354.0 + 1e-6
    for one, other in itertools.combinations(found, 2):
        if one.level == other.level:
            assert one.right <= other.left or other.right <= one.left


def test_a_name_leans_away_from_the_edge() -> None:
    (right,) = placed([("regulator: 11.8 psi", 350.0)], 354.0, SIZE)
    assert right == Named(right.name, 350.0, 353.0, "end", right.left, 353.0, 0)


def test_what_leaves_is_said_with_its_days() -> None:
    answer = shared((2.1, 2.9), 1)
    told = {one.keg: later.drift_words(one, "us") for one in answer.drifts}
    assert re.search(r"beer K1 gains 0.1 vol in \d+ (h|days), then it is outside", told["K1"])
    assert "within its tolerance" in told["K2"] or "loses 0.1 vol" in told["K2"]


def test_one_more_and_one_fewer_are_a_sentence_each() -> None:
    assert words.trade_words(shared((2.1, 2.5, 3.0), 2)) == [
        "One fewer puts one beer more outside its tolerance.",
        "One regulator more keeps one beer more within tolerance.",
    ]
    (only,) = words.trade_words(shared((2.1,), 1))
    assert only == "Each beer has a regulator of its own: more would gain nothing."


def test_the_lead_names_what_is_outside() -> None:
    told = words.lead_text(shared((2.1, 2.5, 3.0), 3), "us")
    assert told.endswith("each of the three beers keeps its level.")
    some = words.lead_text(shared((2.1, 2.11, 3.0), 1), "us")
    assert "beer K3 comes to" in some
    assert some.endswith("the other two keep theirs.")
    metric = words.lead_text(shared((2.1, 3.0), 1), "metric")
    assert " bar" in metric
    assert "g/L" in metric


def test_a_share_that_is_read_in_another_year_says_its_years() -> None:
    system = bar_of((2.5, 2.5), 1)
    for name, level in (("K1", 2.5), ("K2", 0.9)):
        system = with_keg(system, name, carbonation=level)
    answer = share(system, ShareQuestion(), START)
    now = " ".join(" ".join(share_lines(answer, "us", START)).split())
    before = " ".join(" ".join(share_lines(answer, "us", START - timedelta(days=200))).split())
    assert "Mon 1 Jun, " in now
    assert "2026" not in now
    assert "Mon 1 Jun 2026, " in before
    assert all(
        each == " 2026" for each in re.findall(r"within its tolerance on \w+ \d+ \w+(.{5})", before)
    )


def test_the_terminal_says_all_of_it() -> None:
    system = bar_of((2.5, 2.5), 1)
    for name, level in (("K1", 2.5), ("K2", 0.9)):
        system = with_keg(system, name, carbonation=level)
    system = with_tap(system, "tap K1", drinking=2e-8)  # on paper: 3.7 US pints a day
    lines = share_lines(share(system, ShareQuestion(), START), "us", START)
    told = " ".join(" ".join(lines).split())
    for part in (
        "Set regulator R1 to",
        "regulator set kegs",
        "kept from",
        "Lines, a US pint:",
        "From what each holds now, drunk as usual:",
        "On a second regulator for",
        "It wants a second regulator",
        "so it stops pouring before the end",
        "check valve",
    ):
        assert part in told
    assert max(len(line) for line in lines) <= 110


def test_a_keg_that_held_too_much_before_is_not_called_within() -> None:
    one = Seen(
        keg="K2", beer="Stout", before_vol=5.0, highest_vol=5.0, lowest_gauge_pressure_pa=8e4,
        after_vol=4.9, untouched_vol=4.99, limit_vol=5.0, keeps=True, pours=True, left_on_vol=5.1,
    )  # fmt: skip
    assert "5 vol before, at most 5 vol, no more than before;" in later.seen_words(one, "us")
    fine = replace(one, before_vol=2.1, highest_vol=2.15, untouched_vol=2.1, limit_vol=2.3)
    assert "2.1 vol before, at most 2.15 vol, within;" in later.seen_words(fine, "us")
