"""The same answers in a terminal. Bad input: one line on stderr, exit 2, nothing written.

One module holds the commands of one subject, as plain functions; here they get their names. What a
command needs is imported inside it: `ullage --version` and the quick questions must not wait for
libraries they do not use. `options` holds what several commands ask for, `saying` how they answer
or refuse, `stores` how they open the log.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from ullage._version import __version__
from ullage.cli import (
    account,
    ahead,
    alarms,
    blend,
    brewing,
    cellar,
    check,
    cold,
    faults,
    files,
    fit,
    gas_ahead,
    labels,
    learn,
    listen,
    parts,
    procedure,
    questions,
    record,
    samples,
    share,
    sheet,
    token,
    upkeep,
)
from ullage.cli.saying import refuse
from ullage.cli.stores import in_cellar
from ullage.errors import UllageError


def _new() -> typer.Typer:
    return typer.Typer(
        name="ullage",
        help="One physical model of your keg system: what to set, when it is ready, how it pours.",
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )


app = _new()


@app.callback(invoke_without_command=True)
def root(
    context: typer.Context,
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    """Answer questions about beer served from kegs."""
    if version:
        typer.echo(f"ullage {__version__}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


for _command in (
    sheet.plan,
    questions.carbonate,
    questions.pour,
    questions.gas,
    blend.blend,
    fit.fit,
    cold.cold,
    parts.parts,
    parts.audit,
    parts.grow,
    parts.cost,
    brewing.brewing,
    brewing.party,
    share.share,
    sheet.serve,
    sheet.demo,
    listen.listen,
    cellar.status,
    alarms.alarms,
    cellar.log,
    faults.faults,
    ahead.look_ahead,
    ahead.ways,
    ahead.adopt,
    ahead.done,
    ahead.anew,
    gas_ahead.gas_ahead,
    learn.learn,
    upkeep.upkeep,
    upkeep.interval,
    procedure.procedure,
    upkeep.calendar,
    upkeep.safety,
    labels.labels,
    files.export,
    files.import_,
    files.backup,
    files.restore,
    check.check,
):
    app.command(_command.__name__.strip("_").replace("_", "-"))(in_cellar(_command))
app.command("undo", cls=record.Verb)(in_cellar(record.undo))
for _group in (record.app, files.readings, samples.app, token.app, account.app, faults.leak):
    for _one in _group.registered_commands:
        _one.callback = in_cellar(_one.callback) if _one.callback else None
    app.add_typer(_group)


def asked_for(words: Sequence[str]) -> typer.Typer:
    """The application with the one command that is asked for; whole where none is named.

    To build all of them takes longer than a quick question takes to answer.
    """
    found = [one for one in app.registered_commands if one.name in words[:1]]
    if not found:
        return app
    alone = _new()
    alone.registered_callback, alone.registered_commands = app.registered_callback, found
    return alone


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
