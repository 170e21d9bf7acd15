"""What the charts say."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import timedelta
from typing import get_args
from xml.etree import ElementTree as ET

import pytest

from tests.draw import samples
from ullage.draw.carbonation import MOST_STRIPS, carbonation_spec, drawn
from ullage.draw.charts import carbonation_chart, profile_chart
from ullage.draw.frame import SMALLEST_STEP_VOL, thinned
from ullage.plan.answers import Method
from ullage.plan.choice import level_at

WHEAT = samples.whole().carbonation[0]
POUR = samples.whole().pours[0]
SOON = samples.START + timedelta(days=3)


def words(svg: str) -> list[str]:
    return [one.text or "" for one in ET.fromstring(svg).iter("text")]


def dashes(svg: str) -> set[str]:
    return {one.get("stroke-dasharray", "") for one in ET.fromstring(svg).iter()} - {""}


def test_every_way_is_named_with_its_day() -> None:
    said = words(carbonation_chart(WHEAT, "us", SOON))
    assert [one.title for one in WHEAT.schedules] == [one for one in said if "psi" in one]
    assert {"ready Fri 4 Dec", "ready Sat 28 Nov", "ready Fri 27 Nov"} <= set(said)
    assert said.count("volumes of CO2") == 3
    assert {"now", "wanted", "days from Thu 26 Nov"} <= set(said)


def test_ways_differ_by_dash_and_shape_too() -> None:
    assert {"7,4", "11,3,2,3", "1.6,3.2"} <= dashes(carbonation_chart(WHEAT, "us"))


def test_a_way_that_needs_something_is_left_out_and_the_advised_one_never() -> None:
    hold, burst, shake = WHEAT.schedules
    needy = replace(WHEAT, schedules=(hold, burst, replace(shake, needs=("a stone",))))
    assert [one.method for one in drawn(needy)] == ["hold", "burst"]
    asked = replace(needy, advised="shake")
    assert [one.method for one in drawn(asked)] == ["hold", "burst", "shake"]
    many: tuple[Method, ...] = ("hold", "burst", "shake", "prime", "spund")
    full = replace(WHEAT, schedules=tuple(replace(hold, method=one) for one in many))
    assert len(drawn(replace(full, advised="spund"))) == MOST_STRIPS
    assert "spund" in [one.method for one in drawn(replace(full, advised="spund"))]


@pytest.mark.parametrize("method", get_args(Method))
def test_every_way_can_be_drawn(method: Method) -> None:
    hold = replace(WHEAT.schedules[0], method=method, title=method.capitalize())
    said = words(carbonation_chart(replace(WHEAT, schedules=(hold,)), "us"))
    assert method.capitalize() in said


def test_a_metric_household_reads_grams_per_litre() -> None:
    svg = carbonation_chart(WHEAT, "metric")
    assert "CO2, g/L" in words(svg)
    assert "Target 5.14 ± 0.20 CO2, g/L." in svg


def test_what_is_never_ready_says_so() -> None:
    said = words(carbonation_chart(samples.over_carbonated(), "us"))
    assert "not ready within 14 days" in said


def test_what_comes_too_late_says_so() -> None:
    late = tuple(replace(one, makes_date=False) for one in WHEAT.schedules)
    said = words(carbonation_chart(replace(WHEAT, schedules=late), "us"))
    assert "ready Fri 4 Dec, too late" in said


def test_now_is_drawn_only_within_the_time_shown() -> None:
    long_ago = samples.START - timedelta(days=30)
    assert "now" not in words(carbonation_chart(WHEAT, "us", long_ago))


def test_without_a_schedule_there_is_nothing_to_draw() -> None:
    with pytest.raises(ValueError, match="no schedule to draw for Wheat"):
        carbonation_chart(replace(WHEAT, schedules=()), "us")


def test_the_profile_names_its_parts_and_lines() -> None:
    said = words(profile_chart(POUR, "us"))
    assert {"dip tube", "disconnect", "line 3/16 in vinyl", "shank", "faucet"} <= set(said)
    assert {"pouring", "faucet shut", "saturation"} <= set(said)
    assert {"gauge pressure, psi", "along the way from the dip tube's foot, ft"} <= set(said)
    assert "can foam from 3.2 ft" in said


def test_a_metric_profile_reads_bar_and_metres() -> None:
    said = words(profile_chart(POUR, "metric"))
    assert "gauge pressure, bar" in said
    assert "can foam from 1.0 m" in said


def test_foam_from_the_first_inch_is_said_in_words() -> None:
    said = words(profile_chart(replace(POUR, breakout_m=0.005), "us"))
    assert "can foam from the start" in said


def test_a_calm_line_has_no_mark() -> None:
    svg = profile_chart(replace(POUR, breakout_m=None, breakout_part=None), "us")
    assert not [one for one in words(svg) if "foam" in one]
    assert "stays above saturation" in svg


def test_a_profile_needs_points() -> None:
    with pytest.raises(ValueError, match="no profile to draw for tap 1"):
        profile_chart(replace(POUR, profile=()), "us")


def test_names_are_escaped() -> None:
    wild = replace(WHEAT, beer='<b onload="x">&', keg="<keg>")
    assert ET.fromstring(carbonation_chart(wild, "us"))[0].text == (
        'Carbonating the <b onload="x">& in <keg>'
    )


def test_thinning_keeps_what_the_eye_sees() -> None:
    course = WHEAT.schedules[1].course
    kept = thinned(course)
    assert (kept[0], kept[-1]) == (course[0], course[-1])
    assert len(kept) < len(course) / 3
    drawn = replace(WHEAT.schedules[1], course=tuple(kept))
    strays = [abs(level_at(drawn, point.at) - point.reached_vol) for point in course]
    assert max(strays) <= SMALLEST_STEP_VOL


SPECS = (
    ("VConcatChart", carbonation_spec(WHEAT, "us", SOON)),
    ("VConcatChart", carbonation_spec(samples.over_carbonated(), "metric")),
)


@pytest.mark.parametrize(("kind", "spec"), SPECS)
def test_specifications_obey_the_schema(kind: str, spec: dict[str, object]) -> None:
    import altair  # noqa: PLC0415  (the published schema, as an oracle)

    getattr(altair, kind).from_dict(spec, validate=True)


def test_the_drawing_engine_is_loaded_only_to_draw() -> None:
    code = "import sys, ullage.draw.charts; sys.exit('vl_convert' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
