"""How a line pours without a system file: what no tap can be, ratings, and the unknown piece."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.plan.samples import INCH, PSI
from ullage.errors import OutOfRange
from ullage.plan.what_if_tap import LineQuestion, PourQuestion, pour_what_if

THREE_SIXTEENTHS = 3 / 16 * INCH


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"rise_m": 20.0}, "rise: 20 meter is out of bounds"),
        ({"abv_percent": 22.0}, "abv: .*out of bounds"),
        ({"pint_s": 1_200.0}, "pint in: .*out of bounds"),
        ({"altitude_m": 20e3}, "altitude"),
        ({"line": (LineQuestion(3.0, 0.5e-3),)}, "bore: .*out of bounds"),
        ({"line": (LineQuestion(1e-3, 5e-3),)}, "length: .*out of bounds"),
        ({"tower_k": 400.0}, "tower temperature: .*out of bounds"),
        ({"temperature_k": 400.0}, "temperature"),
        ({"line": ()}, "line: "),
        ({"line": (LineQuestion(None, 5e-3),)}, "give the line's length, or the time"),
        ({"line": (LineQuestion(None, 5e-3),) * 2, "pint_s": 9.0}, "only one piece of line"),
        ({"line": (LineQuestion(None, 9.5e-3),), "pint_s": 60.0}, "that pour would take"),
    ],
)
def test_what_no_tap_can_be_is_refused_with_its_bounds(
    changes: dict[str, object], sentence: str
) -> None:
    question = PourQuestion(10 * PSI, (LineQuestion(3.0, THREE_SIXTEENTHS),))
    with pytest.raises(OutOfRange, match=sentence):
        pour_what_if(replace(question, **changes))  # type: ignore[arg-type]


def test_a_pressure_above_what_the_line_stands_is_a_danger() -> None:
    # common practice, no source: vinyl beer line stands about 50 psi
    high, low = (
        pour_what_if(PourQuestion(psi * PSI, (LineQuestion(3.0, THREE_SIXTEENTHS),)))
        for psi in (55, 45)
    )
    assert high.cautions[0].level == "danger"
    assert all(caution.level != "danger" for caution in low.cautions)


def test_the_unknown_piece_is_the_one_that_is_found() -> None:
    known = LineQuestion(1.0, 6.35e-3, "barrier")
    answer = pour_what_if(
        PourQuestion(12 * PSI, (LineQuestion(None, THREE_SIXTEENTHS), known), pint_s=10.0)
    )
    assert answer.pint_s.value == pytest.approx(10.0, rel=1e-6)
    assert answer.length_m > 1.0


def test_a_wanted_time_advises_a_length_and_leaves_the_line() -> None:
    question = PourQuestion(12 * PSI, (LineQuestion(3.0, THREE_SIXTEENTHS),), wanted_s=14.0)
    answer = pour_what_if(question)
    assert answer.length_m == pytest.approx(3.0)
    assert answer.wanted_pint_s == 14.0
    assert answer.advised is not None
    # analytic: cut to the advised length the line pours in the wanted time
    cut = replace(question, line=(LineQuestion(answer.advised.length_m, THREE_SIXTEENTHS),))
    assert pour_what_if(cut).pint_s.value == pytest.approx(14.0, rel=1e-6)


def test_fittings_and_the_beer_left_are_counted() -> None:
    plain = PourQuestion(12 * PSI, (LineQuestion(3.0, THREE_SIXTEENTHS),))
    usual = pour_what_if(plain)
    assert pour_what_if(replace(plain, shank=None)).pint_s.value < usual.pint_s.value
    assert "shank" not in {p.part for p in pour_what_if(replace(plain, shank=None)).profile}
    picnic = pour_what_if(replace(plain, faucet="faucet-picnic"))
    assert picnic.pint_s.value != usual.pint_s.value
    # analytic: an emptier keg has less beer standing above the tube's foot
    low = pour_what_if(replace(plain, beer_m3=1e-3))
    assert low.pint_s.value > usual.pint_s.value
    assert low.empty_pint_s == pytest.approx(usual.empty_pint_s)
