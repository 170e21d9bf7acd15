"""The same answers in a terminal. Bad input: one line on stderr, exit 2, nothing written.

One module holds the commands of one subject, as plain functions; here they get their names. What
a command needs is imported inside it, and its module only when it is asked for: `ullage --version`
and the quick questions must not wait for what they do not use. `options` holds what several
commands ask for, `saying` how they answer or refuse, `stores` how they open the log.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from functools import cache
from importlib import import_module
from typing import TYPE_CHECKING, Annotated, Any, Final

import typer

from ullage._version import __version__
from ullage.cli.saying import refuse
from ullage.cli.stores import in_cellar
from ullage.errors import UllageError

if TYPE_CHECKING:
    app: typer.Typer

_COMMANDS: Final = (
    "sheet.plan",
    "questions.carbonate",
    "questions.pour",
    "questions.gas",
    "blend.blend",
    "fit.fit",
    "cold.cold",
    "parts.parts",
    "parts.audit",
    "parts.grow",
    "parts.cost",
    "brewing.brewing",
    "brewing.party",
    "share.share",
    "sheet.serve",
    "sheet.demo",
    "listen.listen",
    "cellar.status",
    "alarms.alarms",
    "cellar.log",
    "faults.faults",
    "ahead.look_ahead",
    "ahead.ways",
    "ahead.adopt",
    "ahead.done",
    "ahead.anew",
    "gas_ahead.gas_ahead",
    "learn.learn",
    "upkeep.upkeep",
    "upkeep.interval",
    "procedure.procedure",
    "upkeep.calendar",
    "upkeep.safety",
    "labels.labels",
    "files.export",
    "files.import_",
    "files.backup",
    "files.restore",
    "check.check",
)
"""The module and the function of each command, in the order of the help."""

_GROUPS: Final = (
    "record.app",
    "files.readings",
    "samples.app",
    "token.app",
    "account.app",
    "faults.leak",
)
"""The same of commands that have verbs below them."""


def _root(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    """Answer questions about beer served from kegs."""
    if version:
        typer.echo(f"ullage {__version__}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


def _bare() -> typer.Typer:
    bare = typer.Typer(
        name="ullage",
        help="One physical model of your keg system: what to set, when it is ready, how it pours.",
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    bare.callback(invoke_without_command=True)(_root)
    return bare


def _found(place: str) -> Any:
    module, name = place.split(".")
    return getattr(import_module(f"ullage.cli.{module}"), name)


def _name(place: str) -> str:
    return place.split(".")[1].strip("_").replace("_", "-")


def _add(to: typer.Typer, place: str) -> None:
    command: Callable[..., Any] = _found(place)
    to.command(_name(place))(in_cellar(command))


@cache
def _whole() -> typer.Typer:
    """The application with every command."""
    whole = _bare()
    for place in _COMMANDS:
        _add(whole, place)
    whole.command("undo", cls=_found("record.Verb"))(in_cellar(_found("record.undo")))
    for place in _GROUPS:
        group: typer.Typer = _found(place)
        for one in group.registered_commands:
            one.callback = in_cellar(one.callback) if one.callback else None
        whole.add_typer(group)
    return whole


def asked_for(words: Sequence[str]) -> typer.Typer:
    """The application with the one command that is asked for; whole where none is named.

    To load and build all of them takes longer than a quick question takes to answer.
    """
    found = [place for place in _COMMANDS if _name(place) in words[:1]]
    if not found:
        return _whole()
    alone = _bare()
    _add(alone, found[0])
    return alone


def __getattr__(name: str) -> Any:
    """The whole application as `app`, built when it is first asked for."""
    if name != "app":
        raise AttributeError(f"module 'ullage.cli' has no attribute {name!r}")
    return _whole()


def main() -> None:
    """Run the command line; every mistake of the caller ends in one line and exit 2."""
    try:
        code = asked_for(sys.argv[1:])(standalone_mode=False)
    except UllageError as wrong:
        refuse(str(wrong))
    except OSError as wrong:
        refuse(f"{wrong.strerror or wrong}: {wrong.filename or 'the system refused'}")
    except (KeyboardInterrupt, typer.Abort):
        sys.exit(130)
    except Exception as wrong:
        sentence = getattr(wrong, "format_message", None)
        if sentence is None:
            raise
        refuse(str(sentence()))
    sys.exit(code if isinstance(code, int) else 0)
