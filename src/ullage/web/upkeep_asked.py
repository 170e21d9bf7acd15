"""What a procedure's page asks: how strong the cleaner is, what moves it, how warm it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from ullage.plan.clean_drive import SOLUTION_K, Drive, Pump
from ullage.plan.upkeep_progress import Setup
from ullage.units import Kind, UnitSystem
from ullage.web.fields import Choice, Measure, is_bare
from ullage.web.whatif_fields import PRESSURE, Ask, Typed

STRENGTH: Final = Ask(
    "strength",
    "Strength of the cleaner, by its label",
    Measure(Kind.FRACTION, "%", "%", "0.05 %", "5 %"),
    "1 % is 10 g in a litre. The label of what you have comes before any of these.",
)
MEANS: Final = Ask(
    "means",
    "Moved by",
    choices=(Choice("pump", "a small pump"), Choice("keg", "gas, from a clean keg")),
    kind="select",
)
HEAD: Final = Ask(
    "head",
    "The pump lifts at most",
    Measure(Kind.LENGTH, "ft", "m", "0.1 m", "50 m"),
    "With its outlet shut; on its label. The usual one here is common practice, no source.",
)
FREE: Final = Ask(
    "free",
    "It moves freely",
    Measure(Kind.FLOW, "gal/min", "L/min", "0.06 L/min", "300 L/min"),
)
PUSH: Final = Ask(
    "push", "Gas pressure on the clean keg", PRESSURE, "Never above the lowest rating in its chain."
)
WARM: Final = Ask(
    "warm", "The solution is at", Measure(Kind.TEMPERATURE, "°F", "°C", "0 degC", "60 degC")
)
OF_FLOW: Final = (MEANS, HEAD, FREE, PUSH, WARM)
ASKED: Final = (STRENGTH, *OF_FLOW)
NAMES: Final = frozenset(ask.name for ask in ASKED)


def typed_of(query: Mapping[str, str], usual: Setup, units: UnitSystem) -> Typed:
    """The fields as an address or a form has them, else as `usual` has them."""
    drive = usual.drive
    values = {
        STRENGTH: usual.strength,
        HEAD: drive.pump.shut_off_m,
        FREE: drive.pump.free_flow_m3_s,
        PUSH: drive.gauge_pa,
        WARM: drive.temperature_k,
    }
    texts = {
        ask.name: ask.measure.write(value, units)
        for ask, value in values.items()
        if ask.measure is not None
    }
    said = {name: query[name] for name in NAMES if query.get(name, "").strip()}
    return Typed(said, {**texts, MEANS.name: drive.means}, units)


def setup_of(typed: Typed, usual: Setup) -> Setup:
    """What the fields say; where one is wrong, what `usual` has, and its error is kept."""
    drive = usual.drive

    def value(ask: Ask, otherwise: float | None) -> float | None:
        if ask.name not in typed.query or ask.measure is None:
            return otherwise
        return typed.quantity(ask.name, ask.measure, otherwise)

    return Setup(
        strength=value(STRENGTH, usual.strength),
        drive=Drive(
            Pump(
                value(HEAD, None) or drive.pump.shut_off_m,
                value(FREE, None) or drive.pump.free_flow_m3_s,
            ),
            value(PUSH, drive.gauge_pa),
            value(WARM, None) or SOLUTION_K if WARM.name in typed.query else drive.temperature_k,
            "keg" if typed.one_of(MEANS) == "keg" else "pump",
        ),
    )


def kept_of(typed: Typed) -> tuple[tuple[str, str], ...]:
    """What was typed, to be sent on with a tick: a bare number with its unit."""
    found = []
    for ask in ASKED:
        text = typed.text(ask.name) if ask.name in typed.query else ""
        if not text or ask.name in typed.errors:
            continue
        bare = ask.measure is not None and is_bare(text)
        unit = ask.measure.unit(typed.units) if bare and ask.measure is not None else ""
        found.append((ask.name, f"{text} {unit}".strip()))
    return tuple(found)
