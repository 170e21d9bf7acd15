"""What is typed when brewing ahead."""

from __future__ import annotations

import pytest

from ullage.errors import UnitError
from ullage.plan.brewing_text import drunk_at, next_beers, weekdays


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


def test_how_quickly_a_tap_is_drunk_names_both_and_a_rate_that_can_be() -> None:
    # analytic: a US pint is 473.176 mL, a week 604,800 s
    ((tap, flow),) = drunk_at(["left = 7 pints/week"])
    assert tap == "left"
    assert flow * 604_800.0 == pytest.approx(7 * 473.176473e-6)
    for wrong in ("left", "=3 L/week", "left="):
        with pytest.raises(UnitError, match="left=7 pints/week"):
            drunk_at([wrong])
    for much in ("left=0 L/week", "left=2000 L/week"):
        with pytest.raises(UnitError, match="up to 1000 L/week"):
            drunk_at([much])
    with pytest.raises(UnitError, match="flow"):
        drunk_at(["left=often"])
