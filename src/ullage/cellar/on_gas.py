"""Which kegs only absorb from a regulator, and their numbers taken in hand to follow them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from ullage.cellar import fermenting
from ullage.cellar.absorbing import WARMS_K, Absorbing
from ullage.cellar.keg_shape import keg_shape
from ullage.cellar.many_absorbing import ManyAbsorbing
from ullage.cellar.one_absorbing import OneAbsorbing
from ullage.cellar.state import NO_BEER_M3, Assumed, KegState, Supply
from ullage.cellar.stretch import scale
from ullage.cellar.track import Contact
from ullage.physics.beer import Composition, solubility_factor
from ullage.physics.beer_table import BeerTable, Row, beer_table
from ullage.physics.numbers import Numbers


def on_gas(keg: KegState, assumed: Assumed, contact: Contact | None = None) -> Absorbing | None:
    """The keg's numbers at hand, or `None` for one that does more than absorb from a regulator.

    `contact` overrides that of its supply.
    """
    supply, beer = keg.supply, keg.beer
    if supply is None or beer is None or supply.co2_share != 1.0:
        return None
    kelvin, beer_m3, air_mol = keg.temperature_k, keg.beer_m3, keg.air_mol
    nitrogen = keg.nitrogen_mol
    if (type(nitrogen) is not float or nitrogen != 0.0) and keg.has_nitrogen:
        return None
    if not (_single(kelvin) and _single(beer_m3) and _single(air_mol)):
        return None
    if kelvin < keg.place_k - WARMS_K or beer_m3 <= NO_BEER_M3:
        return None
    ferments = keg.to_ferment_vol
    warmest_k = max(float(kelvin), keg.place_k)
    if (type(ferments) is not float or ferments > 0.0) and fermenting.works(keg, warmest_k):
        return None
    found = _in_hand(keg, beer, supply, assumed, contact or supply.contact)
    found.hold(float(beer_m3))
    found.stand(_plain(keg.head_co2_kg))
    return found


def _in_hand(
    keg: KegState, beer: Composition, supply: Supply, assumed: Assumed, contact: Contact
) -> Absorbing:
    """Its numbers: samples, or single ones, which are followed quicker."""
    speed, level, head_kg = scale(contact, assumed), _plain(keg.level_vol), keg.head_co2_kg
    age, poured_kg = _plain(keg.layer_age), _plain(keg.ledger.gas_poured_kg)
    known = _known(beer, keg.place_k, assumed)
    if assumed.misread is not None:
        misread = keg.misread(assumed.misread, assumed.ambient_pa)
        known = replace(known, factor=known.factor * misread)
    one = type(known.factor) is type(speed) is type(level) is type(age) is type(poured_kg) is float
    return (OneAbsorbing if one and _single(head_kg) else ManyAbsorbing)(
        keg,
        keg_shape(keg.keg_kind, assumed.own.chilling.get(keg.place, 1.0)),
        known.table,
        known.cold,
        known.factor,  # type: ignore[arg-type]  # a plain number for one, and so the next two
        speed,  # type: ignore[arg-type]
        assumed.ambient_pa,
        keg.at,
        level,  # type: ignore[arg-type]
        float(keg.temperature_k),
        keg.place_k,
        float(keg.air_mol),
        supply.gauge_pa,
        keg.ledger.beer_poured_m3,
        poured_kg,
        age,
        contact != "still",
        supply.offset_pa,
    )


@dataclass(frozen=True, slots=True)
class _Known:
    """A beer's table, its properties where the keg stands, its solubility over water's."""

    table: BeerTable
    cold: Row
    factor: Numbers


def _known(beer: Composition, place_k: float, assumed: Assumed) -> _Known:
    """What beer and place bring; with single numbers it is worked out once."""
    of_beer, alcohol, extract = (
        assumed.beer_factor,
        assumed.alcohol_effect,
        assumed.extract_effect,
    )
    if isinstance(of_beer, float) and isinstance(alcohol, float) and isinstance(extract, float):
        return _known_one(beer, place_k, of_beer, alcohol, extract)
    usual = _known_one(beer, place_k)
    return _Known(usual.table, usual.cold, solubility_factor(beer, of_beer, alcohol, extract))


@lru_cache(maxsize=256)
def _known_one(beer: Composition, place_k: float, *effects: float) -> _Known:
    table = beer_table(beer)
    return _Known(table, table.at(place_k), float(solubility_factor(beer, *effects)))


def _single(value: Numbers) -> bool:
    """One number: NumPy's own is one, too."""
    return isinstance(value, float) or np.ndim(value) == 0


def _plain(value: Numbers) -> Numbers:
    """A plain number for a single one."""
    return value if type(value) is float or np.ndim(value) else float(value)
