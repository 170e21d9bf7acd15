"""The picture of a brewing plan, and its words: rows, bars, dry spans, parties."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from xml.etree import ElementTree as ET

import pytest

from tests.plan.brew_logs import MONDAY, bar, log
from ullage.cellar.keg_events import Kicked
from ullage.cellar.other_events import Gathering
from ullage.draw import theme
from ullage.draw.brew_chart import NARROW, WIDE, brew_chart, describe
from ullage.draw.brew_lines import brewing_lines, dryness, lead
from ullage.plan.brewing import brewing
from ullage.plan.brewing_answer import BrewingAnswer
from ullage.plan.brewing_question import WEEK_S, BrewingQuestion

DAY = timedelta(days=1)


@pytest.fixture(scope="module")
def answer() -> BrewingAnswer:
    """A plan with a dry tap and a party."""
    events = [
        *log(),
        Kicked(at=MONDAY + 0.1 * DAY, keg="K2"),
        Gathering(
            at=MONDAY + 20 * DAY,
            ends=MONDAY + 27 * DAY,
            about="Feast week",
            factor=2.0,
            planned=True,
        ),
    ]
    return brewing(events, MONDAY + 0.2 * DAY, bar(), BrewingQuestion(sureness=0.5))


def parts_of(svg: str, tag: str) -> list[ET.Element]:
    return [one for one in ET.fromstring(svg).iter() if one.tag.rpartition("}")[2] == tag]


def words_of(svg: str) -> list[str]:
    return [one.text or "" for one in parts_of(svg, "text")]


@pytest.mark.parametrize("narrow", [False, True])
def test_every_row_has_its_name_and_every_bar_a_hover(answer: BrewingAnswer, narrow: bool) -> None:
    svg = brew_chart(answer, narrow=narrow)
    words = words_of(svg)
    for name in ("Fermenter F1", "Keg K1", "Keg K2", "Keg K3", "Tap left", "Tap right"):
        assert name in words
    assert "now" in words
    hovers = [one.text or "" for one in parts_of(svg, "title")]
    assert len(hovers) == len(answer.bars) + 1  # and the picture's own
    assert any(one.startswith("Pale ferments, ") for one in hovers)
    assert "dry" in words
    assert "Feast week" in words
    assert any(one.startswith("Dashed: planned.") for one in words)


def test_a_dry_span_is_told_by_word_and_hue_and_plans_are_dashed(answer: BrewingAnswer) -> None:
    svg = brew_chart(answer, standalone=True)
    danger = theme.PAPER_COLOURS["danger"]
    assert any(one.get("stroke") == danger for one in parts_of(svg, "path"))
    assert any(one.text == "dry" and one.get("fill") == danger for one in parts_of(svg, "text"))
    dashed = sum(1 for one in ET.fromstring(svg).iter() if one.get("stroke-dasharray"))
    assert dashed >= 1
    assert "-h)" in svg  # the hatching of the party


@pytest.mark.parametrize(("narrow", "layout"), [(False, WIDE), (True, NARROW)])
def test_nothing_is_drawn_outside(answer: BrewingAnswer, narrow: bool, layout) -> None:  # type: ignore[no-untyped-def]
    svg = brew_chart(answer, narrow=narrow, standalone=True)
    for one in parts_of(svg, "text"):
        assert 0.0 <= float(one.get("x", "0")) <= layout.whole
    assert ET.fromstring(svg).get("viewBox", "").split()[2] == f"{layout.whole:g}"


def test_bars_are_as_long_as_their_time(answer: BrewingAnswer) -> None:
    svg = brew_chart(answer, standalone=True)
    one = next(each for each in answer.bars if each.doing == "ferments")
    share = (one.ends - one.begins) / (answer.until - answer.at)
    shape = next(
        each
        for each in parts_of(svg, "path")
        if any((kid.text or "").startswith(f"{one.beer} ferments") for kid in each)
    )
    left, right = (
        shape.get("d", "").split("H")[0].split(",")[0][1:],
        shape.get("d", "").split("H")[1],
    )
    width = float(right.split("V")[0]) - float(left)
    # analytic: the axis is 720 pixels for twelve weeks
    assert width == pytest.approx(share * WIDE.width, abs=0.3)


def test_a_long_plan_is_drawn_for_its_first_weeks() -> None:
    long = brewing(log(), MONDAY, bar(), BrewingQuestion(sureness=0.5, horizon_s=52 * WEEK_S))
    svg = brew_chart(long)
    assert "2027" not in words_of(svg)
    # what comes after is told in words, with its year
    assert "2027" in describe(long)
    # analytic: sixteen Mondays from 8 June to 21 September; the first is too near to "now" for its
    # date, the last too near to the edge
    dates = [word for word in words_of(svg) if word[:1].isdigit()]
    assert (dates[0], dates[-1], len(dates)) == ("15 Jun", "14 Sep", 14)


def test_the_words_say_what_the_picture_shows(answer: BrewingAnswer) -> None:
    said = describe(answer)
    assert f"{answer.brews[0].beer} is brewed into fermenter F1 on" in said
    assert "right has nothing to pour from Mon 1 Jun" in said
    assert "Feast week from Sun 21 Jun to Sun 28 Jun." in said
    lines = "\n".join(brewing_lines(answer, "metric"))
    assert lines.startswith("Brew 19 L of ")
    assert "Dry: tap right has no Stout from Mon 1 Jun" in lines
    assert "Danger: A fermenter gives off" in lines


def test_sentences_for_every_kind_of_answer(answer: BrewingAnswer) -> None:
    calm = brewing(log(), MONDAY, bar(), BrewingQuestion(sureness=0.5, horizon_s=2 * WEEK_S))
    assert lead(calm, "metric") == "Nothing has to be brewed until Mon 15 Jun."
    assert dryness(calm) == "No tap runs dry, counted on the usual drinking."
    helpless = brewing(
        [*log(), Kicked(at=MONDAY, keg="K1")],
        MONDAY,
        bar(),
        BrewingQuestion(sureness=0.9, horizon_s=2 * WEEK_S),
    )
    assert lead(helpless, "metric").startswith("No brew makes a difference before")
    assert "quicker only 10 % of the time" in dryness(helpless)
    bare = brewing([], MONDAY, None)
    assert lead(bare, "us") == "There is no tap to brew for yet."
    assert dryness(bare) == ""
    assert "No brew can prevent this: tap right has no Stout" in dryness(answer)


@pytest.mark.parametrize("narrow", [False, True])
def test_days_of_the_next_year_say_it(narrow: bool) -> None:
    late = brewing(log(), MONDAY + 26 * 7 * DAY, bar(), BrewingQuestion(sureness=0.5))
    svg = brew_chart(late, narrow=narrow)
    words = words_of(svg)
    # analytic: from 30 November twelve weeks go to 22 February
    assert words.count("2027") == 1
    assert "2027" in next(one.text or "" for one in parts_of(svg, "title"))
    year = next(one for one in parts_of(svg, "text") if one.text == "2027")
    heights = [float(one.get("y", "0")) for one in parts_of(svg, "text")]
    # below it nothing but the legend, and all inside the picture
    assert float(year.get("y", "0")) < float(ET.fromstring(svg).get("viewBox", "").split()[3])
    assert max(heights) < float(ET.fromstring(svg).get("viewBox", "").split()[3])
    said = "\n".join(brewing_lines(late, "metric"))
    for each in re.findall(r"\d (?:Jan|Feb)\b.{0,5}", said):
        assert re.match(r"\d (?:Jan|Feb)\s2027", each), each
    assert re.search(r"(?:Jan|Feb)\s2027", said)


@pytest.mark.parametrize("narrow", [False, True])
def test_a_dry_span_too_short_for_its_word_is_crossed(answer: BrewingAnswer, narrow: bool) -> None:
    dry = next(one for one in answer.bars if one.doing == "dry")
    hours = replace(dry, begins=answer.at, ends=answer.at + DAY)
    svg = brew_chart(replace(answer, bars=(hours,)), narrow=narrow, standalone=True)
    assert "dry" not in words_of(svg)
    crosses = [one for one in parts_of(svg, "path") if "m0,-" in (one.get("d") or "")]
    assert [one.get("stroke") for one in crosses] == [theme.PAPER_COLOURS["danger"]]
