"""Codes: the outline is the matrix, the level as strong as the room allows, never illegible."""

from __future__ import annotations

import re

import numpy as np
import pytest
import segno
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st

from ullage.draw.qr import LEAST_MODULE_MM, LEVELS, QUIET, code, least_side, outline
from ullage.errors import OutOfRange

ADDRESS = "http://192.168.1.20:8420/record/keg/K1"
PIECE = re.compile(r"M(\d+),(\d+)|([hv])(-?\d+)|z")


def filled(path: str, side: int) -> np.ndarray:
    """The cells that a path fills by the even-odd rule: crossings of upright edges, from left."""
    turns = np.zeros((side, side + 1), dtype=int)
    x = y = start_x = start_y = 0
    for found in PIECE.finditer(path):
        at_x, at_y, way, run = found.groups()
        if at_x is not None:
            x, y = start_x, start_y = int(at_x), int(at_y)
        elif way == "h":
            x += int(run)
        else:
            end = start_y if way is None else y + int(run)  # z: back to where it began
            assert way is not None or x == start_x or y == start_y
            if x < side + 1:
                turns[min(y, end) : max(y, end), x] += 1
            y = end
            if way is None:
                x = start_x
    return np.cumsum(turns, axis=1)[:, :side] % 2


def read(path: str, modules: int) -> str:
    """What a reader makes of the code, drawn at 4 pixels a module with its quiet zone."""
    cells = np.pad(filled(path, modules), QUIET)
    picture = np.kron(255 * (1 - cells), np.ones((4, 4))).astype(np.uint8)
    (found,) = zxingcpp.read_barcodes(picture)
    return str(found.text)


@settings(deadline=None)
@given(
    st.integers(1, 9).flatmap(
        lambda n: st.lists(
            st.lists(st.integers(0, 1), min_size=n, max_size=n), min_size=n, max_size=n
        )
    )
)
def test_the_outline_fills_exactly_the_dark_cells(matrix: list[list[int]]) -> None:
    assert np.array_equal(filled(outline(matrix), len(matrix)), np.array(matrix))  # analytic


@settings(deadline=None)
@given(st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=300))
def test_every_address_is_read_again(said: str) -> None:
    found = code(said, 100.0)
    assert read(found.path, found.modules) == said  # independent: another library's reader


def test_the_strongest_level_that_is_legible_is_taken() -> None:
    # independent: 38 bytes need version 5 (37 modules) at H, 4 (33) at Q, 3 (29) at M and L
    sides = {37: 45 * 0.4, 33: 41 * 0.4, 29: 37 * 0.4}  # analytic: with 2 x 4 quiet ones
    for modules, side in sides.items():
        found = code(ADDRESS, side + 1e-9)
        assert found.modules == modules
        assert found.module_mm == pytest.approx(LEAST_MODULE_MM)
    assert [code(ADDRESS, side + 1e-9).level for side in sides.values()] == ["H", "Q", "M"]
    assert code(ADDRESS, 30.0).level == "H"


def test_what_would_be_illegible_is_refused_with_what_it_needs() -> None:
    assert least_side(ADDRESS) == pytest.approx(37 * 0.4)  # analytic: 29 + 2 x 4 modules
    with pytest.raises(OutOfRange, match="38 characters needs a code of 15 mm"):
        code(ADDRESS, 14.0)
    with pytest.raises(OutOfRange, match="longer than any code"):
        least_side("x" * 3000)  # published: ISO/IEC 18004, 2,953 bytes at most


@settings(deadline=None)
@given(st.integers(1, 400), st.floats(15.0, 80.0))
def test_no_module_is_ever_smaller_than_legible(length: int, side: float) -> None:
    said = "x" * length
    try:
        found = code(said, side)
    except OutOfRange:
        assert least_side(said) > side
        return
    assert found.module_mm >= LEAST_MODULE_MM
    assert found.module_mm * (found.modules + 2 * QUIET) == pytest.approx(side)
    stronger = LEVELS[: LEVELS.index(found.level)]
    sizes = [len(segno.make_qr(said, error=one, boost_error=False).matrix) for one in stronger]
    assert all(side / (size + 2 * QUIET) < LEAST_MODULE_MM for size in sizes)
