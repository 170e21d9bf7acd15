"""A beer line as one writes it."""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.plan.samples import FOOT, INCH
from ullage.errors import UllageError, UnitError, UnknownName
from ullage.plan import line_text
from ullage.plan.line_text import parse_line, write_line
from ullage.plan.what_if_tap import LineQuestion
from ullage.units import UnitSystem


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
def test_a_piece_is_read_with_its_length_bore_and_material(
    text: str, length_m: float | None, bore_m: float, material: str
) -> None:
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


PIECES = st.builds(
    LineQuestion,
    length_m=st.none() | st.floats(0.02, 40.0),
    bore_m=st.floats(1e-3, 0.02),
    material=st.sampled_from(["vinyl", "barrier", "stainless"]),
)


@given(st.lists(PIECES, min_size=1, max_size=4), st.sampled_from(["us", "metric"]))
def test_what_is_written_is_read_again(pieces: list[LineQuestion], units: UnitSystem) -> None:
    again = parse_line(write_line(pieces, units))
    assert [one.material for one in again] == [one.material for one in pieces]
    for one, other in zip(again, pieces, strict=True):
        assert one.bore_m == pytest.approx(other.bore_m, rel=1e-3)
        if other.length_m is None:
            assert one.length_m is None
        else:
            assert one.length_m == pytest.approx(other.length_m, rel=1e-3)


def test_a_metric_household_reads_metres() -> None:
    assert write_line(parse_line("3 m x 5 mm + 4 mm"), "metric") == "3 m x 5 mm + 4 mm"
