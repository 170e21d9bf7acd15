"""The short answers as lines: the sentence to act on first, no longer than a terminal is wide."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.plan.samples import DAY, FOOT, INCH, POUND, PSI, fahrenheit
from ullage.draw.lines import WIDTH, carbonate_lines, gas_lines, pour_lines
from ullage.plan.answers import Caution
from ullage.plan.what_if import CarbonateAnswer, CarbonateQuestion, carbonate
from ullage.plan.what_if_tap import (
    GasQuestion,
    LineQuestion,
    PourQuestion,
    gas_what_if,
    pour_what_if,
)

LINE = (LineQuestion(10 * FOOT, 3 / 16 * INCH),)


def asked(**changes: float) -> CarbonateAnswer:
    return carbonate(CarbonateQuestion(fahrenheit(38), **changes))  # type: ignore[arg-type]


def test_a_pressure_to_set_comes_first_with_its_band() -> None:
    lines = carbonate_lines(asked(target_vol=2.5), "us")
    # pin, within the chart's 11.2 psi (published: Miller 1994)
    assert lines[0].startswith("Set 11.2 psi (10 to 12.7 psi) at 38 °F: the beer comes to 2.50 ")
    assert "bar" not in lines[0]


def test_metric_numbers_for_a_metric_question() -> None:
    lines = carbonate_lines(asked(target_vol=2.5), "metric")
    assert lines[0].startswith("Set 0.78 bar (")
    assert "3.3 °C" in lines[0]


def test_volumes_at_a_pressure_are_told_not_set() -> None:
    assert carbonate_lines(asked(gauge_pa=10 * PSI), "us")[0].startswith("At 10 psi and 38 °F ")


def test_what_a_time_reaches() -> None:
    lines = carbonate_lines(asked(gauge_pa=10 * PSI, for_s=7 * DAY), "us")
    assert "in 7 days, at rest." in " ".join(lines)
    short = " ".join(carbonate_lines(asked(gauge_pa=10 * PSI, for_s=5_400.0), "us"))
    assert "in 1.5 h, at rest." in short


def test_nothing_is_to_be_set_below_zero_or_above_a_rating() -> None:
    cold = carbonate(CarbonateQuestion(fahrenheit(34), target_vol=1.0))
    warm = carbonate(CarbonateQuestion(fahrenheit(77), target_vol=4.5))
    assert carbonate_lines(cold, "us")[0].startswith("No gauge pressure keeps so little at 34 °F")
    beyond = " ".join(" ".join(carbonate_lines(warm, "us")).split())
    assert "do not set it" in beyond
    assert not beyond.startswith("Set")
    assert "Danger: " in beyond


def test_cautions_stand_last_with_their_gravity() -> None:
    answer = asked(target_vol=2.5)
    told = replace(
        answer,
        cautions=tuple(Caution(level, f"{level}!") for level in ("note", "warning", "danger")),
    )
    assert carbonate_lines(told, "us")[-3:] == [
        "Note: note!",
        "Caution: warning!",
        "Danger: danger!",
    ]


def test_a_pour_with_its_lengths() -> None:
    lines = pour_lines(pour_what_if(PourQuestion(10 * PSI, LINE)), "us")
    assert lines[0].startswith("10 ft of line pours a US pint in 1")
    text = " ".join(lines)
    assert "A pint takes " in text
    assert "For the wanted pour: " in text
    assert "Handbook rule: " in text
    assert "inf" not in text


def test_a_keg_that_cannot_be_emptied() -> None:
    answer = pour_what_if(PourQuestion(3 * PSI, LINE, rise_m=1.98, carbonation_vol=1.7))
    text = " ".join(pour_lines(answer, "us"))
    assert "from a nearly empty one the beer no longer comes" in text
    assert "inf" not in text


def test_no_advice_where_there_is_none() -> None:
    line = (LineQuestion(0.5, 3.2e-3),)
    text = " ".join(pour_lines(pour_what_if(PourQuestion(2 * PSI, line)), "us"))
    assert "Handbook rule" not in text
    assert "For the wanted pour" not in text


def test_a_cylinder_says_what_is_left_and_for_how_many_kegs() -> None:
    lines = gas_lines(gas_what_if(GasQuestion("10 lb", mass_kg=6 * POUND)), "us")
    assert lines[0].startswith("6 lb of CO2 left of 10 lb: good for 8 to 13 kegs.")
    assert "  Carbonate the beer" in "\n".join(lines)
    assert " oz" in "\n".join(lines)
    assert " g" in "\n".join(gas_lines(gas_what_if(GasQuestion("2 kg")), "metric"))


@pytest.mark.parametrize("units", ["us", "metric"])
def test_no_line_is_wider_than_a_terminal(units: str) -> None:
    for lines in (
        carbonate_lines(asked(target_vol=2.5, for_s=9 * DAY), units),  # type: ignore[arg-type]
        pour_lines(pour_what_if(PourQuestion(10 * PSI, LINE)), units),  # type: ignore[arg-type]
        gas_lines(gas_what_if(GasQuestion("50 lb")), units),  # type: ignore[arg-type]
    ):
        assert all(0 < len(line) <= WIDTH for line in lines)
