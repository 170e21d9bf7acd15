"""A keg with its gas off: the beer absorbs, the head pressure falls, and no gas is lost.

As c rises, c* falls with the head pressure in a nearly fixed ratio, so the gap between them keeps
the open law of `ullage.physics.absorption` with a larger rate. The amounts are kept, not the
pressures: what leaves the head is in the beer, to the last digit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ullage.errors import OutOfRange
from ullage.physics import co2, solubility, water
from ullage.physics.absorption import kept, refuse_backwards, shrunk
from ullage.physics.constants import CO2_VOLUME_DENSITY
from ullage.physics.numbers import Numbers

SEARCH_TURNS = 7
"""Each turn brings the balance some thirty times nearer; seven leave less than 1e-9 of it."""
AT_REST_VOL = 1e-12


@dataclass(frozen=True, slots=True)
class ShutKeg:
    """A keg with the gas off: what its beer holds (volumes) and its head pressure (absolute Pa).

    `head_pa` is that of CO2 and the beer's vapour; air in the head is not in it. Numbers or arrays.
    """

    beer_m3: Numbers
    head_m3: Numbers
    temperature_k: Numbers
    beer_vol: Numbers
    head_pa: Numbers

    def __post_init__(self) -> None:
        """Refuse what cannot be a keg."""
        if np.any(np.less_equal(self.beer_m3, 0.0)) or np.any(np.less_equal(self.head_m3, 0.0)):
            raise OutOfRange(
                f"a shut keg needs beer and a headspace; got {self.beer_m3} m3 of beer and "
                f"{self.head_m3} m3 of headspace"
            )


def total_volumes_m3(keg: ShutKeg) -> Numbers:
    """All CO2 in the keg, dissolved and gas, as m³ of gas at 0 °C and 1 atm.

    Numbers or arrays, as the keg's. Range and errors: those of `gas_m3`. Source: balance of mass.
    """
    return keg.beer_m3 * keg.beer_vol + gas_m3(keg.head_pa, keg.head_m3, keg.temperature_k)


def gas_m3(head_pa: Numbers, head_m3: Numbers, temperature_k: Numbers) -> Numbers:
    """CO2 in a headspace as m³ at 0 °C and 1 atm, the vapour's share of the pressure left out.

    head_pa: Pa absolute, air not in it; head_m3: m3; temperature_k: kelvin; numbers or arrays that
    broadcast. Range: as `co2.gas_mass`; `OutOfRange` outside it. Source: equation of `co2`.
    """
    partial = np.maximum(np.subtract(head_pa, water.vapour_pressure(temperature_k)), 0.0)
    return co2.gas_mass(partial, head_m3, temperature_k) / CO2_VOLUME_DENSITY.value


def shut_equilibrium(keg: ShutKeg, factor: Numbers) -> ShutKeg:
    """The state a shut keg comes to rest in; CO2 is conserved.

    Rest beyond 11 bar is cut there, the beer holding what is over: valves open long before.

    Head and beer both hold nearly in proportion to the pressure, so scaling the pressure by what
    there is over what it would hold closes in at once.

    factor: the beer's solubility over water's, a number or an array that broadcasts with the keg.
    Range: as `solubility.equilibrium_volumes`; `OutOfRange` outside it.
    Source: balance of mass, Henry's law of `solubility`.
    """
    total = total_volumes_m3(keg)
    vapour = water.vapour_pressure(keg.temperature_k)
    partial = np.maximum(np.subtract(keg.head_pa, vapour), 1.0)
    for _ in range(SEARCH_TURNS):
        head = np.minimum(partial + vapour, solubility.HARD_PRESSURE_PA)
        held = solubility.equilibrium_volumes(head, keg.temperature_k, factor)
        would_hold = keg.beer_m3 * held + gas_m3(head, keg.head_m3, keg.temperature_k)
        partial = (head - vapour) * total / would_hold
    return _with_gas_at(keg, total, np.minimum(partial + vapour, solubility.HARD_PRESSURE_PA))


def absorb_shut(
    keg: ShutKeg,
    seconds: Numbers,
    rate: Numbers,
    factor: Numbers,
    depletion: Numbers | None = None,
) -> ShutKeg:
    """The shut keg after `seconds`: c* falls with the head pressure while c rises.

    The gap shrinks by the open law with the rate r m, where m = Δ0/(c_end − c0) makes the end the
    exact equilibrium.

    rate: 1/(s vol^(1/3)), as `absorption.absorb`; factor: as `shut_equilibrium`; depletion:
    D/depth² in 1/s for beer at rest, whose excess leaves by diffusion; `None`: agitated, the excess
    leaves as fast as it would enter. Numbers or arrays that broadcast with the keg.
    Range: as `shut_equilibrium`; `OutOfRange` for a negative time.
    Source: the law of `absorption` with c* linear in c; held to an ODE solver in its tests.
    """
    refuse_backwards(seconds)
    end = shut_equilibrium(keg, factor)
    gap = np.subtract(
        solubility.equilibrium_volumes(keg.head_pa, keg.temperature_k, factor), keg.beer_vol
    )
    rise = np.subtract(end.beer_vol, keg.beer_vol)
    resting = np.abs(rise) < AT_REST_VOL
    safe_rise = np.where(resting, 1.0, rise)
    safe_gap = np.where(resting, 1.0, gap)
    ratio = np.maximum(safe_gap / safe_rise, 1.0)
    share = shrunk(safe_gap, seconds, rate * ratio) / safe_gap
    if depletion is not None:
        share = np.where(safe_gap < 0.0, kept(depletion * seconds) ** ratio, share)
    level = keg.beer_vol + np.where(resting, 0.0, rise) * (1.0 - share)
    return with_beer(keg, total_volumes_m3(keg), level)


def renewed(age: Numbers, layer: Numbers) -> Numbers:
    """The depletion from nothing that keeps as much of an excess as growing from `age` does.

    `age` and `layer`: D t/depth² of the depleted layer before, and its growth; numbers or arrays.
    """
    share = kept(age + layer) / np.maximum(kept(age), 1e-300)
    early: Numbers = np.pi * ((1.0 - np.minimum(share, 1.0)) / 2.0) ** 2
    return early


def with_beer(keg: ShutKeg, total_m3: Numbers, beer_vol: Numbers) -> ShutKeg:
    """The same keg with `beer_vol` dissolved and the rest of `total_m3` in its headspace.

    total_m3: m³ of gas at 0 °C and 1 atm; beer_vol: volumes of CO2; numbers or arrays that
    broadcast. Range and errors: those of `co2.pressure_of_mass`. Source: balance of mass.
    """
    left = np.maximum(np.subtract(total_m3, keg.beer_m3 * beer_vol), 0.0)
    mass = left * CO2_VOLUME_DENSITY.value
    partial = co2.pressure_of_mass(mass, keg.head_m3, keg.temperature_k)
    head = partial + water.vapour_pressure(keg.temperature_k)
    return ShutKeg(keg.beer_m3, keg.head_m3, keg.temperature_k, beer_vol, head)


def _with_gas_at(keg: ShutKeg, total_m3: Numbers, head_pa: Numbers) -> ShutKeg:
    """The same keg with its head at `head_pa` and the rest of `total_m3` dissolved."""
    gas = gas_m3(head_pa, keg.head_m3, keg.temperature_k)
    return with_beer(keg, total_m3, np.subtract(total_m3, gas) / keg.beer_m3)
