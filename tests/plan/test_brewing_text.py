"""What is typed when brewing ahead."""

from __future__ import annotations

import pytest

from ullage.errors import UnitError
from ullage.plan.brewing_question import WEEK_S
from ullage.plan.brewing_text import next_beers, question, weekdays


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("sat, sun", (5, 6)),
        ("Friday and Mondays", (0, 4)),
        ("any", tuple(range(7))),
        ("sun sun SUN", (6,)),
    ],
)
def test_weekdays_are_read_in_any_of_the_usual_ways(text: str, days: tuple[int, ...]) -> None:
    assert weekdays(text) == days


@pytest.mark.parametrize("text", ["", "sa", "tomorrow", "sat; 5", "weekend"])
def test_what_is_no_weekday_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match="sat, sun"):
        weekdays(text)


def test_what_a_tap_pours_next_names_both() -> None:
    assert next_beers(["left = Dry Stout", "right=A=B"]) == (
        ("left", "Dry Stout"),
        ("right", "A=B"),
    )
    for wrong in ("left", "=Stout", "left="):
        with pytest.raises(UnitError, match="left=Stout"):
            next_beers([wrong])


def test_the_whole_question() -> None:
    asked = question(6, "any", 2, 0.5, ["left=Stout"], quick=True)
    assert (asked.horizon_s, asked.most_a_day, asked.quick) == (6 * WEEK_S, 2, True)
    assert asked.beers == (("left", "Stout"),)
