"""The refusal of numbers that cannot be.

A check names the quantity, the number that was given and what would be right, so that the
sentence can be shown to a reader as it stands.
"""

from __future__ import annotations

import math

import numpy as np

from ullage.errors import OutOfRange
from ullage.physics.numbers import Numbers


def within(what: str, value: Numbers, low: float, high: float, unit: str) -> None:
    """Raise `OutOfRange` unless low ≤ value ≤ high in every element; NaN never is.

    what: the name of the quantity as it opens the sentence; unit: as it is shown, "" for none.

    >>> within("temperature", 280.0, 273.15, 303.15, "K")
    """
    if isinstance(value, float) and low <= value <= high:
        return
    array = np.asarray(value, dtype=np.float64)
    inside = (array >= low) & (array <= high)
    if not inside.all():
        _refuse(what, array[~inside].flat[0], unit, f"must lie between {low:g} and {high:g}")


def positive(what: str, value: Numbers, unit: str) -> None:
    """Raise `OutOfRange` unless every element is finite and greater than zero.

    >>> positive("volume of the room", 30.0, "m3")
    """
    if isinstance(value, float) and 0.0 < value < math.inf:
        return
    array = np.asarray(value, dtype=np.float64)
    good = (array > 0.0) & (array < math.inf)
    if not good.all():
        _refuse(what, array[~good].flat[0], unit, "must be greater than zero and finite")


def not_negative(what: str, value: Numbers, unit: str) -> None:
    """Raise `OutOfRange` unless every element is finite and zero or greater.

    >>> not_negative("mass of gas", 0.0, "kg")
    """
    if isinstance(value, float) and 0.0 <= value < math.inf:
        return
    array = np.asarray(value, dtype=np.float64)
    good = (array >= 0.0) & (array < math.inf)
    if not good.all():
        _refuse(what, array[~good].flat[0], unit, "must be zero or greater and finite")


def _refuse(what: str, wrong: float, unit: str, right: str) -> None:
    given = f"{wrong:g} {unit}".rstrip()
    raise OutOfRange(f"{what}: {given} was given; it {right} {unit}".rstrip())
