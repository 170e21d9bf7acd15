"""The time of a pour as it is asked for: of the glass that the household times."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ullage.everyday_units import US_PINT_M3
from ullage.web.asked import About, AskedQuantity, Value
from ullage.web.fields import FieldView
from ullage.web.keg_now import glass_m3


@dataclass(frozen=True, slots=True)
class AskedPourTime(AskedQuantity):
    """The seconds to fill a US pint, or half a litre in a metric household.

    Kept as the time of a US pint: at one flow the two stand as the glasses' volumes.
    """

    def view(self, about: About, typed: str | None, error: str) -> FieldView:
        """The field with the household's glass in its words."""
        us = about.units == "us"
        label = "Time to pour a US pint" if us else "Time to pour half a litre"
        glass = "473 mL" if us else "500 mL"
        asked = AskedQuantity.view(self, about, typed, error)
        return replace(asked, label=label, hint=f"{glass}, the faucet fully open.")

    def write(self, value: Value, about: About) -> str:
        """The household's glass in seconds."""
        return AskedQuantity.write(self, float(value) * _pints(about), about)

    def parsed(self, text: str, about: About) -> float:
        """The seconds for a US pint. Raises `UnitError`."""
        return AskedQuantity.parsed(self, text, about) / _pints(about)


def _pints(about: About) -> float:
    """The household's glass in US pints."""
    return glass_m3(about) / US_PINT_M3
