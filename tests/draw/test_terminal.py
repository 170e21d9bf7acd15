"""The whole answer in a terminal: what to do first, each caution once, no number missing."""

from __future__ import annotations

import io
from datetime import date
from typing import Literal

import pytest
from rich.console import Console

from tests.plan.samples import INCH, POUND, PSI, START, US_GALLON, fahrenheit, little_system
from ullage.draw.terminal import print_plan
from ullage.plan.answers import WholeAnswer
from ullage.plan.cautions import BEYOND_RATING, FERMENTER, GENERAL, PRIMING, SPUNDING
from ullage.plan.whole import whole_answer
from ullage.system.demo import demo_system
from ullage.system.model import System


def printed(
    system: System, units: Literal["us", "metric"] = "us", width: int = 100
) -> tuple[str, WholeAnswer]:
    """What is printed, all blanks made one, and the answer it is printed from."""
    answer = whole_answer(system, start=START, now=START)
    out = io.StringIO()
    print_plan(answer, units, Console(file=out, width=width, color_system=None, highlight=False))
    return " ".join(out.getvalue().split()), answer


@pytest.fixture(scope="module")
def demo() -> str:
    return printed(demo_system(date(2026, 6, 11)))[0]


def test_each_beer_tap_and_cylinder_has_its_part(demo: str) -> None:
    for title in (
        "Backyard Pale in keg K1", "Cellar Stout in keg K2", "Harvest Wheat in keg K3",
        "Tap left: ", "Tap middle: ", "Tap right: ", "Cylinder main, 10 lb", "What does not fit",
        "Before you start",
    ):  # fmt: skip
        assert demo.count(title) == 1


def test_each_general_caution_is_printed_once(demo: str) -> None:
    for caution in GENERAL:
        assert demo.count(caution.text) <= 1
    yeast = (PRIMING, SPUNDING, FERMENTER)  # beside what the demo's plan does not advise
    dangers = [one for one in GENERAL if one.level == "danger" and one not in yeast]
    assert all(caution.text in demo for caution in dangers)


def test_the_cautions_of_the_advised_way_come_before_its_steps() -> None:
    text, answer = printed(little_system())
    advised = answer.carbonation[0].schedules[0]
    assert answer.carbonation[0].advised == "hold"
    for caution in advised.cautions:
        assert text.index(caution.text) < text.index(advised.steps[0].do)


def test_the_advised_way_is_told_in_full_and_the_others_in_a_line(demo: str) -> None:
    wheat = demo[demo.index("Harvest Wheat in keg K3") : demo.index("Tap left: ")]
    assert wheat.count("Volumes each day") == 1
    assert wheat.index("(advised)") < wheat.index("Other ways:")
    assert "Needs a keg with a carbonation stone. 3 visits." in wheat
    assert "Misses the date." in wheat


def test_a_row_of_charges_is_told_once() -> None:
    text = printed(little_system(keg={"regulator": None}, beer={"ready_by": date(2026, 6, 25)}))[0]
    assert "Top up by hand" in text
    assert text.count("Gas on until the head stands") <= 3
    assert "Again every 8 h, " in text


def test_a_caution_about_one_part_is_printed_for_each_such_part() -> None:
    warm = demo_system(date(2026, 6, 11))
    taps = tuple(tap.model_copy(update={"tower_temperature": fahrenheit(65)}) for tap in warm.taps)
    text = printed(warm.model_copy(update={"taps": taps}))[0]
    assert text.count("the first glass foams") == 3


def test_the_handbook_is_explained_once(demo: str) -> None:
    assert demo.count("Handbook rule: ") == 2
    assert demo.count("holds at 1 US gallon a minute only") == 1


def test_a_beer_at_its_level_is_ready_now_and_not_purged() -> None:
    text = printed(little_system(keg={"carbonation": 2.45}))[0]
    assert "Hold at serving pressure (advised): ready now. Within its tolerance already." in text
    assert "Purge the headspace, set" not in text
    assert "Set 11.2 psi to keep 2.50 volumes at 38 °F in fridge." in text


def test_a_beer_that_holds_too_much_is_vented_and_shaken() -> None:
    text = printed(little_system(keg={"carbonation": 3.5, "volume": 3 * US_GALLON}))[0]
    assert "Vent and shake, twice (advised): ready" in text
    assert "Vent at rest, once a day for 28 days not ready. 28 visits." in text
    assert text.count("It holds too much") == 1


def test_a_beer_beyond_its_ratings_is_not_to_be_set() -> None:
    text = printed(little_system(cold=77, beer={"volumes": 4.5}, regulator={"pressure": None}))[0]
    assert "4.50 volumes at 77 °F in fridge would need" in text
    assert "do not set it" in text
    assert BEYOND_RATING.text in text
    assert "Set 6" not in text
    assert "Tap left" not in text


def test_two_beers_beyond_their_ratings_are_both_told() -> None:
    system = little_system(cold=77, beer={"volumes": 4.5}, regulator={"pressure": None})
    other = system.kegs[0].model_copy(update={"name": "K2"})
    text = printed(system.model_copy(update={"kegs": (*system.kegs, other)}))[0]
    assert text.count(BEYOND_RATING.text) == 2


def test_a_beer_below_no_pressure_is_not_to_be_set() -> None:
    text = printed(little_system(cold=34, beer={"volumes": 1.0}))[0]
    assert "No gauge pressure keeps 1.00 volumes at 34 °F in fridge" in text
    assert "Set -" not in text


def test_a_cylinder_without_kegs_lasts_for_no_number_of_them() -> None:
    text = printed(little_system(keg={"regulator": None}))[0]
    assert "10 lb of CO2 is left; no planned keg draws on it." in text
    assert "A keg takes" not in text


def test_metric_households_read_bar_and_degrees_celsius() -> None:
    text = printed(little_system(), "metric")[0]
    assert "Set 0.78 bar to keep 2.50 volumes at 3.3 °C" in text


SYSTEMS = {
    "plain": little_system(),
    "warm and flat": little_system(keg={"temperature": fahrenheit(68)}),
    "date": little_system(beer={"ready_by": date(2026, 6, 13)}),
    "missed": little_system(beer={"ready_by": date(2026, 6, 1)}),
    "kicked": little_system(keg={"volume": 0.0}),
    "no beer": little_system(keg={"beer": None}),
    "high": little_system(tap={"rise": 5.0}),
    "a metre and a half up": little_system(tap={"rise": 72 * INCH}, beer={"volumes": 1.6}),
    "empty cylinder": little_system(cylinder={"contents": 0.0}),
    "overfull": little_system(cylinder={"contents": 11 * POUND}),
    "drinking": little_system(tap={"drinking": 1e-8}),
    "low": little_system(regulator={"pressure": 0.5 * PSI}),
    "mountain": little_system(system={"altitude": 4_000.0}),
}


@pytest.mark.parametrize("name", SYSTEMS)
@pytest.mark.parametrize("width", [40, 80, 160])
def test_whatever_the_system_words_and_numbers_are_printed(name: str, width: int) -> None:
    text = printed(SYSTEMS[name], width=width)[0]
    for wrong in (" inf ", " nan ", "None", "Band(", "{", "  "):
        assert wrong not in text
    assert "little, from" in text


def test_a_date_is_made_or_missed_in_words() -> None:
    soon = printed(SYSTEMS["date"])[0]
    assert "Shake for" in soon
    assert "(advised)" in soon
    missed = printed(SYSTEMS["missed"])[0]
    assert "The day it is wanted by has passed." in missed


def test_names_with_brackets_are_printed_as_they_are() -> None:
    for name in ("[bold]Pale", "Pale [/red]", "[link=x]Pale[/link]"):
        text = printed(little_system(beer={"name": name}, keg={"beer": name}))[0]
        assert f"{name} in keg K1" in text
        assert f"Tap left: {name} from keg K1" in text
