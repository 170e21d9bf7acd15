"""`ullage check`: whether all that is kept can still be read, and what to do where it cannot."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cellar.naming import counted
from ullage.cli.files import written
from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json, print_lines, refuse
from ullage.cli.stores import cellar_asked

if TYPE_CHECKING:
    from ullage.cellar.checking import Checked
    from ullage.cellar.rescue import Rescued

DAMAGED = 1
"""The exit code where something is wrong with the store."""


def check(
    rescue: Annotated[
        str | None, typer.Option(help="Write what can be read to this file, as export does.")
    ] = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Replace a file.")] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Read the whole store and tell whether it is sound; exit 1 where it is not."""
    from ullage.cellar.checking import check as checked
    from ullage.cellar.tables import REVISION

    found = checked(store or None)
    saved = None if rescue is None else _rescued(rescue, overwrite, store)
    if json:
        print_json(
            {
                "where": found.where,
                "sound": found.sound,
                "events": found.events,
                "documents": found.documents,
                "cellars": found.cellars,
                "lost": found.lost,
                "ahead": found.ahead,
                "complaints": found.complaints,
                "form": found.form,
                "newest_form": REVISION,
                "rescued": saved,
            }
        )
    else:
        print_lines(_said(found, rescue, saved))
    if not found.sound:
        raise typer.Exit(DAMAGED)


def _rescued(to: str, overwrite: bool, store: str | None) -> Rescued:
    from ullage.cellar import opening
    from ullage.cellar.rescue import rescue
    from ullage.cellar.store import HOME

    file = opening.file_of(opening.address(store or None))
    if file is None:
        refuse("only from a file can what is left be taken out: a server has its own tools for it")
    if Path(to).absolute() == file.absolute():
        refuse(f"{to} is the store itself: give another name")
    with written(to, overwrite) as out:
        return rescue(file, out, cellar_asked() or HOME)


def _of_form(form: str | None) -> list[str]:
    """What is to be known of a form that is not this program's."""
    from ullage.cellar.migrations.steps import is_newer
    from ullage.cellar.tables import REVISION

    if form is None or form == REVISION:
        return []
    if is_newer(form):
        return [f"A newer Ullage wrote it (form {form}, this one knows {REVISION}): install that."]
    return [
        f"It has form {form} of an older Ullage: the next command that opens it brings it to form "
        f"{REVISION}, and keeps the file as it is now beside it."
    ]


def _said(found: Checked, to: str | None, saved: Rescued | None) -> list[str]:
    read = f"{counted(found.events, 'event')} and {counted(found.documents, 'document')}"
    if found.sound:
        lines = [f"{found.where} is sound: {read} read to the end."]
    else:
        lines = [
            f"{found.where} is damaged: {read} can be read, {counted(found.lost, 'event')} cannot.",
            *(f"  {one}" for one in found.complaints),
            "Stop what uses it, then restore the newest backup: ullage restore BACKUP --replace "
            "keeps the damaged file beside it.",
        ]
        if saved is None:
            lines.append("Without a backup: ullage check --rescue FILE writes what can be read.")
    lines += _of_form(found.form)
    if found.ahead:
        lines.append(
            f"{counted(found.ahead, 'event')} happened later than this machine's clock says it is: "
            "set the clock right; they count once their time comes."
        )
    if saved is not None:
        lines.append(
            f"Wrote {counted(saved.events, 'event')} and {counted(saved.documents, 'document')} "
            f"to {to}, {saved.left_out} left out: ullage restore {to} --replace makes a store of "
            "it."
        )
    return lines
