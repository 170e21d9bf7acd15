"""A sensor's day at a glance: between which extremes it lay in each stretch, and now."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final
from xml.etree import ElementTree as ET

from ullage.cellar.samples import Bucket
from ullage.draw import theme
from ullage.draw.plot import stroke
from ullage.draw.svg import Caption, sheet

WIDE: Final = 300.0
HIGH: Final = 48.0
EDGE: Final = 3.0
DAY: Final = timedelta(days=1)
SILENCE: Final = timedelta(minutes=30)
"""After so long without a sample the line is broken."""
QUARTERS: Final = (0.25, 0.5, 0.75)


def spark(buckets: Sequence[Bucket], since: datetime, now: datetime, caption: Caption) -> str:
    """Draw a day from `since` on: extremes as a tint, their middle as a line, now as a hairline.

    Six, noon and eighteen o'clock have ticks on the foot.
    """
    foot = HIGH - EDGE
    body = [stroke(f"M0,{foot:g}H{WIDE:g}", theme.HAIRLINE)]
    ticks = "".join(f"M{WIDE * share:g},{foot:g}v-4" for share in QUARTERS)
    body.append(stroke(ticks, theme.HAIRLINE))
    for run in _runs(buckets):
        body += _drawn(run, since, *_span(buckets))
    x = _x(now, since)
    if 0.0 <= x <= WIDE:
        body.append(stroke(f"M{x:.1f},0V{HIGH:g}", theme.HAIRLINE, theme.QUIET))
    return sheet(WIDE, HIGH, caption, body)


def _drawn(run: Sequence[Bucket], since: datetime, low: float, high: float) -> list[ET.Element]:
    def y(value: float) -> float:
        return EDGE + (HIGH - 3.0 * EDGE) * (high - value) / (high - low)

    xs = [_x(one.since, since) for one in run]
    tops = [f"{x:.1f},{y(one.high):.1f}" for x, one in zip(xs, run, strict=True)]
    feet = [f"{x:.1f},{y(one.low):.1f}" for x, one in zip(xs, run, strict=True)]
    middle = [
        f"{x:.1f},{y((one.low + one.high) / 2.0):.1f}" for x, one in zip(xs, run, strict=True)
    ]
    if len(run) == 1:
        return [stroke(f"M{tops[0]}L{feet[0]}v0.5", theme.LINE)]
    band = ET.Element("path", {"d": f"M{'L'.join([*tops, *reversed(feet)])}z", "fill": theme.TINT})
    return [band, stroke(f"M{'L'.join(middle)}", theme.LINE)]


def _x(at: datetime, since: datetime) -> float:
    return WIDE * ((at - since) / DAY)


def _span(buckets: Sequence[Bucket]) -> tuple[float, float]:
    """The lowest and the highest, and some room where they are the same."""
    low, high = min(one.low for one in buckets), max(one.high for one in buckets)
    room = max(abs(high), 1.0) * 1e-4
    return (low, high) if high - low > room else (low - room, high + room)


def _runs(buckets: Sequence[Bucket]) -> Iterator[list[Bucket]]:
    """Stretches that follow each other without a silence."""
    run: list[Bucket] = []
    for one in buckets:
        if run and one.since - run[-1].since > SILENCE:
            yield run
            run = []
        run.append(one)
    if run:
        yield run
