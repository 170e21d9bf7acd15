"""From what is owned to what the physics asks for: beers, kegs and ways to the glass in numbers."""

from __future__ import annotations

from datetime import datetime
from functools import cache

from ullage.cellar.track import FERMENTED_K, KegCase
from ullage.physics import beer as beer_physics
from ullage.physics import solubility
from ullage.physics.beer import Composition
from ullage.plan import clock
from ullage.plan.lifting import full_kg
from ullage.plan.own import own_keg, share_on
from ullage.plan.schedule import Means, Wanted
from ullage.plan.weakest import weakest
from ullage.system import parts
from ullage.system.model import Beer, Keg, System

YEAST_WITHIN_K = 3.0
"""A place this near to where the beer fermented will do for its yeast; our own choice."""
ON_SCALE_K = 277.15
"""Beer that is weighed is taken to be as warm as a fridge, and a standard beer: off by half a
percent of it at most."""
LEAST_HEAD_SHARE = 0.005
"""Gas space over capacity left even in a keg said to be brimful; assumed."""


def composition(beer: Beer) -> Composition:
    """The beer's alcohol and extract, from its gravities, its alcohol, or the standard beer's."""
    if beer.og is not None and beer.fg is not None:
        return beer_physics.from_gravities(beer.og, beer.fg)
    if beer.abv is not None:
        return beer_physics.from_abv(100.0 * beer.abv)
    return beer_physics.standard_beer()


def residual_vol(beer: Beer, ambient_pa: float) -> float:
    """What fermentation left in the beer: the balance with CO2 at the room's pressure."""
    warmest = beer.fermentation_temperature or FERMENTED_K
    factor = float(beer_physics.solubility_factor(composition(beer)))
    return solubility.equilibrium_volumes(ambient_pa, warmest, factor)


@cache
def scale_density() -> float:
    """Density (kg/m³) of beer that a scale tells of: a standard one, as cold as a fridge."""
    return float(beer_physics.density(beer_physics.standard_beer(), ON_SCALE_K))


def beer_volume(keg: Keg) -> float:
    """Beer in the keg (m³): what was told, else the kind's usual fill."""
    kind = parts.keg_kind(keg.kind)
    return kind.usual_fill_m3 if keg.volume is None else keg.volume


def beer_level(keg: Keg) -> float:
    """Height of the beer in the keg (m)."""
    return beer_volume(keg) / parts.keg_kind(keg.kind).cross_section_m2


def keg_case(system: System, keg: Keg, beer: Beer, ambient_pa: float) -> KegCase:
    """The keg's beer as the carbonation plan follows it, with what its household has of its own."""
    made_of = composition(beer)
    place_k = system.place(keg.place).temperature
    volume = beer_volume(keg)
    start = residual_vol(beer, ambient_pa) if keg.carbonation is None else keg.carbonation
    case = KegCase(
        beer=made_of,
        beer_m3=volume,
        depth_m=beer_level(keg),
        start_vol=start,
        start_k=keg.temperature or place_k,
        place_k=place_k,
        tau_s=parts.keg_kind(keg.kind).time_constant(
            volume * float(beer_physics.density(made_of, place_k))
        ),
        ambient_pa=ambient_pa,
        head_m3=head_space(keg),
    )
    return own_keg(case, system, keg.name)


def head_space(keg: Keg) -> float:
    """Gas space above the beer (m³); never nothing, so that a vent has something to let off."""
    capacity = parts.keg_kind(keg.kind).capacity_m3
    return max(capacity - beer_volume(keg), LEAST_HEAD_SHARE * capacity)


def wanted(system: System, keg: Keg, beer: Beer, start: datetime) -> Wanted:
    """What the keeper wants of this keg, and what its parts allow."""
    regulator = None if keg.regulator is None else system.regulator(keg.regulator)
    by = beer.ready_by
    return Wanted(
        beer=beer.name,
        keg=keg.name,
        place=keg.place,
        target_vol=beer.volumes,
        tolerance_vol=beer.tolerance,
        start=start,
        by=None if by is None else clock.noon(by, start),
        present_gauge_pa=None if regulator is None else regulator.pressure,
        highest_gauge_pa=lowest_rating(system, keg),
        means=means(system, keg, beer),
    )


def means(system: System, keg: Keg, beer: Beer) -> Means:
    """What there is to carbonate this keg with, and where yeast would work."""
    warm = beer.fermentation_temperature or FERMENTED_K
    near = [one for one in system.places if abs(one.temperature - warm) <= YEAST_WITHIN_K]
    place = min(near, key=lambda one: abs(one.temperature - warm), default=None)
    return Means(
        on_gas=keg.regulator is not None,
        stone=keg.stone,
        spunding_valve=keg.spunding_valve,
        keg_gauge_pa=keg_rating(keg),
        warm_k=warm if place is None else place.temperature,
        warm_place=None if place is None else place.name,
        gravity=beer.gravity,
        final_gravity=beer.fg,
        co2_share=share_on(system, keg.name),
        weight_kg=full_kg(parts.keg_kind(keg.kind), beer_volume(keg)),
    )


def keg_rating(keg: Keg) -> float:
    """Rating of the keg itself, gauge Pa."""
    kind = parts.keg_kind(keg.kind)
    return kind.max_gauge_pa if keg.max_pressure is None else keg.max_pressure


def lowest_rating(system: System, keg: Keg) -> float:
    """Lowest rating of all that sees this keg's gas, its beer lines included; gauge Pa."""
    return weakest(system, keg).gauge_pa
