"""Draw the pictures of `docs/guide/`, one or two for each page. Part of `make docs`."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.pictures import guide_charts, guide_plots
from scripts.pictures.keg_section import used_keg
from scripts.pictures.kept import kept
from scripts.put import ROOT

PICTURES: Final = ROOT / "docs" / "pictures" / "guide"
DRAWN: Final[Mapping[str, Callable[[], str]]] = {
    "buy": guide_charts.buy,
    "used-keg": used_keg,
    "leak-test": guide_plots.leak_test,
    "clean": guide_plots.clean,
    "fill": guide_plots.fill,
    "carbonate": guide_charts.carbonate,
    "level": guide_charts.too_much,
    "pour": guide_charts.pour,
    "gas-left": guide_charts.gas_left,
    "brews": guide_charts.brews,
    "upkeep": guide_plots.upkeep,
    "safety": guide_plots.safety,
    "warm-tower": guide_charts.warm_tower,
    "several-taps": guide_charts.several,
    "party": guide_plots.party_beer,
}
"""Each picture by the name of its file."""


def drawn() -> dict[Path, str]:
    """Every picture by the file it is kept in. Days are those of the local time: set it first."""
    return {PICTURES / f"{name}.svg": draw().rstrip("\n") + "\n" for name, draw in DRAWN.items()}


def main() -> None:
    """Draw them, in the same time zone everywhere."""
    os.environ["TZ"] = "UTC"
    time.tzset()
    kept(PICTURES, drawn())
    print(f"drew {len(DRAWN)} pictures into {PICTURES.relative_to(ROOT)}")


if __name__ == "__main__":
    main()
