"""Sheets of labels: every label on its paper, none on another, wherever one starts."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.draw.label_sheet import MOST_LABELS, SHEETS, LabelSheet, label_sheet, pages, spots
from ullage.errors import OutOfRange, UnknownName

sheets = st.sampled_from(list(SHEETS.values()))
ROUNDING = 1e-6
MARK = 6.0


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=lambda one: one.name)
def test_labels_lie_on_the_paper_and_not_on_each_other(sheet: LabelSheet) -> None:
    wide, high = sheet.paper_mm
    boxes = [sheet.box(number) for number in range(1, sheet.per_sheet + 1)]
    for box in boxes:
        assert box.left >= -ROUNDING
        assert box.top >= -ROUNDING
        assert box.right <= wide + ROUNDING
        assert box.bottom <= high + ROUNDING
        assert box.right - box.left == pytest.approx(sheet.width_mm)
        assert box.bottom - box.top == pytest.approx(sheet.height_mm)
    for one, other in combinations(boxes, 2):
        across = min(one.right, other.right) - max(one.left, other.left)
        down = min(one.bottom, other.bottom) - max(one.top, other.top)
        assert min(across, down) <= ROUNDING


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=lambda one: one.name)
def test_what_is_printed_keeps_clear_of_label_and_paper(sheet: LabelSheet) -> None:
    wide, high = sheet.paper_mm
    for number in range(1, sheet.per_sheet + 1):
        box, inside = sheet.box(number), sheet.inside(number)
        assert inside.left - box.left >= 2.0 - ROUNDING
        assert box.bottom - inside.bottom >= 2.0 - ROUNDING
        assert min(inside.left, inside.top) >= 5.0 - ROUNDING
        assert max(inside.right - wide, inside.bottom - high) <= -5.0 + ROUNDING
        assert inside.bottom - inside.top > 20.0


def test_margins_of_sheets_that_are_sold() -> None:
    # common practice, no source: 70 x 37 mm fills A4 from edge to edge, 0.5 mm above and below;
    # 2 5/8 x 1 in begins 1/2 in from the top and 3/16 in from the side of Letter, each column
    # 2 3/4 in from the one before
    full, small = SHEETS["a4-70x37"], SHEETS["letter-2.625x1"]
    assert (full.left_mm, full.top_mm) == pytest.approx((0.0, 0.5))
    assert (small.left_mm, small.top_mm) == pytest.approx((25.4 * 3 / 16, 12.7))
    assert small.box(2).left - small.box(1).left == pytest.approx(25.4 * 2.75)
    assert (full.per_sheet, small.per_sheet) == (24, 30)


def test_titles_are_their_geometry() -> None:
    assert SHEETS["a4-70x37"].title == "A4, 3 × 8 labels of 70 × 37 mm"
    assert SHEETS["letter-2.625x1"].title == "Letter, 3 × 10 labels of 2⅝ × 1 in"
    assert SHEETS["a4-plain"].title == "A4, 2 × 5 of 90 × 50 mm to cut out"


@given(sheets, st.integers(0, 120), st.data())
def test_labels_follow_each_other_from_the_start(
    sheet: LabelSheet, count: int, data: st.DataObject
) -> None:
    start = data.draw(st.integers(1, sheet.per_sheet))
    found = spots(sheet, count, start)
    assert len(set(found)) == len(found) == count
    order = [(one.page - 1) * sheet.per_sheet + one.number for one in found]
    assert order == list(range(start, start + count))  # analytic
    assert all(1 <= one.number <= sheet.per_sheet for one in found)
    assert pages(sheet, count, start) == max((one.page for one in found), default=0)


@given(sheets, st.integers(-5, 40))
def test_a_start_that_the_sheet_has_not_is_refused(sheet: LabelSheet, start: int) -> None:
    if 1 <= start <= sheet.per_sheet:
        assert spots(sheet, 1, start)[0].number == start
        return
    with pytest.raises(OutOfRange, match=f"1 to {sheet.per_sheet}"):
        spots(sheet, 1, start)
    with pytest.raises(OutOfRange, match=f"1 to {sheet.per_sheet}"):
        sheet.box(start)


def test_too_many_and_unknown_are_refused() -> None:
    with pytest.raises(OutOfRange, match="1,000 are the most"):
        spots(SHEETS["a4-70x37"], MOST_LABELS + 1)
    with pytest.raises(UnknownName, match="a4-70x37"):
        label_sheet("a5")


def test_cut_marks_stand_in_the_margins_only() -> None:
    for sheet in SHEETS.values():
        marks = sheet.cut_marks()
        assert bool(marks) == sheet.cut
        if not marks:
            continue
        wide, high = sheet.paper_mm
        ends = [one.replace("v", ",").replace("h", ",").split(",") for one in marks.split("M")[1:]]
        assert len(ends) == 2 * (sheet.columns + 1) + 2 * (sheet.rows + 1)
        for piece, (x, y, _) in zip(marks.split("M")[1:], ends, strict=True):
            at_x, at_y = float(x), float(y)
            if "v" in piece:
                clear = at_y + MARK < sheet.top_mm or at_y > high - sheet.top_mm
                assert clear
                assert 0.0 < at_y < high - MARK
            else:
                clear = at_x + MARK < sheet.left_mm or at_x > wide - sheet.left_mm
                assert clear
                assert 0.0 < at_x < wide - MARK
