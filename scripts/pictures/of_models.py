"""Which pictures stand in which section of the models page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from scripts.models_page.section import Section
from scripts.pictures import curves_gas, curves_keg
from scripts.pictures.chart import Picture
from scripts.pictures.errors import errors
from ullage.draw.svg import slug

CURVES: Final[Mapping[str, Callable[[], Picture]]] = {
    "How much CO2 water holds": curves_keg.water_curve,
    "How much CO2 beer holds": curves_keg.beer_curves,
    "How fast beer takes up CO2": curves_keg.absorption_curves,
    "How a keg chills": curves_keg.chilling_curve,
    "How a line pours": curves_gas.restriction_curve,
    "What a cylinder holds": curves_gas.cylinder_curves,
    "Headspace: purging, pushing, venting": curves_gas.purging_curves,
    "CO2 in a room": curves_gas.room_curve,
}
"""By the section's title: where a line through the published points tells more than errors do."""


def pictures_of(section: Section) -> tuple[Picture, ...]:
    """The curve of a section, if it has one, and the errors of its checks, if it has any."""
    found = [CURVES[section.title]()] if section.title in CURVES else []
    if section.checks:
        title = f"{section.title}: how far off each figure Ullage is"
        found.append(errors(f"{slug(section.title)}-errors", title, section.checks))
    return tuple(found)
