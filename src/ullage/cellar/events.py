"""All events of the log as one type, and as lines of readable JSON."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from operator import attrgetter
from typing import Annotated, Any, TypeAlias

from pydantic import Field, TypeAdapter, ValidationError

from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    KegAcquired,
    KegCleaned,
    KegSanitised,
    KegWeighed,
    Kicked,
    Measured,
    Moved,
    Poured,
    Primed,
    Purged,
    Shaken,
    SpundingSet,
    Tapped,
    ToppedUp,
    Vented,
)
from ullage.cellar.learnt import ConstantsKept
from ullage.cellar.other_events import (
    BatchDescribed,
    Brewed,
    CylinderConnected,
    CylinderRead,
    CylinderSwapped,
    CylinderWeighed,
    Gathering,
    HouseholdSet,
    LeakTested,
    LineCleaned,
    LineReplaced,
    Noted,
    PlaceSet,
    Undone,
    UpkeepDone,
)
from ullage.errors import EventError

KegEvent: TypeAlias = (
    KegAcquired
    | KegCleaned
    | KegSanitised
    | Purged
    | Filled
    | Primed
    | SpundingSet
    | GasOn
    | GasOff
    | Vented
    | ToppedUp
    | Shaken
    | Moved
    | Tapped
    | Poured
    | KegWeighed
    | Measured
    | Kicked
)
CylinderEvent: TypeAlias = (
    CylinderConnected | CylinderWeighed | CylinderRead | CylinderSwapped | LeakTested
)
Event: TypeAlias = (
    KegEvent
    | CylinderEvent
    | LineCleaned
    | LineReplaced
    | PlaceSet
    | HouseholdSet
    | ConstantsKept
    | BatchDescribed
    | Brewed
    | Gathering
    | UpkeepDone
    | Noted
    | Undone
)

_ANY: TypeAdapter[Event] = TypeAdapter(Annotated[Event, Field(discriminator="kind")])


def to_json(event: Event) -> str:
    """The event as one line of JSON, its keys in the order of its form."""
    return event.model_dump_json(exclude_none=True)


def from_json(text: str | bytes) -> Event:
    """Read one event. Raises `EventError` that names the field, the value and what is wrong."""
    try:
        return _ANY.validate_json(text)
    except ValidationError as wrong:
        raise EventError(_sentence(wrong)) from None


def from_fields(fields: dict[str, Any]) -> Event:
    """Make an event from its fields. Raises `EventError`."""
    try:
        return _ANY.validate_python(fields)
    except ValidationError as wrong:
        raise EventError(_sentence(wrong)) from None


def json_schema() -> dict[str, Any]:
    """The JSON Schema of any event."""
    return _ANY.json_schema()


def in_order(events: Iterable[Event]) -> list[Event]:
    """Events that count, by their moment; those of one moment as they stand in the log.

    Those that were taken back are left out, and the taking back with them.
    """
    told = list(events)
    gone = {event.event for event in told if type(event) is Undone}
    if gone:
        told = [one for one in told if one.id not in gone and type(one) is not Undone]
    told.sort(key=attrgetter("at"))
    return told


def facts_until(events: Iterable[Event], at: datetime) -> list[Event]:
    """What happened by a moment, in order: nothing planned and nothing taken back."""
    return [one for one in in_order(events) if not one.planned and one.at <= at]


def _sentence(wrong: ValidationError) -> str:
    first = wrong.errors(include_url=False)[0]
    where = ".".join(str(part) for part in first["loc"][1:] or first["loc"]) or "event"
    given = first.get("input")
    shown = "" if isinstance(given, dict) else f", not {str(given)[:60]!r}"
    return f"{where}: {first['msg'].removeprefix('Value error, ')}{shown}"
