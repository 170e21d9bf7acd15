"""What can be said of a part: each verb with the fields it asks and the events it comes to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final, TypeAlias

from ullage.cellar.events import Event, from_fields
from ullage.cellar.happening import Happening
from ullage.web.addresses import PartKind
from ullage.web.asked import About, Asked, Value, Values

SUBJECT_FIELDS: Final[dict[PartKind, str]] = {
    "keg": "keg",
    "cylinder": "cylinder",
    "regulator": "about",
    "tap": "tap",
    "place": "place",
}


@dataclass(frozen=True, slots=True)
class Said:
    """What was said with a verb: when, of what, with what values, and a word beside it.

    `does`: the planned step that it fulfils.
    """

    about: About
    at: datetime
    values: Values
    remark: str = ""
    does: str | None = None

    def event(self, kind: type[Happening], **more: Value | None) -> Event:
        """One event of this kind about the part, with `more` over its values."""
        subject = {SUBJECT_FIELDS[self.about.kind]: self.about.name}
        return self.other(kind, **{**subject, **self.values, **more})

    def other(self, kind: type[Happening], **fields: Value | None) -> Event:
        """One event with these fields and no others. Raises `EventError`."""
        given: dict[str, Any] = {key: one for key, one in fields.items() if one is not None}
        name = kind.model_fields["kind"].default
        return from_fields(
            {"kind": name, "at": self.at, "remark": self.remark, "does": self.does, **given}
        )


Makes: TypeAlias = Callable[[Said], tuple[Event, ...]]
Offered: TypeAlias = Callable[[About], bool]


def always(about: About) -> bool:
    """A verb that can be said at any time."""
    del about
    return True


@dataclass(frozen=True, slots=True)
class Verb:
    """Something that can be said of a part. Without fields it takes one tap.

    `kind`: the event it comes to, for its caution and its planned steps; `makes`: the events, where
    that is more than one of this kind with the values as they are.
    """

    slug: str
    title: str
    kind: type[Happening]
    asked: tuple[Asked, ...] = ()
    makes: Makes | None = None
    offered: Offered = always
    preset: Values = field(default_factory=dict)
    hint: str = ""

    @property
    def one_tap(self) -> bool:
        """Whether nothing needs to be asked."""
        return not self.asked

    def events(self, said: Said) -> tuple[Event, ...]:
        """The events that saying it comes to. Raises `EventError`."""
        if self.makes is not None:
            return self.makes(said)
        return (said.event(self.kind, **self.preset),)
