"""Charts as files, for `ullage plan --svg`."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import count
from pathlib import Path

from ullage.draw.charts import carbonation_chart, profile_chart
from ullage.plan.answers import WholeAnswer
from ullage.units import UnitSystem


def write_charts(answer: WholeAnswer, units: UnitSystem, folder: Path) -> list[Path]:
    """Write one SVG for each beer that has a plan and each tap into `folder`; give their paths.

    All are drawn before the first is written. Raises `OSError` where it cannot write.
    """
    beers = [beer for beer in answer.carbonation if beer.schedules]
    drawn = [carbonation_chart(beer, units, answer.made_at, standalone=True) for beer in beers] + [
        profile_chart(tap, units, standalone=True) for tap in answer.pours
    ]
    names = _file_names(
        [f"carbonation-{_slug(beer.keg)}" for beer in beers]
        + [f"pour-{_slug(tap.tap)}" for tap in answer.pours]
    )
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / name for name in names]
    for path, svg in zip(paths, drawn, strict=True):
        path.write_text(svg, encoding="utf-8")
    return paths


def _file_names(stems: Iterable[str]) -> list[str]:
    """A name for each, none twice: `keg 1` and `Keg-1` come to the same stem."""
    names: list[str] = []
    for stem in stems:
        tries = (f"{stem}.svg" if n == 1 else f"{stem}-{n}.svg" for n in count(1))
        names.append(next(name for name in tries if name not in names))
    return names


def _slug(name: str) -> str:
    """A stem that any file system takes, short enough for all of them."""
    return re.sub(r"[^\w-]+", "-", name.lower()).strip("-")[:48] or "part"
