"""The chart of a cylinder, and the gas ahead in words."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from tests.cellar.logs import day
from tests.plan.test_gas_ahead import only, with_contents
from ullage.cellar.other_events import CylinderWeighed
from ullage.draw import gas_ahead_words as words
from ullage.draw.gas_ahead_chart import describe, gas_ahead_chart
from ullage.draw.gas_ahead_lines import gas_ahead_lines
from ullage.draw.theme import PAPER_COLOURS
from ullage.plan.forecast import Forecast
from ullage.plan.gas_ahead import gas_ahead
from ullage.plan.gas_ahead_answer import CylinderGas, GasAhead, KegRunsDry, Refill, SizeCost


@pytest.fixture(scope="module")
def answer() -> GasAhead:
    log = with_contents(0.6, at_day=2, days=28)
    weighed = CylinderWeighed(at=day(20), cylinder="main", contents_kg=0.52)
    return gas_ahead([*log, weighed], day(28))


@pytest.fixture(scope="module")
def one(answer: GasAhead) -> CylinderGas:
    return only(answer)


def texts(svg: str) -> list[str]:
    return [one.text or "" for one in ET.fromstring(svg).iter("text")]


def test_it_says_what_it_shows_with_its_unit(one: CylinderGas) -> None:
    us, metric = (texts(gas_ahead_chart(one, day(28), units)) for units in ("us", "metric"))
    assert "CO2 in it, lb" in us
    assert "CO2 in it, kg" in metric
    for found in (us, metric):
        assert "now" in found
        assert "21 Nov" in found
        assert any(said.startswith("refill by ") for said in found)
        assert any(said.startswith("empty ") for said in found)


def test_facts_are_solid_and_what_is_expected_is_dashed(one: CylinderGas) -> None:
    svg = gas_ahead_chart(one, day(28), "us")
    dashes = [each.get("stroke-dasharray") for each in ET.fromstring(svg).iter()]
    # analytic: the forecast in short dashes, the day to refill by in long and short ones
    assert [dash for dash in dashes if dash] == ["5,3", "11,3,2,3"]
    assert "fill-opacity" in svg
    assert "style=" not in svg


def test_it_stands_alone_in_its_own_colours(one: CylinderGas) -> None:
    alone = gas_ahead_chart(one, day(28), "us", standalone=True)
    assert 'xmlns="http://www.w3.org/2000/svg"' in alone
    assert PAPER_COLOURS["paper"] in alone
    assert not re.search(r'class="', alone)


def test_it_is_described_in_words(one: CylinderGas) -> None:
    said = describe(one, day(28), "us")
    assert said.startswith("Now 1.")
    assert "Have cylinder main (10 lb) filled or swapped by" in said
    assert "weighed on" in said


def test_the_sentence_says_what_to_do_by_when(one: CylinderGas) -> None:
    said = words.lead(one, day(28), "us")
    assert re.fullmatch(
        r"Have cylinder main \(10 lb\) filled or swapped by \w{3} \d+ \w{3}( \d{4})?; it is empty "
        r"between .+ and .+\.",
        said,
    )


def test_the_lines_say_it_all(answer: GasAhead) -> None:
    lines = gas_ahead_lines(answer, "us")
    told = " ".join(" ".join(lines).split())
    assert lines[0].startswith("Have cylinder main")
    for said in ("gas left for", "If it ran dry today:", "What went", "a leak has a chance of"):
        assert said in told
    assert max(map(len, lines)) <= 92
    assert gas_ahead_lines(gas_ahead([], day(0)), "us")[0].startswith("No cylinder is written down")


def test_kegs_that_run_dry_in_words() -> None:
    slow = KegRunsDry("K1", 4.7e-3, 9 * 86_400.0, False, 1e4, 2.5, 2.3, True)
    assert words.dry(slow, "us") == (
        "Keg K1 pours another 1.24 gal over 9 days, then no more; by then it is down from 2.5 vol "
        "to 2.3 vol, below what was wanted."
    )
    kicked = KegRunsDry("K1", 1e-3, 86_400.0, True, 5e4, 2.5, 2.495, False)
    assert words.dry(kicked, "us") == (
        "Keg K1 is kicked before its head is spent; its carbonation hardly changes."
    )


def test_a_keg_without_pressure_pours_nothing_more() -> None:
    spent = KegRunsDry("K1", 1e-6, 60.0, False, 0.0, 0.8, 0.8, True)
    assert words.dry(spent, "us") == (
        "Keg K1 pours nothing more: no pressure is left on its beer; its carbonation hardly "
        "changes."
    )


def test_costs_in_words() -> None:
    row = SizeCost(
        "5 lb", True, 2.27, 2e7, 1.5, 30.0, 38.0, None, None, (), 8.0, "one hand", "may fit", "in x"
    )
    assert words.cost(row) == "30 to 38"
    assert words.lasts(row) == "7.6 months"
    assert words.not_told([row]) == ""
    bare = replace(row, cost_low=None, missing=("refill 10 lb", "requalification", "refill 5 lb"))
    assert words.cost(bare) == "no price"
    assert words.not_told([bare]) == "Not told: refill 5 lb, refill 10 lb, the cylinder's test."


def test_what_cannot_be_told_in_words(one: CylinderGas) -> None:
    unknown = replace(one, refill=Refill(None, False, None, None, ""))
    unknown = replace(unknown, empty=Forecast(None, None, None, "too little is written down"))
    assert words.lead(unknown, day(28), "us").endswith(
        "when that is gone cannot be told: too little is written down."
    )
    gone = replace(unknown, logged_kg=-0.1)
    assert words.lead(gone, day(28), "us") == "Cylinder main: too little is written down."
