"""The bench of samples runs and says what it should; no times are held to anything here."""

from __future__ import annotations

from benchmarks.samples import sample_rows


def test_the_samples_are_measured() -> None:
    rows = sample_rows(1, many=3_000)
    assert [row.bar for row in rows] == [1.2, 1.2, 0.5, 2_000.0]
    assert all(row.measured > 0.0 for row in rows)
