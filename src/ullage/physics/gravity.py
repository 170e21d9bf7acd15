"""What a hydrometer tells: extract, alcohol and attenuation from the gravities of a beer.

Gravities are specific gravities at 20 °C over water at 20 °C (1.050, not 1050). Extract is in
degrees Plato, grams of extract in 100 g. Alcohol is in per cent.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import overload

import numpy as np

from ullage.errors import OutOfRange
from ullage.physics.constants import (
    BALLING_APPARENT_SHARE,
    BALLING_EXTRACT,
    ETHANOL_SPECIFIC_GRAVITY,
)
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import within

LOWEST_SG = 0.98
HIGHEST_SG = 1.16
LOWEST_PLATO = -5.5
HIGHEST_PLATO = 37.0

_CUBE, _SQUARE, _LINE, _BASE = 135.997, -630.272, 1111.14, -616.868
_NEWTON_STEPS = 5


@dataclass(frozen=True, slots=True)
class Fermented:
    """What a pair of gravities says of a beer; alcohol in per cent, extract in °Plato."""

    original_plato: Numbers
    apparent_plato: Numbers
    real_extract: Numbers
    alcohol_by_weight: Numbers
    alcohol_by_volume: Numbers


@overload
def plato_from_sg(sg: float) -> float: ...
@overload
def plato_from_sg(sg: Numbers) -> Numbers: ...
def plato_from_sg(sg: Numbers) -> Numbers:
    """Give the extract of a wort of this gravity, in °Plato; below water's gravity it is negative.

    °P = −616.868 + 1111.14 S − 630.272 S² + 135.997 S³.

    sg: specific gravity 20/20 °C, one number or an array; the answer has the same shape.
    Range: 0.98 to 1.16; `OutOfRange` outside it. Water comes out at -0.003 °P, the fit's own error.
    Source: cubic fit to the tables of Plato, as used by the American Society of Brewing Chemists;
    coefficients from memory, held by tests against sugar tables.

    >>> f"{plato_from_sg(1.050):.2f}"
    '12.39'
    """
    within("specific gravity", sg, LOWEST_SG, HIGHEST_SG, "")
    return _cubic(sg)


@overload
def sg_from_plato(plato: float) -> float: ...
@overload
def sg_from_plato(plato: Numbers) -> Numbers: ...
def sg_from_plato(plato: Numbers) -> Numbers:
    """Give the specific gravity 20/20 °C of an extract in °Plato; undoes `plato_from_sg`.

    The cubic of `plato_from_sg` rises everywhere, so it has one root, found by Newton's method.

    plato: °Plato, one number or an array; the answer has the same shape.
    Range: -5.5 to 37 °P; `OutOfRange` outside it.
    Source: as `plato_from_sg`.

    >>> f"{sg_from_plato(12.0):.4f}"
    '1.0484'
    """
    within("extract", plato, LOWEST_PLATO, HIGHEST_PLATO, "°P")
    sg = 1.0 + plato / 258.6
    for _ in range(_NEWTON_STEPS):
        sg = sg - (_cubic(sg) - plato) / ((3.0 * _CUBE * sg + 2.0 * _SQUARE) * sg + _LINE)
    return sg


@overload
def real_extract(
    original_plato: float, apparent_plato: float, apparent_share: float = ...
) -> float: ...
@overload
def real_extract(
    original_plato: Numbers, apparent_plato: Numbers, apparent_share: Numbers = ...
) -> Numbers: ...
def real_extract(
    original_plato: Numbers,
    apparent_plato: Numbers,
    apparent_share: Numbers = BALLING_APPARENT_SHARE.value,
) -> Numbers:
    """Give the extract truly left in a beer, in °Plato; alcohol makes the hydrometer read less.

    RE = (1 − s) OE + s AE, with s = 0.8192.

    original_plato: extract of the wort; apparent_plato: what the hydrometer shows now, also in
    °Plato; apparent_share: s; numbers or arrays that broadcast.
    Range: up to 37 °P, apparent not above original; `OutOfRange` outside it.
    Source: C. J. N. Balling (1865), factor as quoted throughout brewing science.

    >>> f"{real_extract(12.0, 3.0):.2f}"
    '4.63'
    """
    _check_pair(original_plato, apparent_plato, "apparent extract")
    return (1.0 - apparent_share) * original_plato + apparent_share * apparent_plato


@overload
def alcohol_by_weight(
    original_plato: float, real_extract: float, extract_per_alcohol: float = ...
) -> float: ...
@overload
def alcohol_by_weight(
    original_plato: Numbers, real_extract: Numbers, extract_per_alcohol: Numbers = ...
) -> Numbers: ...
def alcohol_by_weight(
    original_plato: Numbers,
    real_extract: Numbers,
    extract_per_alcohol: Numbers = BALLING_EXTRACT.value,
) -> Numbers:
    """Give the alcohol of a beer, in per cent by weight.

    A = (OE − RE) / (e − 0.010665 OE), with e = 2.0665.

    original_plato: extract of the wort; real_extract: what is truly left, from `real_extract`,
    both °Plato; extract_per_alcohol: e; numbers or arrays that broadcast.
    Range: up to 37 °P, real not above original; `OutOfRange` outside it.
    Source: C. J. N. Balling (1865): 2.0665 g of extract give 1 g of alcohol, 0.9565 g of CO2 and
    0.11 g of yeast.

    >>> f"{alcohol_by_weight(12.0, 4.63):.2f}"
    '3.80'
    """
    _check_pair(original_plato, real_extract, "real extract")
    return (original_plato - real_extract) / (extract_per_alcohol - 0.010665 * original_plato)


@overload
def alcohol_by_volume(
    alcohol_by_weight: float, sg: float, ethanol_specific_gravity: float = ...
) -> float: ...
@overload
def alcohol_by_volume(
    alcohol_by_weight: Numbers, sg: Numbers, ethanol_specific_gravity: Numbers = ...
) -> Numbers: ...
def alcohol_by_volume(
    alcohol_by_weight: Numbers,
    sg: Numbers,
    ethanol_specific_gravity: Numbers = ETHANOL_SPECIFIC_GRAVITY.value,
) -> Numbers:
    """Give the alcohol of a beer, in per cent by volume at 20 °C.

    ABV = ABW · S / S_ethanol.

    alcohol_by_weight: per cent; sg: specific gravity of the beer now, 20/20 °C;
    ethanol_specific_gravity: that of pure ethanol, 20/20 °C; numbers or arrays that broadcast.
    Range: 0 to 100 %, gravity 0.98 to 1.16; `OutOfRange` outside it.
    Source: definition of the two percentages.

    >>> f"{alcohol_by_volume(3.80, 1.0118):.2f}"
    '4.86'
    """
    within("alcohol by weight", alcohol_by_weight, 0.0, 100.0, "%")
    within("specific gravity", sg, LOWEST_SG, HIGHEST_SG, "")
    return alcohol_by_weight * sg / ethanol_specific_gravity


def fermented(original_sg: Numbers, final_sg: Numbers) -> Fermented:
    """Give extract and alcohol of a beer from its two gravities.

    original_sg, final_sg: specific gravity 20/20 °C before and after fermentation; numbers or
    arrays that broadcast.
    Range: 0.98 to 1.16, final not above original; `OutOfRange` outside it. Sugar added later for
    priming is not in it.
    Source: the functions of this module, one after another.

    >>> f"{fermented(1.048, 1.010).alcohol_by_volume:.2f}"
    '5.05'
    """
    original, apparent = plato_from_sg(original_sg), plato_from_sg(final_sg)
    extract = real_extract(original, apparent)
    weight = alcohol_by_weight(original, extract)
    return Fermented(original, apparent, extract, weight, alcohol_by_volume(weight, final_sg))


def _cubic(sg: Numbers) -> Numbers:
    return ((_CUBE * sg + _SQUARE) * sg + _LINE) * sg + _BASE


def _check_pair(original_plato: Numbers, later_plato: Numbers, later_name: str) -> None:
    within("original extract", original_plato, LOWEST_PLATO, HIGHEST_PLATO, "°P")
    within(later_name, later_plato, LOWEST_PLATO, HIGHEST_PLATO, "°P")
    if np.any(later_plato > original_plato):
        raise OutOfRange(
            f"{later_name} above the original extract: fermentation only lowers it; "
            "the two gravities may have been swapped"
        )
