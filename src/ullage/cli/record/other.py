"""Beer lines, notes, and what was written by mistake."""

from __future__ import annotations

from typing import Annotated

import typer

from ullage.cli.record.writing import Desk
from ullage.cli.stores import log_of

Tap = Annotated[str | None, typer.Argument(help="Of which tap; left out: the only one.")]


def line_cleaned(
    desk: Desk,
    tap: Tap = None,
    cleaner: Annotated[str, typer.Option("--with", help="With what.")] = "",
) -> None:
    """The beer line of a tap cleaned."""
    from ullage.cellar.other_events import LineCleaned

    desk.write(LineCleaned(tap=_tap(desk, tap), cleaner=cleaner, **desk.when))


def line_replaced(desk: Desk, tap: Tap = None) -> None:
    """The beer line of a tap replaced."""
    from ullage.cellar.other_events import LineReplaced

    desk.write(LineReplaced(tap=_tap(desk, tap), **desk.when))


def upkeep_done(
    desk: Desk,
    task: Annotated[str, typer.Argument(help="Which task, as upkeep lists them: gas alarm.")],
    about: Annotated[str, typer.Argument(metavar="PART", help="Of which part.")] = "cellar",
) -> None:
    """A task of upkeep done that has no verb of its own."""
    from ullage.cellar.other_events import UpkeepDone
    from ullage.plan.upkeep_changes import rule_of

    desk.write(UpkeepDone(task=rule_of(task).name, about=about, **desk.when))


def note(
    desk: Desk,
    text: Annotated[str, typer.Argument(help="What you want to remember.")],
    about: Annotated[
        str | None, typer.Option(help='What it is about, as "Amber Ale"; left out: the cellar.')
    ] = None,
    keg: Annotated[str | None, typer.Option(help="Or the keg that it is about.")] = None,
) -> None:
    """A note about anything."""
    from ullage.cellar.other_events import Noted
    from ullage.errors import EventError
    from ullage.plan import meant

    if about is not None and keg is not None:
        raise EventError("give --about or --keg, not both")
    if keg is not None and keg not in meant.kegs(desk.log, desk.asked.at):
        raise EventError(f"no keg is called {keg}: give one that came into the cellar")
    desk.write(Noted(about=about or keg or "cellar", text=text, **desk.when), fresh=keg is None)


def undo(
    desk: Desk,
    event: Annotated[
        str | None, typer.Argument(metavar="ID", help="Which; left out: the one written last.")
    ] = None,
) -> None:
    """Take back what was written by mistake: it stays in the log and counts no more."""
    from ullage.cellar.other_events import Undone
    from ullage.errors import EventError
    from ullage.plan import meant

    wrong = meant.event(log_of(desk.store), event)
    if isinstance(wrong, Undone):
        raise EventError("a taking back cannot be taken back; record the event anew")
    desk.write(Undone(event=wrong.id, of=wrong.stream, **desk.when))


def _tap(desk: Desk, name: str | None) -> str:
    from ullage.plan import meant

    return name or meant.tap(desk.log, desk.asked.at)
