"""What can be said of a cylinder, the most usual first."""

from __future__ import annotations

from typing import Final

from ullage.cellar.events import Event
from ullage.cellar.other_events import (
    CylinderRead,
    CylinderSwapped,
    CylinderWeighed,
    LeakTested,
)
from ullage.errors import EventError
from ullage.physics.constants import ICE_POINT
from ullage.plan.cylinder_stamps import stamps_of
from ullage.system import parts
from ullage.system.cylinder import Cylinder
from ullage.units import Kind, format_quantity
from ullage.web import asked
from ullage.web.asked import About, AskedQuantity, AskedText, usually
from ullage.web.beer_questions import AskedDay
from ullage.web.fields import Measure
from ullage.web.keg_verbs import NOTE
from ullage.web.verbs import Said, Verb


def _cylinder(about: About) -> Cylinder | None:
    known = about.present.described
    found = () if known is None else known.cylinders
    return next((one for one in found if one.name == about.name), None)


def _tare(about: About) -> float | None:
    """The empty weight told since its last swap; without one, that of the system file, else the
    catalogue's.
    """
    stamped = stamps_of(about.present.log).get(about.name)
    if stamped is not None and stamped.tells_tare:
        return stamped.tare_kg
    known, state = _cylinder(about), about.present.state.cylinders.get(about.name)
    if known is not None and known.tare is not None:
        return known.tare
    return None if state is None else parts.cylinder_size(state.size).tare_kg


def _room(about: About) -> float | None:
    known = _cylinder(about)
    return None if known is None else about.present.state.places_k.get(known.place)


def _weighed(said: Said) -> tuple[Event, ...]:
    gross, tare = float(said.values["gross_kg"]), float(said.values["tare_kg"])
    held, name = _gas_in(said, gross, tare), said.about.name
    return (said.other(CylinderWeighed, cylinder=name, contents_kg=held, tare_kg=tare),)


def _swapped(said: Said) -> tuple[Event, ...]:
    """Full, or what the scale shows less what it weighs empty."""
    values = dict(said.values)
    gross, tare = values.pop("gross_kg", None), values.get("tare_kg")
    if values.get("co2_share") == _share(said.about):
        del values["co2_share"]
    if gross is not None and tare is None:
        raise EventError("tare_kg: give the empty weight too, stamped on the shoulder as TW")
    if gross is not None and tare is not None:
        values["contents_kg"] = _gas_in(said, float(gross), float(tare))
    return (said.other(CylinderSwapped, cylinder=said.about.name, **values),)


def _share(about: About) -> float:
    """What CO2 is in its gas now, of 1."""
    state = about.present.state.cylinders.get(about.name)
    return 1.0 if state is None else state.co2_share


def _gas_in(said: Said, gross_kg: float, tare_kg: float) -> float:
    """What the scale shows less what it weighs empty. Raises `EventError`."""
    if gross_kg < tare_kg:
        low, high = (
            format_quantity(one, Kind.MASS, said.about.units) for one in (gross_kg, tare_kg)
        )
        raise EventError(f"gross_kg: {low} is less than the empty cylinder weighs ({high})")
    return gross_kg - tare_kg


def _quantity(name: str, label: str, measure: Measure, hint: str = "") -> AskedQuantity:
    return AskedQuantity(name, label, hint=hint, measure=measure)


def _at_room(name: str, label: str) -> AskedQuantity:
    def begin(about: About) -> float:
        return _room(about) or ICE_POINT.value + 20.0

    return AskedQuantity(name, label, begin=begin, measure=asked.ROOM)


CYLINDER_VERBS: Final = (
    Verb(
        "weighed",
        "Weighed",
        CylinderWeighed,
        (
            _quantity("gross_kg", "On the scale, without the regulator", asked.MASS),
            AskedQuantity(
                "tare_kg",
                "Empty weight",
                hint="Stamped on the shoulder as TW or TARE. Use the stamped one.",
                begin=_tare,
                measure=asked.MASS,
            ),
        ),
        makes=_weighed,
    ),
    Verb(
        "read",
        "Gauge read",
        CylinderRead,
        (
            _quantity(
                "gauge_pressure_pa",
                "High-pressure gauge",
                asked.BOTTLE_GAUGE,
                "While liquid is left it shows how warm the cylinder is, not how full. Once it "
                "reads far lower for that warmth, only gas is left, and it tells how much.",
            ),
            _at_room("temperature_k", "How warm is the cylinder?"),
        ),
    ),
    Verb(
        "swapped",
        "Swapped or refilled",
        CylinderSwapped,
        (
            AskedQuantity(
                "tare_kg",
                "Empty weight",
                needed=False,
                hint="Stamped on the shoulder as TW or TARE; another cylinder has another one. "
                "Without it no weight of it can be told.",
                measure=asked.MASS,
            ),
            AskedQuantity(
                "gross_kg",
                "On the scale, without the regulator",
                needed=False,
                hint="Leave it empty for a full one.",
                measure=asked.MASS,
            ),
            AskedQuantity(
                "co2_share",
                "CO2 in its gas",
                needed=False,
                hint="100 is straight CO2; blended gas says on its label how much CO2 is in it. "
                "A blend has another valve: a regulator made for it, never an adapter.",
                begin=_share,
                measure=asked.CO2,
            ),
            AskedDay(
                "tested",
                "Last test date",
                needed=False,
                hint="Stamped beside it, as 05 24. Empty: not looked yet.",
            ),
        ),
        makes=_swapped,
    ),
    Verb(
        "leak-tested",
        "Leak test",
        LeakTested,
        (
            AskedText("part", "Which part was shut in?", begin=usually("gas lines")),
            _quantity("start_gauge_pa", "Gauge at the start", asked.BOTTLE_GAUGE),
            _at_room("start_k", "How warm then?"),
            _quantity("end_gauge_pa", "Gauge at the end", asked.BOTTLE_GAUGE),
            _at_room("end_k", "How warm at the end?"),
            _quantity("duration_s", "Time between the two", asked.MINUTES),
        ),
    ),
    NOTE,
)
