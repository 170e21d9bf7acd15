"""What filling does to a keg, and what makes it ferment on: sugar, and a valve for its gas."""

from __future__ import annotations

from dataclasses import replace

from ullage.cellar import amounts
from ullage.cellar.head import settled
from ullage.cellar.keg_changes import LEAST_HEAD_M3, PUSHED_AIR_SHARE, Change, left, off_tap
from ullage.cellar.keg_events import Filled, Primed, SpundingSet
from ullage.cellar.naming import headed, part
from ullage.cellar.state import Assumed, BatchState, KegState, Ledger
from ullage.cellar.track import FERMENTED_K
from ullage.physics import beer as beer_physics
from ullage.physics import co2, fermentation, solubility, water
from ullage.physics.beer import Composition
from ullage.physics.constants import CO2_VOLUME_DENSITY, GAS_CONSTANT
from ullage.physics.numbers import Numbers


def fill(keg: KegState, event: Filled, batch: BatchState | None, assumed: Assumed) -> Change:
    """New beer: the head is what the keg held before, at the air's pressure."""
    made_of = batch.beer if batch is not None else beer_physics.standard_beer()
    new = replace(off_tap(keg), beer=made_of, temperature_k=event.temperature_k)
    volume = event.volume_m3
    if volume is None:
        density = float(beer_physics.density(made_of, event.temperature_k))
        volume = (event.net_kg or 0.0) / density
    most = keg.kind.capacity_m3 - LEAST_HEAD_M3
    warnings = left(keg)
    if volume > most:
        warnings += (
            f"{amounts.volume(volume)} is more than {part('keg', keg.name)} holds, "
            f"{amounts.volume(keg.kind.capacity_m3)}; it is taken as full.",
        )
        volume = most
    level = _start_level(new, event, assumed)
    to_ferment, said = _still_to_ferment(event, batch, made_of)
    warnings += said
    head_m3 = keg.kind.capacity_m3 - volume
    dry = assumed.ambient_pa - water.vapour_pressure(event.temperature_k)
    share = min(keg.air_share, PUSHED_AIR_SHARE) if event.air_purged else keg.air_share
    air_mol = share * dry * head_m3 / (GAS_CONSTANT.value * event.temperature_k)
    head = co2.gas_mass((1.0 - share) * dry, head_m3, event.temperature_k)
    gas = volume * level * CO2_VOLUME_DENSITY.value + head
    filled = replace(
        new,
        batch=event.batch,
        filled_at=event.at,
        beer_m3=volume,
        level_vol=level,
        head_co2_kg=head,
        air_mol=air_mol,
        layer_age=0.0,
        spunding_pa=None,
        to_ferment_vol=to_ferment,
        nitrogen_mol=0.0,
        fills_since_stripped=keg.fills_since_stripped + 1,
        ledger=Ledger(beer_filled_m3=volume, gas_filled_kg=gas),
    )
    return Change(settled(filled, assumed), warnings)


def _start_level(keg: KegState, event: Filled, assumed: Assumed) -> Numbers:
    """What the beer brings: as told, or in balance with the room at its warmest.

    Its own temperature counts where it still ferments and nobody told.
    """
    if event.start_vol is not None:
        return event.start_vol
    usual = FERMENTED_K if event.gravity is None else event.temperature_k
    warmest = event.fermentation_k or usual
    return solubility.equilibrium_volumes(assumed.ambient_pa, warmest, keg.solubility(assumed))


def _still_to_ferment(
    event: Filled, batch: BatchState | None, beer: Composition
) -> tuple[float, tuple[str, ...]]:
    """Volumes that the beer will yet make, by its gravity at filling and the batch's final one."""
    if event.gravity is None:
        return 0.0, ()
    known = None if batch is None else batch.fg
    final = beer.specific_gravity if known is None else known
    said: tuple[str, ...] = ()
    if known is None:
        said += (f"No final gravity of {event.batch} is described; {final:.3f} is taken.",)
    if event.gravity < final:
        said += (
            f"A gravity of {event.gravity:.3f} is below the final {final:.3f}: the beer counts as "
            "done.",
        )
        return 0.0, said
    return float(fermentation.volumes_to_make(event.gravity, final)), said


def prime(keg: KegState, event: Primed) -> Change:
    """Sugar for the yeast: it will make its CO2 in this beer."""
    if not keg.holds_beer:
        named = headed("keg", keg.name)
        return Change(keg, (f"{named} holds no beer that sugar could prime.",))
    gas = event.sugar_kg * fermentation.co2_yield(event.sugar)
    more = gas / (keg.beer_m3 * CO2_VOLUME_DENSITY.value)
    return Change(replace(keg, to_ferment_vol=keg.to_ferment_vol + more))


def set_spunding(keg: KegState, event: SpundingSet, assumed: Assumed) -> Change:
    """The valve takes the gas's place and lets off at once what stands above it."""
    valve = event.gauge_pressure_pa or None
    return Change(settled(replace(keg, supply=None, spunding_pa=valve), assumed))
