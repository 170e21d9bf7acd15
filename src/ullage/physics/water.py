"""Water: density, viscosity and vapour pressure of the liquid near atmospheric pressure.

Beer is worked out as water times a factor, so these three functions sit under everything that
flows or dissolves. They are short published correlations and not calls into a property library,
because a band evaluates them on thousands of samples at once.
"""

from __future__ import annotations

from typing import overload

import numpy as np
from numpy.typing import NDArray

from ullage.physics.constants import ICE_POINT
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import within

LOWEST_K = 263.15
HIGHEST_K = 373.15

_KELL_NUMERATOR = (
    -280.54253e-12,
    105.56302e-9,
    -46.170461e-6,
    -7.9870401e-3,
    16.945176,
    999.83952,
)
_KELL_DENOMINATOR = 16.879850e-3

_VISCOSITY_TERMS = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))

_CRITICAL_K = 647.096
_CRITICAL_PA = 22.064e6
_VAPOUR_TERMS = (
    (-7.85951783, 1.0),
    (1.84408259, 1.5),
    (-11.7866497, 3.0),
    (22.6807411, 3.5),
    (-15.9618719, 4.0),
    (1.80122502, 7.5),
)


@overload
def density(temperature_k: float) -> float: ...
@overload
def density(temperature_k: NDArray[np.float64]) -> NDArray[np.float64]: ...
@overload
def density(temperature_k: Numbers) -> Numbers: ...
def density(temperature_k: Numbers) -> Numbers:
    """Give the density of air-free water at 1 atm, in kg/m3.

    ρ = (a0 + a1 t + a2 t² + a3 t³ + a4 t⁴ + a5 t⁵) / (1 + b t), with t in °C.

    temperature_k: kelvin, one number or an array; the answer has the same shape.
    Range: 263.15 to 373.15 K (below 273.15 K the liquid is supercooled); `OutOfRange` outside it.
    Agreement with IAPWS-95: 0.004 kg/m3 from 0 to 40 °C.
    Source: G. S. Kell, J. Chem. Eng. Data 20 (1975) 97.

    >>> round(density(277.13), 2)
    999.97
    """
    celsius = _checked(temperature_k) - ICE_POINT.value
    numerator: Numbers = 0.0
    for coefficient in _KELL_NUMERATOR:
        numerator = numerator * celsius + coefficient
    return numerator / (1.0 + _KELL_DENOMINATOR * celsius)


@overload
def viscosity(temperature_k: float) -> float: ...
@overload
def viscosity(temperature_k: NDArray[np.float64]) -> NDArray[np.float64]: ...
@overload
def viscosity(temperature_k: Numbers) -> Numbers: ...
def viscosity(temperature_k: Numbers) -> Numbers:
    """Give the dynamic viscosity of liquid water at 0.1 MPa, in Pa·s.

    μ = 1e-6 Σ aᵢ (T / 300 K)^bᵢ, four terms.

    temperature_k: kelvin, one number or an array; the answer has the same shape.
    Range: 263.15 to 373.15 K (below 273.15 K the liquid is supercooled); `OutOfRange` outside it.
    Source: J. Pátek et al., J. Phys. Chem. Ref. Data 38 (2009) 21, adopted as IAPWS SR6-08; said
    there to be within 1 % from 253.15 to 383.15 K.

    >>> round(1e3 * viscosity(293.15), 3)
    1.002
    """
    reduced = _checked(temperature_k) / 300.0
    answer: Numbers = 1e-6 * sum(a * reduced**b for a, b in _VISCOSITY_TERMS)
    return answer


@overload
def vapour_pressure(temperature_k: float) -> float: ...
@overload
def vapour_pressure(temperature_k: NDArray[np.float64]) -> NDArray[np.float64]: ...
@overload
def vapour_pressure(temperature_k: Numbers) -> Numbers: ...
def vapour_pressure(temperature_k: Numbers) -> Numbers:
    """Give the pressure of water vapour over liquid water, in Pa absolute.

    ln(p / p_c) = (T_c / T) Σ aᵢ τ^nᵢ, with τ = 1 − T / T_c and six terms.

    temperature_k: kelvin, one number or an array; the answer has the same shape.
    Range: 263.15 to 373.15 K (the fit begins at 273.16 K and is carried on below it over
    supercooled liquid); `OutOfRange` outside it.
    Source: W. Wagner and A. Pruß, J. Phys. Chem. Ref. Data 22 (1993) 783, adopted as IAPWS SR1-86.

    >>> round(vapour_pressure(293.15))
    2339
    """
    kelvin = _checked(temperature_k)
    tau = 1.0 - kelvin / _CRITICAL_K
    exponent = sum(a * tau**n for a, n in _VAPOUR_TERMS) * _CRITICAL_K / kelvin
    answer: Numbers = _CRITICAL_PA * np.exp(exponent)
    return answer


def _checked(temperature_k: Numbers) -> Numbers:
    within("temperature of liquid water", temperature_k, LOWEST_K, HIGHEST_K, "K")
    return temperature_k
