"""The timeline of a keg and the marks of the table, as drawings in a strict page."""

from __future__ import annotations

import re
from datetime import timedelta
from xml.etree import ElementTree as ET

import pytest

from tests.cellar.logs import day, filled_log
from tests.plan.test_keg_timeline import eventful
from ullage.cellar.keg_events import GasOff, Measured, Vented
from ullage.draw.keg_marks import fill_mark, level_mark
from ullage.draw.keg_timeline import Expected, describe, keg_timeline_chart
from ullage.draw.theme import PAPER_COLOURS
from ullage.plan.answers import Band
from ullage.plan.forecast import Forecast, unknown
from ullage.plan.keg_timeline import KegTimeline, keg_timeline

NEWS = Expected(Forecast(day(12), day(11), day(13)), Forecast(day(19), day(17), day(20)))


@pytest.fixture(scope="module")
def line() -> KegTimeline:
    return keg_timeline(eventful(), "K1", day(10))


def texts(svg: str) -> list[str]:
    return [one.text or "" for one in ET.fromstring(svg).iter("text")]


def paths(svg: str, mark: str) -> list[ET.Element]:
    return [one for one in ET.fromstring(svg).iter() if one.get(mark)]


def test_it_says_what_each_strip_shows_with_its_unit(line: KegTimeline) -> None:
    us, metric = texts(keg_timeline_chart(line, "us")), texts(keg_timeline_chart(line, "metric"))
    for said in (
        "CO2 in the beer, volumes",
        "Pressure in the keg, psi",
        "Temperature of the beer, °F",
        "Beer left, gal",
        "now",
    ):
        assert said in us
    for said in ("CO2 in the beer, g/L", "Pressure in the keg, bar", "Beer left, L"):
        assert said in metric


def test_facts_are_solid_and_what_is_to_come_is_dashed(line: KegTimeline) -> None:
    svg = keg_timeline_chart(line, "us")
    assert len(paths(svg, "stroke-dasharray")) == 4
    assert "dashed: as planned" not in texts(svg)
    step = Vented(at=day(12), keg="K1", planned=True)
    planned = keg_timeline([*eventful(), step], "K1", day(10))
    assert "dashed: as planned" in texts(keg_timeline_chart(planned, "us"))


def test_readings_bear_their_dates(line: KegTimeline) -> None:
    svg = keg_timeline_chart(line, "us")
    assert texts(svg).count("7 Nov") >= 2  # read on 1 + 6 November, twice
    assert "Read on 9 Nov: " in svg


def test_days_expected_stand_at_rings(line: KegTimeline) -> None:
    said = texts(keg_timeline_chart(line, "us", NEWS))
    assert "ready Fri 13 Nov" in said
    assert "kicked Fri 20 Nov" in said
    assert not [
        one
        for one in texts(keg_timeline_chart(line, "us", Expected(unknown("no"), unknown("no"))))
        if one.startswith(("ready", "kicked"))
    ]


def test_it_is_told_in_words(line: KegTimeline) -> None:
    said = describe(line, "us", NEWS)
    assert "Now CO2 in the beer " in said
    assert "Wanted 2.4 vol." in said
    assert "Expected ready Fri 13 Nov. Expected kicked Fri 20 Nov." in said


def test_days_of_another_year_say_it_and_have_room_for_it() -> None:
    read = Measured(at=day(58), keg="K1", level_vol=3.7)  # 29 December
    late = keg_timeline([*eventful(), read], "K1", day(65))  # 5 January 2027
    svg = keg_timeline_chart(late, "us", NEWS)
    words = texts(svg)
    # the axis: once, below its first day
    assert words.count("2026") == 1
    assert "Read on 29 Dec 2026: " in svg
    assert "Expected ready Fri 13 Nov 2026." in describe(late, "us", NEWS)
    assert "2027" not in " ".join(words)
    high = float(ET.fromstring(svg).attrib["viewBox"].split()[3])
    placed = {one.text: float(one.get("y", "0")) for one in ET.fromstring(svg).iter("text")}
    assert placed["2026"] < placed["now"] < high
    assert "2026" not in texts(keg_timeline_chart(keg_timeline(eventful(), "K1", day(10)), "us"))


def test_a_page_may_carry_it(line: KegTimeline) -> None:
    svg = keg_timeline_chart(line, "us", NEWS, prefix="t9")
    assert "style=" not in svg
    assert not any(colour in svg for colour in PAPER_COLOURS.values())
    ids = re.findall(r' id="([^"]+)"', svg)
    assert ids
    assert all(one.startswith("t9-") for one in ids)
    assert len(svg) < 20_000
    assert svg == keg_timeline_chart(line, "us", NEWS, prefix="t9")
    alone = keg_timeline_chart(line, "us", standalone=True)
    assert PAPER_COLOURS["ink"] in alone


def test_nothing_lies_outside_the_picture(line: KegTimeline) -> None:
    svg = keg_timeline_chart(line, "us", NEWS)
    _, _, wide, high = map(float, ET.fromstring(svg).attrib["viewBox"].split())
    for path in re.findall(r' d="([^"]+)"', svg):
        for x, y in re.findall(r"[ML](-?[\d.]+),(-?[\d.]+)", path):
            assert -1.5 <= float(x) <= wide  # the hatching's own tile begins a little outside
            assert -1.5 <= float(y) <= high


def test_a_keg_filled_this_minute_is_drawn() -> None:
    line = keg_timeline([*filled_log(), GasOff(at=day(0), keg="K1")], "K1", day(0))
    assert "CO2 in the beer, volumes" in texts(keg_timeline_chart(line, "us"))
    four = keg_timeline(eventful(), "K1", day(10), ahead=timedelta(days=2))
    assert "now" in texts(keg_timeline_chart(four, "metric"))


def test_the_mark_of_the_level_is_hatched_where_it_is_wanted() -> None:
    band = Band(2.0, 1.9, 2.2)
    svg = level_mark(band, (2.3, 2.7), "2 vol; wanted 2.3 to 2.7 vol", "m1")
    assert 'fill="url(#m1-h)"' in svg
    assert "2 vol; wanted 2.3 to 2.7 vol" in svg
    assert "url(" not in level_mark(band, None, "2 vol", "m1")
    wide = level_mark(Band(5.0, 4.5, 5.5), None, "5 vol", "m1")
    assert max(float(x) for x in re.findall(r"[MH](-?[\d.]+)", wide)) <= 160.0


@pytest.mark.parametrize(("share", "edge"), [(0.0, 1.0), (0.5, 80.0), (1.0, 159.0), (1.2, 159.0)])
def test_the_mark_of_the_beer_left_is_filled_to_its_share(share: float, edge: float) -> None:
    svg = fill_mark(share, "half", "m2")
    assert f"M{edge:.1f},3V13" in svg  # analytic: 1 + 158 × share


def test_the_band_does_not_hide_what_is_wanted(line: KegTimeline) -> None:
    drawn = list(ET.fromstring(keg_timeline_chart(line, "us")).iter("path"))
    bands = [i for i, one in enumerate(drawn) if one.get("fill-opacity")]
    hatched = [i for i, one in enumerate(drawn) if (one.get("fill") or "").startswith("url(")]
    # of the level's strip, which is the first: its band comes before the hatching
    assert bands
    assert bands[0] < hatched[0]
