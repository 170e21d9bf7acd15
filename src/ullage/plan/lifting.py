"""What a full keg weighs, for the back that lifts it and the arms that would rock it."""

from __future__ import annotations

from typing import Final

from ullage.everyday_units import POUND_KG
from ullage.system import parts
from ullage.system.parts import KegKind

BEER_KG_M3: Final = 1012.0
"""Finished beer; common practice, no source: a final gravity of 1.012."""
ROCKED_KG: Final = 45.0
"""The most that is offered to be rocked by hand; our own choice, about twice the 23 kg (51 lb) that
the NIOSH lifting equation allows one person at best."""
LIGHT_KG: Final = 15.0
"""Up to this one person lifts a keg; our own choice."""


def full_kg(kind: KegKind, beer_m3: float | None = None) -> float:
    """The weight of a keg with its beer, kg: its usual fill (m³) unless another is told."""
    return kind.tare_kg + BEER_KG_M3 * (kind.usual_fill_m3 if beer_m3 is None else beer_m3)


def can_be_rocked(weight_kg: float) -> bool:
    """Whether two hands rock a keg of that weight (kg) on the floor."""
    return weight_kg <= ROCKED_KG


def weighs(kg: float) -> str:
    """A weight in both units.

    >>> weighs(72.84)
    '73 kg (161 lb)'
    """
    return f"{kg:.0f} kg ({kg / POUND_KG:.0f} lb)"


def full_keg(kind: str | None = None) -> str:
    """What a full keg of a kind weighs, as a sentence begins; of no kind known from which to which.

    >>> full_keg("half-barrel")
    'Full, such a keg weighs some 73 kg (161 lb)'
    >>> full_keg()
    'A full keg weighs 9 to 73 kg (21 to 161 lb)'

    Raises `UnknownName`.
    """
    if kind is not None:
        return f"Full, such a keg weighs some {weighs(full_kg(parts.keg_kind(kind)))}"
    every = sorted(full_kg(one) for one in parts.keg_kinds().values())
    low, high = every[0], every[-1]
    pounds = f"{low / POUND_KG:.0f} to {high / POUND_KG:.0f} lb"
    return f"A full keg weighs {low:.0f} to {high:.0f} kg ({pounds})"


def lift(kind: str | None = None) -> str:
    """The caution for who moves a keg of that kind. Raises `UnknownName`."""
    light = kind is not None and full_kg(parts.keg_kind(kind)) <= LIGHT_KG
    how = "lift it from the knees" if light else "do not lift it alone"
    return f"{full_keg(kind)}: {how}."
