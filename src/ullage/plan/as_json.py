"""Answers as JSON: SI keys with their suffix, times in ISO 8601 with offset.

A band `gauge_pressure_pa` becomes three keys: `gauge_pressure_pa`, `gauge_pressure_low_pa`,
`gauge_pressure_high_pa`. What is infinite (never, for ever) becomes null.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import datetime
from typing import Any

from ullage.plan.answers import Band

SUFFIXES = ("m3_s", "kg_s", "m_s", "pa", "vol", "kg", "m3", "s", "k", "m")


def as_json(answer: object, indent: int | None = 2) -> str:
    """The answer as JSON text."""
    return json.dumps(plain(answer), indent=indent, ensure_ascii=False, allow_nan=False)


def plain(value: Any) -> Any:
    """The answer as dicts, lists, numbers and text."""
    if is_dataclass(value) and not isinstance(value, type):
        return {
            key: plain(part)
            for field in fields(value)
            for key, part in _flat(field.name, getattr(value, field.name))
        }
    if isinstance(value, dict):
        return {str(key): plain(part) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(part) for part in value]
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    return value


def _flat(name: str, value: Any) -> Iterator[tuple[str, Any]]:
    """The field itself, or the three numbers of a band."""
    if not isinstance(value, Band):
        yield name, value
        return
    yield from zip(band_keys(name), (value.value, value.low, value.high), strict=True)


def band_keys(name: str) -> tuple[str, str, str]:
    """The keys of a band's value, low and high end, from its field's name.

    >>> band_keys("level_vol")
    ('level_vol', 'level_low_vol', 'level_high_vol')
    """
    stem, unit = _parted(name)
    return name, f"{stem}_low{unit}", f"{stem}_high{unit}"


def _parted(name: str) -> tuple[str, str]:
    for suffix in SUFFIXES:
        if name.endswith(f"_{suffix}"):
            return name[: -len(suffix) - 1], f"_{suffix}"
    return name, ""
