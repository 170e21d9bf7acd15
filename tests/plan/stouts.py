"""A stout on blended gas beside an ale on straight CO2, as the example file tells of them."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from ullage.system.file import parse_system
from ullage.system.model import System

AT = datetime(2026, 9, 1, 12, tzinfo=UTC)
PSI = 6894.757293168361
EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "stout-blend.toml"


def stout_text(co2: str = "25 %", level: str | None = "1.2 vol", pressure: str = "34 psi") -> str:
    """The file with another blend, level of the stout (`None`: flat) or pressure on it."""
    text = EXAMPLE.read_text(encoding="utf-8")
    text = text.replace('co2 = "25 %"', f'co2 = "{co2}"')
    text = text.replace('pressure = "34 psi"', f'pressure = "{pressure}"')
    told = "" if level is None else f'carbonation = "{level}"'
    return text.replace('carbonation = "1.2 vol"', told)


def stouts(co2: str = "25 %", level: str | None = "1.2 vol", pressure: str = "34 psi") -> System:
    """The same as a system."""
    return parse_system(stout_text(co2, level, pressure))
