"""What a household's constants are called: at the head of a row, and within a sentence.

The name that one is kept by (`gauge main`) is typed and stored; a person reads these.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from ullage.cellar.learnt import LEARNABLE, ConstantName, parted
from ullage.plan.spoken import part

TITLES: Final[Mapping[ConstantName, str]] = {
    "absorption": "How fast beer takes up gas at rest",
    "shaking": "How fast shaken beer takes up gas",
    "stone": "How fast beer takes up gas on a stone",
    "beer factor": "How much gas your beers hold",
    "handling": "Gas lost in handling",
    "leak": "Gas that leaks from {of}",
    "gauge": "What the regulator on {of} gives over what it shows",
    "scale": "What the scale shows too much for {of}",
    "thermometer": "How much warmer {of} is than it is told to be",
    "chilling": "How fast kegs chill in {of}",
    "tare": "What {of} weighs empty over its kind",
    "line": "How much the line of {of} resists",
}
NAMES: Final[Mapping[ConstantName, str]] = {
    "absorption": "the speed at which beer takes up gas at rest",
    "shaking": "the speed at which shaken beer takes up gas",
    "stone": "the speed at which beer takes up gas on a stone",
    "beer factor": "the gas that your beers hold",
    "handling": "the gas lost in handling",
    "leak": "the leak of {of}",
    "gauge": "the error of the regulator's gauge on {of}",
    "scale": "the error of the scale for {of}",
    "thermometer": "the error of the temperature of {of}",
    "chilling": "the speed at which kegs chill in {of}",
    "tare": "the empty weight of {of}",
    "line": "the resistance of the line of {of}",
}


def heading(constant: ConstantName, about: str | None) -> str:
    """What a constant is, and of what: `How fast kegs chill in fridge`."""
    return TITLES[constant].format(of=of_part(constant, about))


def called(kept_by: str) -> str:
    """A constant within a sentence, by the name that it is kept by. Raises `ValueError`.

    >>> called("tare K1"), called("absorption")
    ('the empty weight of keg K1', 'the speed at which beer takes up gas at rest')
    """
    constant, about = parted(kept_by)
    return NAMES[constant].format(of=of_part(constant, about))


def of_part(constant: ConstantName, about: str | None) -> str:
    """The part that a constant is of: `tap left`; a place by its name alone; "" for none."""
    kind = LEARNABLE[constant].of
    return about or "" if kind == "place" or not about else part(kind, about)
