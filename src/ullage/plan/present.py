"""The system as it stands at a moment: what the file describes, with what the log says since.

Every answer that is worked out for a system file can so be asked of the cellar as it is now.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from ullage.cellar.events import Event, facts_until, in_order
from ullage.cellar.household import Household, household
from ullage.cellar.keg_events import GasOn, KegAcquired, Tapped
from ullage.cellar.other_events import BatchDescribed
from ullage.cellar.standing import Standing
from ullage.cellar.state import CellarState, KegState
from ullage.cellar.store import Store
from ullage.plan.cylinder_stamps import stamps_of
from ullage.plan.own import with_learnt
from ullage.plan.regulators_now import RegulatorsNow, regulators_now
from ullage.system.cylinder import Cylinder
from ullage.system.model import Beer, Keg, Place, Regulator, System, Tap

NAMELESS = "Home"


class FreeTap(Tap):
    """A tap whose line hangs on no keg now; `keg`: the one that was on it last."""

    @property
    def hangs(self) -> bool:
        """It does not."""
        return False


@dataclass(frozen=True, slots=True)
class Told:
    """What the log tells that no state holds: batches as described, and which keg feeds a tap.

    `gas_set`: kegs that gas was put on, the one whose pressure was said last at the end. `tested`:
    the test date stamped on a cylinder that came by a swap. `used`: kegs that came used.
    """

    home: Household
    batches: Mapping[str, BatchDescribed]
    taps: Mapping[str, str]
    gas_set: tuple[str, ...] = ()
    tested: Mapping[str, date] = field(default_factory=dict)
    used: frozenset[str] = frozenset()


def told(log: Iterable[Event]) -> Told:
    """Read from the facts of a log; events of other kinds do not matter and may be left out."""
    facts = [event for event in in_order(log) if not event.planned]
    return Told(
        home=household(facts),
        batches={one.batch: one for one in facts if isinstance(one, BatchDescribed)},
        taps={one.tap: one.keg for one in facts if isinstance(one, Tapped)},
        gas_set=_gas_set(facts),
        tested={
            name: one.tested for name, one in stamps_of(facts).items() if one.tested is not None
        },
        used=frozenset(one.keg for one in facts if isinstance(one, KegAcquired) and one.used),
    )


def told_of(store: Store, standing: Standing, kind: str) -> Told:
    """The same by one kind of event alone, up to the standing's moment: no long log is read for it.

    Raises `StoreError`.
    """
    found = store.read(kinds=(kind, "undone"), planned=False)
    facts = facts_until((one.event for one in found), standing.at)
    return replace(told(facts), home=standing.home)


def _gas_set(facts: Iterable[Event]) -> tuple[str, ...]:
    """Kegs in the order in which the pressure of their gas was last said."""
    said: dict[str, None] = {}
    for one in facts:
        if isinstance(one, GasOn):
            said.pop(one.keg, None)
            said[one.keg] = None
    return tuple(said)


def present_system(described: System | None, cellar: CellarState, words: Told) -> System:
    """The system as it stands now, with the constants of its own that the household kept.

    Parts that only the log knows are added; regulators, lines and faucets only a file describes.
    Made without the checks of a file: a keg may hold less than any file would say.
    """
    base = described or System(name=NAMELESS)
    hangs = regulators_now(base, cellar, words.gas_set)
    stands = base.model_copy(
        update={
            "units": words.home.units,
            "altitude": words.home.altitude_m,
            "places": _places(base, cellar),
            "cylinders": _cylinders(base, cellar, words),
            "regulators": _regulators(base, cellar, words, hangs),
            "beers": _beers(base, cellar, words),
            "kegs": _kegs(base, cellar, words.used, hangs),
            "taps": _taps(base, cellar, words),
        }
    )
    return with_learnt(stands, words.home.learnt)


def _places(base: System, cellar: CellarState) -> tuple[Place, ...]:
    known = {one.name: one for one in base.places}
    for name, kelvin in cellar.places_k.items():
        one = known.get(name) or Place.model_construct(name=name, temperature=kelvin)
        known[name] = one.model_copy(update={"temperature": kelvin})
    return tuple(known.values())


def _cylinders(base: System, cellar: CellarState, words: Told) -> tuple[Cylinder, ...]:
    known = {one.name: one for one in base.cylinders}
    where = next(iter(cellar.places_k), "")
    for name, state in cellar.cylinders.items():
        one = known.get(name) or Cylinder.model_construct(name=name, size=state.size, place=where)
        held = max(float(state.contents_kg), 0.0)
        changed = {"size": state.size, "co2": state.co2_share, "contents": held}
        changed |= {"gross_weight": None, "tare": None}
        stamped = {"requalified": words.tested[name]} if name in words.tested else {}
        known[name] = one.model_copy(update=changed | stamped)
    return tuple(known.values())


def _regulators(
    base: System, cellar: CellarState, words: Told, hangs: RegulatorsNow
) -> tuple[Regulator, ...]:
    """Each at the pressure that was said last of a keg on it; as described where none is.

    A regulator has one pressure: what was said of another keg before has been turned since. It is
    on the cylinder that it was moved to.
    """
    order = {name: place for place, name in enumerate(words.gas_set)}
    set_pa: dict[str | None, float] = {}
    for name in sorted(cellar.kegs, key=lambda one: order.get(one, -1)):
        supply = cellar.kegs[name].supply
        if supply is not None:
            set_pa[hangs.feeds[name]] = supply.gauge_pa
    return tuple(
        one.model_copy(
            update={
                "pressure": set_pa.get(one.name, one.pressure),
                "cylinder": hangs.moved.get(one.name, one.cylinder),
            }
        )
        for one in base.regulators
    )


def _beers(base: System, cellar: CellarState, words: Told) -> tuple[Beer, ...]:
    known = {one.name: one for one in base.beers}
    for name, one in words.batches.items():
        before = known.get(name)
        warmest = None if before is None else before.fermentation_temperature
        ferments, conditions = _in_fermenter(before)
        known[name] = Beer.model_construct(
            name=name,
            style=one.style or None,
            volumes=one.target_vol,
            tolerance=one.tolerance_vol,
            og=one.og if one.fg is not None else None,
            fg=one.fg if one.og is not None else None,
            abv=one.abv if one.og is None or one.fg is None else None,
            fermentation_temperature=warmest,
            ready_by=one.ready_by,
            ferments_in=ferments,
            conditions_in=conditions,
        )
    for keg in cellar.kegs.values():
        if keg.gives_a_glass and keg.batch is not None and keg.batch not in known:
            known[keg.batch] = Beer.model_construct(name=keg.batch, volumes=float(keg.level_vol))
    return tuple(known.values())


def _in_fermenter(beer: Beer | None) -> tuple[float, float]:
    """How long it ferments and conditions (s): as the file says, which no event tells, or as is
    usual.
    """
    usual = Beer.model_fields
    if beer is None:
        return float(usual["ferments_in"].default), float(usual["conditions_in"].default)
    return beer.ferments_in, beer.conditions_in


def _kegs(
    base: System, cellar: CellarState, used: Collection[str], hangs: RegulatorsNow
) -> tuple[Keg, ...]:
    """In the order of the file, then as acquired; a keg that only the file knows is as told.

    `used`: those that the log has come used; what the file says used is so too.
    """
    known = {one.name: one for one in base.kegs}
    for name, state in cellar.kegs.items():
        new = Keg.model_construct(name=name, kind=state.keg_kind, place=state.place)
        one = _as_it_is(known.get(name) or new, state)
        now = {"used": one.used or name in used, "regulator": hangs.feeds[name]}
        known[name] = one.model_copy(update=now)
    return tuple(known.values())


def _as_it_is(keg: Keg, state: KegState) -> Keg:
    full = state.gives_a_glass
    return keg.model_copy(
        update={
            "kind": state.keg_kind,
            "place": state.place,
            "beer": state.batch if full else None,
            "volume": float(state.beer_m3) if full else None,
            "carbonation": float(state.level_vol) if full else None,
            "temperature": float(state.temperature_k),
        }
    )


def _taps(base: System, cellar: CellarState, words: Told) -> tuple[Tap, ...]:
    """Each on the keg that was tapped on it last, free where replay has taken that one off it."""
    known = {keg.name for keg in base.kegs} | set(cellar.kegs)
    return tuple(
        _tap(tap, base, cellar, words) if _keg(tap, words) in known else tap for tap in base.taps
    )


def _keg(tap: Tap, words: Told) -> str:
    return words.taps.get(tap.name, tap.keg)


def _tap(tap: Tap, base: System, cellar: CellarState, words: Told) -> Tap:
    keg = _keg(tap, words)
    on = tap.model_copy(update={"keg": keg})
    if tap.name not in words.taps or not _was_taken_off(tap.name, base, cellar.kegs.get(keg)):
        return on
    return FreeTap.model_construct(**{name: getattr(on, name) for name in Tap.model_fields})


def _was_taken_off(tap: str, base: System, keg: KegState | None) -> bool:
    """Whether replay has the keg that was tapped on it last off it: cleaned, filled, moved on.

    Of two taps that a file puts on one keg, replay knows the last: the other hangs there, too.
    """
    if keg is None or keg.tap == tap:
        return False
    if keg.tap is None:
        return keg.tap_before == tap
    both = {one.name for one in base.taps if one.keg == keg.name}
    return not {tap, keg.tap} <= both
