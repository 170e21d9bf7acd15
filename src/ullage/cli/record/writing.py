"""How every verb writes: its options, the log it looks things up in, and what it says afterwards.

A verb is a function of a `Desk` and of its own arguments; `verb` gives it the options that every
event has (`--at`, `--planned`, `--remark`, `--store`, `--json`) and opens the store for it.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Any, TypedDict

import typer
from typer.core import TyperCommand

from ullage.cli.options import Json, Moment, StoreAddress
from ullage.cli.saying import print_json, print_lines
from ullage.cli.stores import cautions_of, log_of, now, opened, pressure_notes, units_of

if TYPE_CHECKING:
    from ullage.cellar.events import Event
    from ullage.cellar.recording import Recorded
    from ullage.cellar.store import Store

NEGATIVE = re.compile(r"^-(?=[\d.])")
Keg = Annotated[str | None, typer.Option(help="Which keg; left out: the only one it can be.")]
Cylinder = Annotated[str | None, typer.Option(help="Which cylinder; left out: the only one.")]
Planned = Annotated[bool, typer.Option("--planned", help="A step to come, not a fact; with --at.")]
Remark = Annotated[str, typer.Option(help="A word beside it.")]


class When(TypedDict):
    """What every event has in common."""

    at: datetime
    planned: bool
    remark: str


@dataclass(frozen=True)
class Asked:
    """The options that every verb has, as read."""

    at: datetime
    planned: bool
    remark: str
    address: str | None
    json: bool


@dataclass(frozen=True)
class Desk:
    """Where a verb writes. The store is opened when first needed: bad arguments leave none."""

    asked: Asked
    _closing: ExitStack = field(default_factory=ExitStack)

    @property
    def when(self) -> When:
        """The fields that every event has, to be passed on."""
        return When(at=self.asked.at, planned=self.asked.planned, remark=self.asked.remark)

    @cached_property
    def store(self) -> Store:
        """The store that is there. Raises `StoreError` where there is none yet."""
        return self._closing.enter_context(opened(self.asked.address))

    @cached_property
    def new_store(self) -> Store:
        """The store, made where there is none: for what a log can begin with."""
        return self._closing.enter_context(opened(self.asked.address, make=True))

    @cached_property
    def log(self) -> list[Event]:
        """What the log tells of things and where they are, in the order of writing."""
        from ullage.plan import meant

        return log_of(self.store, meant.KINDS)

    def keg(self, name: str | None, holds_beer: bool | None = None) -> str:
        """The keg that is named, or the only one it can be."""
        from ullage.plan import meant

        return name or meant.keg(self.log, self.asked.at, holds_beer)

    def keg_on(self, tap: str) -> str:
        """The keg that a tap is on at the event's moment. Raises `EventError`: there is no such."""
        from ullage.cli.stores import system_of
        from ullage.plan import meant

        return meant.keg_on(tap, self.log, system_of(self.store), self.asked.at)

    def cylinder(self, name: str | None) -> str:
        """The cylinder that is named, or the only one."""
        from ullage.plan import meant

        return name or meant.cylinder(self.log, self.asked.at)

    def write(self, *events: Event, fresh: bool = False) -> None:
        """Write events, all or none, and say what was written. `fresh`: a log may begin so.

        Raises `EventError` for one that cannot be.
        """
        from ullage.cellar.recording import record

        store = self.new_store if fresh else self.store
        self.say(store, record(store, events, now()))

    def say(self, store: Store, done: Recorded) -> None:
        """Print what was written, how to take it back, and what is odd about it."""
        from ullage.cellar.other_events import Undone
        from ullage.draw.log_lines import recorded_lines

        done = replace(done, warnings=(*done.warnings, *pressure_notes(store, done.events)))
        cautions = cautions_of(store, done.events)
        if self.asked.json:
            print_json(
                {
                    "events": [_plain(event) for event in done.events],
                    "known": done.known,
                    "warnings": done.warnings,
                    "cautions": cautions,
                }
            )
            return
        back = [event for event in done.events if isinstance(event, Undone)]
        wrong = [one.event for event in back for one in store.read(event.of)]
        print_lines(recorded_lines(done, cautions, wrong, units_of(store)))

    def close(self) -> None:
        """Let go of the store."""
        self._closing.close()


class Verb(TyperCommand):
    """A command that takes `-18 degC` for what it is, not for an option."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Write a minus before a number as the sign it is, which no option begins with."""
        return super().parse_args(ctx, [NEGATIVE.sub("\N{MINUS SIGN}", one) for one in args])


def verb(function: Callable[..., None]) -> Callable[..., None]:
    """Give a verb the options that every event has, and a desk as its first argument."""
    own = list(inspect.signature(function, eval_str=True).parameters.values())[1:]
    common = list(inspect.signature(_common, eval_str=True).parameters.values())

    def command(**given: Any) -> None:
        shared = {one.name: given.pop(one.name) for one in common}
        desk = Desk(_asked(**shared))
        try:
            with _in_words():
                function(desk, **given)
        finally:
            desk.close()

    parameters = [*own, *common]
    command.__signature__ = inspect.Signature(  # type: ignore[attr-defined]
        [one.replace(kind=inspect.Parameter.KEYWORD_ONLY) for one in parameters]
    )
    command.__annotations__ = {one.name: one.annotation for one in parameters}
    command.__doc__ = function.__doc__
    command.__name__ = function.__name__
    return command


def _common(
    at: Moment = None,
    planned: Planned = False,
    remark: Remark = "",
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """The options that every verb has; only its signature is of use."""


def _asked(at: str | None, planned: bool, remark: str, store: str | None, json: bool) -> Asked:
    from ullage import typed
    from ullage.errors import EventError

    if planned and at is None:
        raise EventError("--planned needs --at, the time it is planned for")
    return Asked(typed.when(at), planned, remark, store, json)


@contextmanager
def _in_words() -> Iterator[None]:
    """Turn what an event's form refuses (a name too long, say) into one of our sentences."""
    from pydantic import ValidationError

    from ullage.errors import EventError

    try:
        yield
    except ValidationError as wrong:
        first = wrong.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"]) or "event"
        said = first["msg"].removeprefix("Value error, ")
        raise EventError(f"{where}: {said}") from None


def _plain(event: Event) -> dict[str, Any]:
    """The event as it stands in the log."""
    return event.model_dump(mode="json", exclude_none=True)
