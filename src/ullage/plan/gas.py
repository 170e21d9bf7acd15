"""What a cylinder holds, what its gauge can tell, what a keg takes, how long it lasts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from ullage.cellar.draws import SAMPLES, SEED
from ullage.cellar.readying import PUSH_GAUGE_PA, PUSHED_AT_K
from ullage.everyday_units import PSI
from ullage.physics import cylinder, headspace
from ullage.physics.constants import CO2_CRITICAL_TEMPERATURE, GAS_HANDLING, Constant
from ullage.plan import cautions
from ullage.plan.answers import Band, Caution, GasAnswer, GasUse
from ullage.plan.bands import band
from ullage.plan.spoken import times

WEEK_S = 7 * 86_400.0
PURGE_CYCLES = 5
PURGE_GAUGE_PA = 30 * PSI
LOW_SHARE = 0.15
WARM_FULL_K = 297.0
ROUND_KG = 0.005
UNSEEN_SD: Final = 0.35
"""What more than counted goes in practice, over what the kegs need, where no household's weighings
tell: half-normal. Brewers report 6 to 8 kegs from 5 lb; common practice, no source."""
FEWER: Final = (
    "In practice a cylinder does for fewer: leaks, bursts that are vented, blown lines and "
    "extra purging count too, so plan on the low number; brewers report 6 to 8 kegs of 5 US gal "
    "(19 L) from 5 lb (2.3 kg)."
)

LIQUID_LEFT: Final = (
    "The gauge shows the pressure of liquid at this temperature and stays there until the liquid "
    "is gone."
)
LIQUID_FULL: Final = (
    "So warm, the liquid fills the whole cylinder and stands above its own pressure: the gauge "
    "falls fast with the first gas that goes, and then stays until the liquid is gone."
)
NO_LIQUID: Final = (
    "Above 31 °C (88 °F) there is no liquid in a cylinder: its gauge falls with all that goes, and "
    "with the temperature."
)
WEIGH_IT: Final = (
    "Weight tells what is left: weigh it and take off the tare stamped on the shoulder (TW)."
)


@dataclass(frozen=True, slots=True)
class KegUse:
    """A keg as the cylinder meets it, from filling to empty.

    `sanitiser`: a full keg of it is pushed out with gas before the beer; `purges`: how often its
    head is purged. Beer that is carbonated without the cylinder has `from_vol` as it is wanted.
    """

    keg: str
    beer_m3: float
    head_m3: float
    from_vol: float
    to_vol: float
    gauge_pa: float
    temperature_k: float
    sanitiser: bool = False
    purges: int = PURGE_CYCLES


@dataclass(frozen=True, slots=True)
class GasCase:
    """A cylinder and its work. `drinking_m3_s`: beer drunk from all kegs on it, if known.

    `handling`: the share that is lost besides what the kegs take. `co2_share`: CO2 in its gas.
    """

    cylinder: str
    size: str
    rated_kg: float
    remaining_kg: float
    temperature_k: float
    ambient_pa: float
    kegs: tuple[KegUse, ...]
    drinking_m3_s: float | None
    handling: Constant = GAS_HANDLING
    co2_share: float = 1.0


def gas(case: GasCase) -> GasAnswer:
    """Answer for one cylinder. Raises `OutOfRange` where CO2 cannot be in that state."""
    volume = cylinder.water_capacity(case.rated_kg)
    state = cylinder.cylinder_state(case.remaining_kg, volume, case.temperature_k, case.ambient_pa)
    uses = _uses(case)
    per_keg = sum(use.mass_kg for use in uses)
    kegs_left = lasting(case.remaining_kg, per_keg, case.handling)
    gone = _liquid_gone(volume, case.temperature_k)
    return GasAnswer(
        cylinder=case.cylinder,
        size=case.size,
        remaining_kg=case.remaining_kg,
        rated_kg=case.rated_kg,
        temperature_k=case.temperature_k,
        cylinder_gauge_pa=state.gauge_pressure_pa,
        phase=state.phase,
        liquid_gone_below_kg=gone,
        uses=uses,
        kegs_left=kegs_left,
        weeks_left=weeks(case, kegs_left),
        cautions=(*_state_cautions(case), *cautions.for_gas()),
        remarks=_remarks(case, state.phase, gone),
    )


def keg_uses(keg: KegUse, ambient_pa: float) -> tuple[GasUse, ...]:
    """What one keg takes from filling to empty."""
    push = headspace.push_gas_mass(keg.beer_m3, ambient_pa + keg.gauge_pa, keg.temperature_k)
    carbonate = headspace.gas_to_carbonate(keg.beer_m3, keg.from_vol, max(keg.to_vol, keg.from_vol))
    purge = headspace.purge_gas_mass(
        keg.purges, keg.head_m3, PURGE_GAUGE_PA, keg.temperature_k, ambient_pa
    )
    return (
        GasUse("Carbonate the beer", float(carbonate)),
        GasUse("Push the beer out", float(push)),
        GasUse(f"Purge the headspace {times(keg.purges)}", float(purge)),
    )


def all_uses(keg: KegUse, ambient_pa: float) -> tuple[GasUse, ...]:
    """The same, with the sanitiser that is pushed out before the beer."""
    uses = keg_uses(keg, ambient_pa)
    if not keg.sanitiser:
        return uses
    whole = keg.beer_m3 + keg.head_m3
    pushed = headspace.push_gas_mass(whole, ambient_pa + PUSH_GAUGE_PA, PUSHED_AT_K)
    return (GasUse("Push a keg of sanitiser out", float(pushed)), *uses)


def _uses(case: GasCase) -> tuple[GasUse, ...]:
    """The mean of the kegs on the cylinder, and what is lost on the way."""
    if not case.kegs:
        return ()
    each = [all_uses(keg, case.ambient_pa) for keg in case.kegs]
    means = tuple(
        GasUse(same[0].what, sum(use.mass_kg for use in same) / len(each))
        for same in zip(*each, strict=True)
    )
    lost = case.handling.value * sum(use.mass_kg for use in means)
    return (*means, GasUse("Venting, cleaning and small leaks", lost))


def lasting(remaining_kg: float, per_keg: float, handling: Constant) -> Band:
    """Kegs that the gas lasts for; the band is that of what is lost on the way.

    Where no weighings of one's own tell that, with what goes unseen in practice.
    """
    if per_keg <= 0.0:
        return Band(float("inf"), float("inf"), float("inf"))
    random = np.random.default_rng(SEED)
    lost = np.maximum(handling.value + handling.sd * random.standard_normal(SAMPLES), 0.0)
    if handling == GAS_HANDLING:
        lost += UNSEEN_SD * np.abs(random.standard_normal(SAMPLES))
    needed = per_keg / (1.0 + handling.value) * (1.0 + lost)
    return band(remaining_kg / per_keg, remaining_kg / needed)


def weeks(case: GasCase, kegs_left: Band) -> Band | None:
    """Weeks that so many kegs last as is drunk; `None` where nobody told of that."""
    if not case.kegs or case.drinking_m3_s is None or case.drinking_m3_s <= 0.0:
        return None
    mean_keg = sum(keg.beer_m3 for keg in case.kegs) / len(case.kegs)
    each = mean_keg / case.drinking_m3_s / WEEK_S
    return Band(kegs_left.value * each, kegs_left.low * each, kegs_left.high * each)


def _liquid_gone(volume_m3: float, temperature_k: float) -> float | None:
    """Mass below which no liquid is left; `None` above 31 °C, where there can be none."""
    if temperature_k >= CO2_CRITICAL_TEMPERATURE.value:
        return None
    return cylinder.liquid_gone_mass(volume_m3, temperature_k)


def _state_cautions(case: GasCase) -> tuple[Caution, ...]:
    if case.temperature_k < WARM_FULL_K or case.remaining_kg < 0.9 * case.rated_kg:
        return ()
    text = (
        "A full cylinder is full of liquid from about 27 °C (80 °F); above that its pressure "
        "climbs fast and the burst disc may open. Keep it cool and out of the sun."
    )
    return (Caution("danger", text),)


def _gauge_tells(case: GasCase, phase: cylinder.Phase, gone_kg: float | None) -> str:
    """What the gauge does from here on, by what is in the cylinder."""
    if gone_kg is None:
        return f"{NO_LIQUID} {WEIGH_IT}"
    if phase == "liquid full":
        return f"{LIQUID_FULL} {WEIGH_IT}"
    if case.remaining_kg > gone_kg + ROUND_KG:
        return f"{LIQUID_LEFT} {WEIGH_IT}"
    return "Only gas is left, so the gauge falls from now on: arrange a refill."


def _remarks(case: GasCase, phase: cylinder.Phase, gone_kg: float | None) -> tuple[str, ...]:
    found = [_gauge_tells(case, phase, gone_kg)]
    if case.kegs and case.handling == GAS_HANDLING:
        found.append(FEWER)
    if case.remaining_kg < LOW_SHARE * case.rated_kg:
        found.append("Less than 15 % is left: have a spare or a refill at hand.")
    return tuple(found)
