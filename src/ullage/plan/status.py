"""What is where, how carbonated, how much left, and what to do next: the cellar at a moment."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from ullage.cellar import on_blend
from ullage.cellar.events import Event
from ullage.cellar.household import Household, assumed
from ullage.cellar.standing import Standing, standing_of
from ullage.cellar.state import Assumed, CellarState, CylinderState, KegState
from ullage.errors import OutOfRange
from ullage.physics import blend, solubility
from ullage.plan.advice import Seen, advice
from ullage.plan.answers import Band
from ullage.plan.bands import band_of
from ullage.plan.dry_cylinder import dry_cylinder, is_dry
from ullage.plan.fermenting_out import ending, is_fermenting, too_much_sugar
from ullage.plan.spoken import by_number
from ullage.plan.status_answer import (
    Advice,
    CylinderStatus,
    KegStatus,
    NextStep,
    StatusAnswer,
)
from ullage.plan.status_limits import (
    Describe,
    nothing_described,
    steps_within,
    tends_to,
    with_limits,
)
from ullage.plan.to_come import waiting_of
from ullage.plan.upkeep_now import NO_UPKEEP, UpkeepNow
from ullage.system.cylinder import full_kg

__all__ = [
    "Advice",
    "CylinderStatus",
    "KegStatus",
    "NextStep",
    "StatusAnswer",
    "status",
    "status_of",
]


def status(log: Sequence[Event], at: datetime) -> StatusAnswer:
    """The cellar at a moment from the facts in its log up to then."""
    return status_of(standing_of(log, at))


def status_of(
    standing: Standing,
    kept_up: UpkeepNow = NO_UPKEEP,
    describe: Describe = nothing_described,
) -> StatusAnswer:
    """The cellar as it stands, in words and bands; `kept_up` is what is told of upkeep.

    `describe` gives the system as it stands, whose ratings no pressure to set may be above.
    """
    at, home, now = standing.at, standing.home, standing.now
    found = (_keg(now, standing.spread, name, home) for name in sorted(now.kegs, key=by_number))
    kegs = with_limits(tuple(found), describe)
    cylinders = tuple(
        _cylinder(now, standing.spread, name) for name in sorted(now.cylinders, key=by_number)
    )
    waiting = tuple(
        NextStep(
            step.step,
            step.at,
            step.subject,
            step.do,
            step.when == "missed",
            step.gauge_pressure_pa,
            step.subject_kind,
            step.renews,
        )
        for step in waiting_of(standing.steps, at, home.units)
    )
    steps = steps_within(waiting, kegs, home.units, describe)
    return StatusAnswer(
        at=at,
        units=home.units,
        kegs=kegs,
        cylinders=cylinders,
        steps=steps,
        advice=advice(Seen(at, home.units, kegs, cylinders, steps, kept_up.lines, kept_up.tests)),
        warnings=now.warnings,
        begun=kept_up.begun,
    )


def _keg(now: CellarState, spread: CellarState, name: str, home: Household) -> KegStatus:
    keg, wide = now.kegs[name], spread.kegs[name]
    batch = now.batches.get(keg.batch or "")
    level = band_of(keg.level_vol, wide.level_vol)
    target = batch.target_vol if batch else None
    tolerance = batch.tolerance_vol if batch else None
    near = None
    if keg.beer is not None and target is not None and tolerance is not None:
        near = abs(level.value - target) <= tolerance
    ambient, dry = assumed(home).ambient_pa, dry_cylinder(now, keg)
    return KegStatus(
        keg=name,
        keg_kind=keg.keg_kind,
        place=keg.place,
        batch=keg.batch,
        style=batch.style if batch else "",
        tap=keg.tap,
        filled_at=keg.filled_at,
        beer_left_m3=band_of(keg.beer_m3, wide.beer_m3),
        level_vol=level,
        target_vol=target,
        tolerance_vol=tolerance,
        temperature_k=float(keg.temperature_k),
        gauge_pressure_pa=_gauge(keg, wide, ambient),
        supply_gauge_pa=None if keg.supply is None else keg.supply.gauge_pa,
        comes_to_vol=None if dry else _comes_to(keg, assumed(home)),
        keeps_gauge_pa=_keeps(keg, target, assumed(home)),
        oxygen_fraction=float(keg.oxygen_fraction()) if keg.beer is not None else 0.0,
        drawn_kg=float(keg.ledger.gas_drawn_kg),
        carbonated=near,
        spunding_gauge_pa=keg.spunding_pa,
        ferments=is_fermenting(keg),
        ending=ending(keg, assumed(home)),
        dry_cylinder=dry,
        sugar=too_much_sugar(keg, target, assumed(home)),
        tends_gauge_pa=tends_to(keg, assumed(home)),
    )


def _gauge(keg: KegState, wide: KegState, ambient_pa: float) -> Band:
    if keg.beer is None:
        shown = 0.0 if keg.supply is None else keg.supply.gauge_pa
        return Band(shown, shown, shown)
    return band_of(keg.head_pa() - ambient_pa, wide.head_pa() - ambient_pa)


def _comes_to(keg: KegState, one: Assumed) -> float | None:
    """What the beer comes to if the gas stays as it is and the place as cold.

    `None` where it cannot be told: past −5 to 50 °C or 11 bar.
    """
    if keg.beer is None or keg.supply is None:
        return None
    factor = float(keg.solubility(one))
    try:
        if keg.supply.co2_share < 1.0:
            return float(on_blend.comes_to(keg, factor, one))
        pressure = one.ambient_pa + keg.supply.true_pa - keg.inert_pa(keg.place_k)
        return float(solubility.equilibrium_volumes(pressure, keg.place_k, factor))
    except OutOfRange:
        return None


def _keeps(keg: KegState, target_vol: float | None, one: Assumed) -> float | None:
    """The gauge pressure that keeps the target in its place; `None` where none can be told."""
    if keg.beer is None or not target_vol:
        return None
    factor, shown = float(keg.solubility(one)), 0.0 if keg.supply is None else keg.supply.offset_pa
    try:
        kept = float(solubility.equilibrium_pressure(target_vol, keg.place_k, factor))
        if keg.supply is not None and keg.supply.co2_share < 1.0:
            kept = float(blend.blend_pressure(kept, keg.supply.co2_share, keg.place_k))
        return kept - one.ambient_pa - shown
    except OutOfRange:
        return None


def _cylinder(now: CellarState, spread: CellarState, name: str) -> CylinderStatus:
    known: CylinderState = now.cylinders[name]
    return CylinderStatus(
        cylinder=name,
        size=known.size,
        contents_kg=band_of(known.contents_kg, spread.cylinders[name].contents_kg),
        rated_kg=full_kg(known.size, known.co2_share),
        known_at=known.known_at,
        co2_share=known.co2_share,
        is_dry=is_dry(known),
    )
