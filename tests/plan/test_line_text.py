"""A beer line as one writes it."""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.plan.samples import FOOT, INCH
from ullage.errors import UllageError, UnitError, UnknownName
from ullage.plan import line_text
from ullage.plan.line_text import parse_line


def test_docstrings_are_true() -> None:
    assert doctest.testmod(line_text).failed == 0


@pytest.mark.parametrize(
    ("text", "length_m", "bore_m", "material"),
    [
        ("10 ft x 3/16 in", 10 * FOOT, 3 / 16 * INCH, "vinyl"),
        ("10 ft × 3/16 in", 10 * FOOT, 3 / 16 * INCH, "vinyl"),
        ("10ft×3/16in", 10 * FOOT, 3 / 16 * INCH, "vinyl"),
        ("2 m x 5 mm barrier", 2.0, 5e-3, "barrier"),
        ("2 m x 5 mm Barrier", 2.0, 5e-3, "barrier"),
        ("5' 6\" x 1/4 in vinyl", 5.5 * FOOT, 0.25 * INCH, "vinyl"),
        ("3/16 in", None, 3 / 16 * INCH, "vinyl"),
        ("3/16 inch", None, 3 / 16 * INCH, "vinyl"),
        ("3/16 inches stainless", None, 3 / 16 * INCH, "stainless"),
    ],
)
def test_a_piece(text: str, length_m: float | None, bore_m: float, material: str) -> None:
    (piece,) = parse_line(text)
    assert piece.length_m == (None if length_m is None else pytest.approx(length_m))
    assert piece.bore_m == pytest.approx(bore_m)
    assert piece.material == material


def test_pieces_from_the_keg_on() -> None:
    pieces = parse_line("6 ft x 3/16 in + 2 m x 5 mm barrier + 1/4 in")
    assert [piece.material for piece in pieces] == ["vinyl", "barrier", "vinyl"]
    assert [piece.length_m is None for piece in pieces] == [False, False, True]


@pytest.mark.parametrize(
    ("text", "error", "words"),
    [
        ("", UnitError, "length"),
        ("10 ft", UnitError, "bore of"),
        ("10 ft x", UnitError, "length|10 ft x"),
        ("10 x 3/16 in", UnitError, "no unit"),
        ("10 ft x 3/16", UnitError, "no unit"),
        ("10 ft x 0 in", UnitError, "not that of a beer line"),
        ("10 ft x -3/16 in", UnitError, "not that of a beer line"),
        ("10 ft x 3 in", UnitError, "not that of a beer line"),
        ("0 ft x 3/16 in", UnitError, "not a beer line's"),
        ("500 ft x 3/16 in", UnitError, "not a beer line's"),
        ("10 psi x 3/16 in", UnitError, "pressure"),
        ("10 ft x 3/16 in straw", UnknownName, "straw"),
        ("+".join(["1 ft x 3/16 in"] * 21), UnitError, "at most 20"),
        ("nan ft x 3/16 in", UnitError, "length"),
    ],
)
def test_what_is_no_line_is_refused(text: str, error: type[UllageError], words: str) -> None:
    with pytest.raises(error, match=words):
        parse_line(text)


@given(st.text(max_size=60) | st.text(alphabet="0123456789 x×+ftinm/'\".-vl", max_size=40))
def test_any_text_is_a_line_or_refused(text: str) -> None:
    try:
        pieces = parse_line(text)
    except UllageError:
        return
    assert all(0.0 < piece.bore_m <= 0.025 for piece in pieces)
