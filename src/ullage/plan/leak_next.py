"""What to do after a leak test, by what it came to."""

from __future__ import annotations

from typing import Final

from ullage.plan.leak_answer import Verdict

FIRST_LOOK_S: Final = 15 * 60.0
"""So soon to look first: a leak that matters may empty gas lines long before a night is over; and a
shorter hold shows only how the gas takes the parts' warmth. Common practice, no source."""

SHUT_IT: Final = (
    "How long the cylinder lasts cannot be told from this: keep its valve shut while nobody draws, "
    "until the leak is found."
)
HALVE: Final = (
    "Halve it: shut a valve in the middle, and hold the pressure on each side by itself.",
    "On the side that falls brush soapy water or sanitiser foam on every joint.",
)
NONE_SEEN: Final = (
    "Wait longer for a finer test: twice the time shows a leak half as small.",
    "Read at the same temperature as at the start; a fridge that has just run misleads.",
)
CAME_IN: Final = (
    "Shut the cylinder's valve all the way, and turn the regulator's screw out once the pressure "
    "is set: a valve not quite shut, or a regulator that creeps, feeds the test and hides a leak. "
    "If the pressure climbs again then, have the regulator's seat looked at.",
    "Let all of it come to one temperature and read the thermometer beside it: a keg that is "
    "warmer than told rises without any gas.",
    "Then do the test again from the start.",
)
HEAVIER: Final = (
    "Was it refilled or swapped, was less used than told, or did a hose or another regulator hang "
    "on it? Then begin again.",
    "Set the scale to zero, and weigh twice on the same spot: both times should agree.",
)


def after_hold(verdict: Verdict, duration_s: float) -> tuple[str, ...]:
    """What to do after a held pressure that lasted `duration_s`."""
    if verdict == "at least":
        return (_sooner(duration_s), SHUT_IT, *HALVE)
    return CAME_IN if verdict == "void" else after_weighing(verdict)


def after_weighing(verdict: Verdict) -> tuple[str, ...]:
    """What to do after two weighings."""
    if verdict == "void":
        return HEAVIER
    return HALVE if verdict == "leak" else NONE_SEEN


def _sooner(duration_s: float) -> str:
    """When to read again where all had gone."""
    again = "Bring it to the same pressure, shut the cylinder and "
    if duration_s > FIRST_LOOK_S:
        return f"{again}read again after 15 min, while the gauge stands well above 0."
    return f"{again}watch: read it when the gauge has fallen by a third or so, and note the time."
