"""The charts: an answer in, an SVG out.

With `standalone` a picture has its own paper and colours and looks right in any viewer. Without it
the picture takes its colours from the page it stands in, and obeys a strict content policy.
`prefix` starts every id of a picture; give each picture of a page its own.
"""

from __future__ import annotations

from datetime import datetime

from ullage.draw.carbonation import carbonation_svg
from ullage.draw.profile import profile_svg
from ullage.plan.answers import CarbonationAnswer, PourAnswer
from ullage.units import UnitSystem

__all__ = ["carbonation_chart", "profile_chart"]


def carbonation_chart(
    answer: CarbonationAnswer,
    units: UnitSystem,
    now: datetime | None = None,
    *,
    standalone: bool = False,
    prefix: str | None = None,
) -> str:
    """Draw volumes of CO2 over days, a strip for each schedule, with band, target and ready day.

    A metric household reads grams per litre. Raises `ValueError` when there is no schedule.
    """
    return carbonation_svg(answer, units, now, standalone, prefix)


def profile_chart(
    answer: PourAnswer,
    units: UnitSystem,
    *,
    standalone: bool = False,
    prefix: str | None = None,
) -> str:
    """Draw the gauge pressure along the way, pouring and shut, against saturation."""
    return profile_svg(answer, units, standalone, prefix)
