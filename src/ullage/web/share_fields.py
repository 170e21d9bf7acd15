"""What the page of a sharing asks, and how it is read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from ullage.plan.share_answer import MOST_REGULATORS
from ullage.plan.share_prices import REGULATOR as REGULATOR_PART
from ullage.plan.share_prices import priced_parts
from ullage.web import whatif_fields as fields
from ullage.web.fields import Choice
from ullage.web.whatif_fields import Ask

REGULATORS: Final = Ask(
    "regulators",
    "Regulators",
    hint="How many pressures can be set, those you would buy counted.",
    choices=tuple(Choice(str(count), str(count)) for count in range(1, MOST_REGULATORS + 1)),
    kind="select",
)
KEEP: Final = Ask("keep", "Kegs that stay", hint="As K1=regulator, K2=second. Empty: none.")
TEMPERATURE: Final = Ask(
    "temperature", "Kegs stand at", fields.BEER_TEMPERATURE, "Empty: each as its place is."
)
BEERS: Final = Ask(
    "beers",
    "Other beers",
    hint="As Pale 2.5; Stout 2.1 ± 0.1; Wheat 3.0 @ 45 degF. Empty: what is in your kegs.",
)
ALTITUDE: Final = Ask("altitude", "Altitude", fields.ALTITUDE, "For other beers.")
PRICE: Final = "price-"
"""What the field of a part's price begins with; the part, as a price book names it, follows."""
NONE: Final = Choice("", "those that are flat")


def carbonate(kegs: Sequence[str]) -> Ask:
    """Which keg is to be carbonated while the others serve."""
    choices = (NONE, *(Choice(name, name) for name in kegs))
    return Ask("carbonate", "Keg to carbonate meanwhile", choices=choices, kind="select")


def prices(asked: Sequence[str]) -> tuple[Ask, ...]:
    """What a part costs, the regulator first; `asked`: others that more regulators take."""
    titles = priced_parts()
    known = dict.fromkeys((REGULATOR_PART, *(part for part in asked if part in titles)))
    return tuple(
        Ask(f"{PRICE}{part}", f"{titles[part]} costs", hint="As 45 or 40-60.") for part in known
    )


NAMES: Final = ("regulators", "keep", "temperature", "carbonate", "beers", "altitude", "units")
"""The fields of the question as its address holds them."""
EVERY: Final = (
    REGULATORS,
    KEEP,
    TEMPERATURE,
    Ask("carbonate", "Keg to carbonate meanwhile", hint="Empty: those that are flat."),
    BEERS,
    ALTITUDE,
    *prices(()),
)
"""All of them, for the description of the data."""
