"""What is known of a part of the system now: one sentence, and the numbers behind it."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from ullage.plan.answers import Band
from ullage.plan.spoken import date_text, headed, listed, part
from ullage.plan.status import KegStatus
from ullage.units import Kind, format_quantity
from ullage.web import wording
from ullage.web.addresses import PartKind
from ullage.web.asked import About
from ullage.web.book import Present
from ullage.web.views import Fact

_STREAMS: Final[dict[PartKind, str]] = {"tap": "line", "regulator": "cellar"}


def names(kind: PartKind, present: Present) -> Collection[str]:
    """The names of all parts of a kind."""
    if kind == "keg":
        return present.state.kegs
    if kind == "cylinder":
        return present.state.cylinders
    if kind == "place":
        return present.state.places_k
    if kind == "regulator":
        return [] if present.empty else [one.name for one in present.system.regulators]
    described = [] if present.empty else [tap.name for tap in present.system.taps]
    return {*described, *present.state.lines_cleaned, *present.state.lines_replaced}


def stream(kind: PartKind, name: str) -> str:
    """The stream of the log that is about a part; a regulator has none but for notes."""
    return f"{_STREAMS.get(kind, kind)}:{name}"


def sentence(about: About) -> str:
    """What is known of it, in one sentence."""
    if about.kind == "keg":
        return keg_sentence(about.present.status.keg(about.name), about)
    if about.kind == "cylinder":
        return _cylinder_sentence(about)
    if about.kind == "place":
        kelvin = about.present.state.places_k[about.name]
        return f"Kept at {format_quantity(kelvin, Kind.TEMPERATURE, about.units)}."
    return _regulator_sentence(about) if about.kind == "regulator" else _tap_sentence(about)


def facts(about: About) -> tuple[Fact, ...]:
    """The numbers of a keg, each with its band; none for other parts, whose sentence says all."""
    if about.kind != "keg":
        return ()
    return keg_facts(about.present.status.keg(about.name), about)


def keg_sentence(keg: KegStatus | None, about: About) -> str:
    """What is in a keg, how much, how gassy."""
    if keg is None or keg.batch is None:
        where = "" if keg is None else f", stands in {keg.place}"
        return f"Empty{where}."
    left = format_quantity(keg.beer_left_m3.value, Kind.VOLUME, about.units)
    level = format_quantity(keg.level_vol.value, Kind.CARBONATION, about.units)
    return f"{keg.batch}: {left} left, {level} of CO2."


def keg_facts(keg: KegStatus | None, about: About) -> tuple[Fact, ...]:
    """Temperature, pressure, carbonation and beer left, each with its band."""
    if keg is None:
        return ()
    warmth = format_quantity(keg.temperature_k, Kind.TEMPERATURE, about.units)
    found = [
        Fact("Place", keg.place),
        Fact("Its temperature", warmth, "estimated"),
        _estimate("Pressure in it", keg.gauge_pressure_pa, Kind.PRESSURE, about),
    ]
    if keg.batch is not None:
        found += [
            _estimate("CO2 in the beer", keg.level_vol, Kind.CARBONATION, about),
            _estimate("Beer left", keg.beer_left_m3, Kind.VOLUME, about),
        ]
    if keg.target_vol is not None:
        wanted = format_quantity(keg.target_vol, Kind.CARBONATION, about.units)
        found.append(Fact("CO2 wanted", wanted))
    return tuple(found)


def _estimate(name: str, band: Band, kind: Kind, about: About) -> Fact:
    value = format_quantity(band.value, kind, about.units)
    spread = wording.band_text(band, kind, about.units)
    note = "estimated" if spread == value else f"estimated, {spread}"
    return Fact(name, value, note)


def _cylinder_sentence(about: About) -> str:
    one = about.present.status.cylinder(about.name)
    if one is None:
        return "Nothing is known of it."
    left = format_quantity(max(one.contents_kg.value, 0.0), Kind.MASS, about.units)
    day = date_text(one.known_at.astimezone(), about.present.at)
    return f"{one.size} cylinder, about {left} of {one.what} left; last known {day}."


def _tap_sentence(about: About) -> str:
    tap = next((one for one in about.present.system.taps if one.name == about.name), None)
    cleaned = about.present.state.lines_cleaned.get(about.name)
    said = "" if tap is None else f"On {part('keg', tap.keg)}. "
    if tap is not None and not tap.hangs:
        said = (
            f"{headed('keg', tap.keg)} was taken off it, to be cleaned or filled: say so when a "
            "keg is on it again. "
        )
    if cleaned is None:
        return f"{said}No cleaning of its line is written down."
    return f"{said}Line last cleaned {date_text(cleaned.astimezone(), about.present.at)}."


def _regulator_sentence(about: About) -> str:
    one = about.present.system.regulator(about.name)
    fed = [keg.name for keg in about.present.system.kegs if keg.regulator == about.name]
    set_to = "not told"
    if one.pressure is not None:
        set_to = format_quantity(one.pressure, Kind.PRESSURE, about.units)
    kegs = listed(fed) or "no keg"
    return f"On {part('cylinder', one.cylinder)}, set to {set_to}; feeds {kegs}."
