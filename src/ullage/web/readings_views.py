"""What the page of sensors prints: each with its newest reading, its day, and what it wrote."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from markupsafe import Markup

from ullage.cellar.samples import Bucket
from ullage.cellar.tokens import SCOPES, Scope, Token
from ullage.draw.event_words import subject, told
from ullage.draw.sample_lines import age, is_silent, of, said, value_text
from ullage.draw.sample_spark import spark
from ullage.draw.svg import Caption, slug
from ullage.plan.sensors_now import SensorNow
from ullage.units import UnitSystem
from ullage.web.addresses import log_path
from ullage.web.fields import Choice
from ullage.web.views import Fact, Page
from ullage.web.wording import moment

SHOWN_FACTS: Final = 3
MAY: Final[dict[Scope, str]] = {
    "samples": "send readings of sensors",
    "read": "ask for everything but the whole log",
    "record": "ask, and write down what happened",
}
"""What a token of each scope may do."""
SCOPE_CHOICES: Final = tuple(Choice(scope, MAY[scope]) for scope in SCOPES)


@dataclass(frozen=True, slots=True)
class FactRow:
    """A fact that a sensor wrote down."""

    when: str
    iso: str
    text: str


@dataclass(frozen=True, slots=True)
class SensorRow:
    """One sensor. `value` is "" where none came yet; `extremes` of today, in words."""

    name: str
    what: str
    value: str
    age: str
    iso: str
    silent: bool
    spark: Markup
    extremes: str
    writes: str
    facts: tuple[FactRow, ...]
    log: str


@dataclass(frozen=True, slots=True)
class TokenRow:
    """A token that is good: `allows`, what it is for."""

    name: str
    allows: str
    made: str


@dataclass(frozen=True, slots=True)
class ReadingsView:
    """The page. `secret`: a token that was made just now, `error` why none was; `api`: where
    readings are sent to; `example`: what may be sent there, as JSON. `scopes`: what a token may be
    for, `scope`: what was chosen."""

    page: Page
    sentence: str
    sensors: tuple[SensorRow, ...]
    tokens: tuple[TokenRow, ...]
    secret: str
    error: str
    typed: str
    api: str
    example: str
    scopes: tuple[Choice, ...]
    scope: Scope
    title_block: tuple[Fact, ...]


def sentence_of(found: Sequence[SensorNow], now: datetime) -> str:
    """The answer first: whether all speak, and who does not."""
    if not found:
        return "No sensor yet: the system file describes none."
    silent = [one.sensor.name for one in found if is_silent(one, now)]
    if not silent:
        return "The sensor speaks." if len(found) == 1 else f"All {len(found)} sensors speak."
    names = [f"“{name}”" for name in silent]
    told_all = ", ".join(names[:-1]) + (" and " if names[:-1] else "") + names[-1]
    return f"Nothing from {told_all} within the last hour."


def sensor_row(
    one: SensorNow, day: Sequence[Bucket], since: datetime, now: datetime, units: UnitSystem
) -> SensorRow:
    """One sensor, ready to print."""
    sensor, last = one.sensor, one.last
    extremes = _extremes(one, day, units)
    caption = Caption(f"s-{slug(sensor.name)}", f"{sensor.name} today", extremes)
    return SensorRow(
        name=sensor.name,
        what=f"{sensor.measures} of {of(one)}",
        value="" if last is None else value_text(last.value, sensor.measures, units),
        age=said(one, now, units) if last is None else age(now - last.at),
        iso="" if last is None else last.at.astimezone().isoformat(timespec="seconds"),
        silent=is_silent(one, now),
        spark=Markup(spark(day, since, now, caption)),  # noqa: S704  (drawn by us, texts escaped)
        extremes=extremes,
        writes=_writes(one),
        facts=tuple(
            FactRow(
                moment(event.at.astimezone(), now),
                event.at.astimezone().isoformat(timespec="seconds"),
                f"{subject(event)}: {told(event, units)}",
            )
            for event in reversed(one.facts[-SHOWN_FACTS:])
        ),
        log=log_path(one.facts[-1].stream) if one.facts else "",
    )


def token_row(one: Token) -> TokenRow:
    """One token, ready to print."""
    return TokenRow(one.name, f"may {MAY[one.scope]}", one.made_at[:10])


def _extremes(one: SensorNow, day: Sequence[Bucket], units: UnitSystem) -> str:
    if not day:
        return "nothing today"
    measures = one.sensor.measures
    low, high = min(each.low for each in day), max(each.high for each in day)
    if measures == "flow":
        return f"{value_text(high - low, measures, units)} today"
    words = (value_text(low, measures, units), value_text(high, measures, units))
    return f"{words[0]} today" if words[0] == words[1] else f"{words[0]} to {words[1]} today"


def _writes(one: SensorNow) -> str:
    if not one.sensor.writes:
        return "Kept, but writes nothing down."
    count = len(one.facts)
    return (
        f"Wrote down {count:,} fact{'' if count == 1 else 's'}."
        if count
        else ("May write down what it tells; nothing yet.")
    )
