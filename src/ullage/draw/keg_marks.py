"""Small marks for a table of kegs: how gassy against what is wanted, and how full."""

from __future__ import annotations

from typing import Final
from xml.etree import ElementTree as ET

from ullage.draw import theme
from ullage.draw.plot import stroke
from ullage.draw.svg import Caption, sheet
from ullage.plan.answers import Band

WIDE: Final = 160.0
HIGH: Final = 16.0
MOST_VOL: Final = 4.0


def level_mark(
    level_vol: Band, wanted_vol: tuple[float, float] | None, said: str, prefix: str
) -> str:
    """Draw the carbonation (upright) with its band (tint) against the band wanted (hatched)."""
    most = max(MOST_VOL, level_vol.high, wanted_vol[1] if wanted_vol else 0.0)

    def x(volumes: float) -> float:
        return 1.0 + (WIDE - 2.0) * volumes / most

    body = []
    if wanted_vol is not None:
        body.append(_box(x(wanted_vol[0]), 2, x(wanted_vol[1]), HIGH - 2, theme.HATCH, True))
    body.append(_box(x(level_vol.low), 5, x(level_vol.high), HIGH - 5, theme.TINT, True))
    body.append(stroke(f"M1,{HIGH - 2:g}H{WIDE - 1:g}", theme.HAIRLINE))
    body.append(stroke(f"M{x(level_vol.value):.1f},1V{HIGH - 1:g}", 2.2))
    return sheet(WIDE, HIGH, Caption(prefix, "CO2 against what is wanted", said), body)


def fill_mark(share: float, said: str, prefix: str) -> str:
    """Draw a keg lying on its side, filled to a share of it."""
    full = 1.0 + (WIDE - 2.0) * min(max(share, 0.0), 1.0)
    body = [
        _box(1, 3, full, HIGH - 3, theme.TINT),
        stroke(f"M1,3H{WIDE - 1:g}V{HIGH - 3:g}H1z"),
        stroke(f"M{full:.1f},3V{HIGH - 3:g}", 2.2),
    ]
    return sheet(WIDE, HIGH, Caption(prefix, "Beer left", said), body)


def _box(
    left: float, top: float, right: float, foot: float, fill: str, edged: bool = False
) -> ET.Element:
    path = f"M{left:.1f},{top:g}H{right:.1f}V{foot:g}H{left:.1f}z"
    look = {"stroke": theme.INK, "stroke-width": f"{theme.HAIRLINE:g}"} if edged else {}
    return ET.Element("path", {"d": path, "fill": fill} | look)
