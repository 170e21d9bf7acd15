"""Measured against bars: the table, the JSON, and whether all were met."""

from __future__ import annotations

import os
import platform
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

from benchmarks.timing import Timed

Sense = Literal["at most", "at least"]


@dataclass(frozen=True, slots=True)
class Row:
    """What was measured, the bar it is held to (`None`: for information), and the raw times."""

    what: str
    measured: float
    sense: Sense
    bar: float | None
    unit: str = "×"
    times: tuple[Timed, ...] = ()

    @property
    def met(self) -> bool | None:
        """Whether the bar is met; `None` without one."""
        if self.bar is None:
            return None
        return self.measured <= self.bar if self.sense == "at most" else self.measured >= self.bar


def table(rows: Sequence[Row]) -> list[str]:
    """The rows as aligned lines of text, then the raw times."""
    cells = [("what", "measured", "bar", "met")] + [
        (row.what, f"{row.measured:.3g} {row.unit}", _bar(row), _met(row)) for row in rows
    ]
    widths = [max(len(line[i]) for line in cells) for i in range(4)]
    lines = ["  ".join(c.ljust(w) for c, w in zip(line, widths, strict=True)) for line in cells]
    return [*lines, "", "medians (least to greatest) of interleaved repeats:", *_times(rows)]


def as_data(rows: Sequence[Row]) -> dict[str, Any]:
    """Everything for `--json`: the machine, the rows, every single time in seconds."""
    return {
        "python": platform.python_version(),
        "machine": platform.machine(),
        "cores": os.cpu_count(),
        "rows": [asdict(row) | {"met": row.met} for row in rows],
    }


def _bar(row: Row) -> str:
    return "none" if row.bar is None else f"{row.sense} {row.bar:g} {row.unit}"


def _met(row: Row) -> str:
    return {True: "yes", False: "NO", None: "for information"}[row.met]


def _times(rows: Sequence[Row]) -> list[str]:
    each = {one.name: one for row in rows for one in row.times}
    return [
        f"  {one.name}: {_shown(one.middle)} ({_shown(min(one.seconds))} to "
        f"{_shown(max(one.seconds))}, {len(one.seconds)} repeats)"
        for one in each.values()
    ]


def _shown(seconds: float) -> str:
    return f"{seconds * 1e3:.4g} ms" if seconds >= 1e-3 else f"{seconds * 1e6:.4g} µs"
