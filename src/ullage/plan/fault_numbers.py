"""The numbers of one system that a fix names, as a person of that household writes them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Final

from ullage.physics import beer as beer_physics
from ullage.physics import thermal
from ullage.physics.constants import HEAT_LOSS
from ullage.plan.cases import beer_volume
from ullage.plan.fault_scene import FaultScene
from ullage.plan.gas_missing import gas_missing
from ullage.plan.own import learnt_of
from ullage.plan.spoken import date_text
from ullage.system import parts
from ullage.units import Kind

WITHIN_K: Final = 1.0
COLDEST_K, WARMEST_K = 271.0, 300.0
_HALVINGS: Final = 30


def numbers(scene: FaultScene) -> dict[str, str]:
    """What can be told of this system, by the names of the table of faults."""
    return {name: text for name, text in _all(scene) if text}


def _all(scene: FaultScene) -> Iterator[tuple[str, str]]:
    say = scene.said
    yield "keg", scene.keg.name
    yield "tap", "" if scene.tap is None else scene.tap.name
    yield "place", scene.keg.place
    yield "cylinder", "" if scene.cylinder is None else scene.cylinder.name
    yield "cold", say(scene.place_k, Kind.TEMPERATURE)
    yield "beer_temp", say(scene.beer_k, Kind.TEMPERATURE)
    if scene.state is not None:
        yield "left", say(float(scene.state.beer_m3), Kind.VOLUME)
    if scene.gauge_pa is not None:
        yield "set", say(scene.gauge_pa, Kind.PRESSURE)
    yield from _beer(scene)
    yield from _line(scene)
    yield from _gas(scene)
    yield "cooling", _cooling(scene)


def _beer(scene: FaultScene) -> Iterator[tuple[str, str]]:
    say = scene.said
    if scene.beer is None:
        return
    yield "target", say(scene.beer.volumes, Kind.CARBONATION)
    if scene.keg.carbonation is not None:
        yield "level", say(scene.keg.carbonation, Kind.CARBONATION)
    if scene.keeps_pa is not None and scene.keeps_pa > 0.0:
        yield "keeps", say(scene.keeps_pa, Kind.PRESSURE)


def _line(scene: FaultScene) -> Iterator[tuple[str, str]]:
    say = scene.said
    if scene.line_cleaned is not None:
        yield "cleaned_on", date_text(scene.line_cleaned, scene.at)
        yield "cleaned_ago", f"{(scene.at - scene.line_cleaned) / timedelta(days=1):.0f} days"
    if scene.tap is None or scene.pour is None:
        return
    yield "length_now", say(max(piece.length for piece in scene.tap.line), Kind.LENGTH)
    yield "pint_now", say(scene.pour.pint_s.value, Kind.DURATION)
    yield "pint_wanted", say(scene.pour.wanted_pint_s, Kind.DURATION)
    if scene.pour.advised is not None:
        yield "length_right", say(scene.pour.advised.length_m, Kind.LENGTH)
    if scene.tap.tower_temperature is not None:
        yield "tower", say(scene.tower_k, Kind.TEMPERATURE)
        yield "tower_right", _tower_right(scene)


def _tower_right(scene: FaultScene) -> str:
    """The warmest shank at which the gas as it is set still holds the beer's level."""
    level, gauge = scene.level_vol, scene.gauge_pa
    if level is None or gauge is None:
        return ""
    low, high = COLDEST_K, WARMEST_K
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        needs = scene.holds_at(level, middle)
        low, high = (middle, high) if needs is not None and needs < gauge else (low, middle)
    found = 0.5 * (low + high)
    return scene.said(found, Kind.TEMPERATURE) if COLDEST_K + 0.1 < found < WARMEST_K - 0.1 else ""


def _gas(scene: FaultScene) -> Iterator[tuple[str, str]]:
    if scene.held_kg is not None:
        yield "held", scene.said(max(scene.held_kg, 0.0), Kind.MASS)
    missing = gas_missing(scene)
    if missing is not None and missing.missing_kg > missing.sd_kg:
        yield "missing", scene.said(missing.missing_kg, Kind.MASS)


def _cooling(scene: FaultScene) -> str:
    """How long until the beer is within a kelvin of its place, which is colder."""
    place_k = scene.truly_k
    if scene.beer is None or scene.beer_k - place_k <= WITHIN_K:
        return ""
    density = float(beer_physics.density(beer_physics.standard_beer(), place_k))
    tau = parts.keg_kind(scene.keg.kind).time_constant(beer_volume(scene.keg) * density)
    chilling = learnt_of(scene.system).known("chilling", scene.keg.place)
    tau *= 1.0 if chilling is None else HEAT_LOSS.value / chilling.value
    seconds = thermal.time_to_reach(scene.beer_k, place_k, place_k + WITHIN_K, tau)
    return scene.said(float(seconds), Kind.DURATION)
