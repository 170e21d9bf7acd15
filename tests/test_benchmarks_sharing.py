"""The bench of the sharing runs and asks what it says."""

from __future__ import annotations

from benchmarks import sharing


def test_twelve_kegs_are_shared_by_four_regulators() -> None:
    assert len(sharing.SYSTEM.kegs) == len(sharing.SYSTEM.taps) == 12
    assert len(sharing.SYSTEM.regulators) == 4
    # law: a wish never helps
    alike, one, three = (
        sharing.one(question) for question in (sharing.ALIKE, sharing.ONE_WISH, sharing.WISHED)
    )
    assert alike <= one <= three <= 12


def test_the_row_says_seconds() -> None:
    (row,) = sharing.sharing_rows(1)
    assert row.unit == "s"
    assert row.bar == 0.5
    assert row.measured > 0.0
