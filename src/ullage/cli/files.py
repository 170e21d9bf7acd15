"""The log out of the store and into it: as a file of lines, as a table, as a backup."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from io import TextIOWrapper
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Annotated, BinaryIO, TextIO

import typer

from ullage.cellar.naming import counted
from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json, refuse
from ullage.cli.stores import cellar_asked, now, opened

if TYPE_CHECKING:
    from ullage.cellar.restore import Restored
    from ullage.cellar.store import Store

STANDARD = "-"
readings = typer.Typer(
    name="readings",
    help="Weights, pressures and other readings as a table (CSV) for a spreadsheet.",
    rich_markup_mode=None,
    no_args_is_help=True,
)


def export(
    file: Annotated[str, typer.Argument(help="Where to; - is the terminal.")] = STANDARD,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Replace a file.")] = False,
    system: Annotated[
        bool, typer.Option("--system", help="The system file (TOML) that the log keeps, alone.")
    ] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Write the whole log to a file of lines, nothing lost; its last line proves it whole."""
    from ullage.cellar import transfer

    if system:
        _system_file(file, overwrite, store, json)
        return
    with opened(store) as there, written(file, overwrite) as to:
        done, samples = transfer.export(there, to), _samples_of(there)
    say(
        f"wrote {_held(done.events, done.documents)}, sha256 {done.sha256}{_left_out(samples)}",
        done,
        json,
        aside=file == STANDARD,
    )


def _system_file(file: str, overwrite: bool, store: str | None, json: bool) -> None:
    """Write the system file as it was written, without the log. Raises `StoreError`."""
    from ullage.errors import StoreError
    from ullage.plan.begin import SYSTEM_DOCUMENT

    with opened(store) as there:
        kept = there.get_document(SYSTEM_DOCUMENT)
    if kept is None or not kept.text:
        raise StoreError(
            "this log keeps no system file: take one in with ullage record begin FILE --again"
        )
    with written(file, overwrite) as to:
        to.write(kept.text.encode())
    told = {"file": file, "version": kept.version}
    say(f"wrote the system file, version {kept.version}", told, json, aside=file == STANDARD)


def import_(
    file: Annotated[Path, typer.Argument(help="A file that export wrote.")],
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Take in what an exported file has and the store lacks: all of it, or nothing."""
    from ullage.cellar import transfer
    from ullage.errors import EventError

    with file.open("rb") as source, opened(store, make=True) as there:
        try:
            done = transfer.import_(there, source)
        except EventError as wrong:
            raise EventError(f"{file}: {wrong}") from None
    new, known = len(done.events.written), len(done.events.known)
    say(
        f"took in {_held(new, done.documents)}; {counted(known, 'event')} here already",
        {"events": new, "known": known, "documents": done.documents},
        json,
    )


@readings.command()
def write(
    file: Annotated[str, typer.Argument(help="Where to; - is the terminal.")] = STANDARD,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Replace a file.")] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Write every reading that stands as a table: a row for each number."""
    from ullage.cellar.readings import write_readings

    with opened(store) as there, written_text(file, overwrite) as to:
        rows = write_readings(there, to)
    say(f"wrote {counted(rows, 'reading')}", {"readings": rows}, json, aside=file == STANDARD)


@readings.command()
def read(
    file: Annotated[Path, typer.Argument(help="A table with the same columns.")],
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Take in the readings of a table, all or none; those the log has are left out."""
    from ullage.cellar.readings import read_readings
    from ullage.errors import EventError

    with file.open(encoding="utf-8", newline="") as table, opened(store) as there:
        try:
            done = read_readings(there, table, now())
        except EventError as wrong:
            raise EventError(f"{file}, {wrong}") from None
    say(f"took in {counted(done.written, 'reading')}; {done.known} here already", done, json)


def backup(
    file: Annotated[Path, typer.Argument(help="Where to.")],
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Replace a file.")] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Copy the store to a file while others may write, and prove the copy good."""
    from ullage.cellar.backup import backup as backup_of

    with opened(store) as there:
        _check_free(file, overwrite)
        done = backup_of(there, file, overwrite=overwrite, alone=cellar_asked() is not None)
    told = {
        "file": str(done.file),
        "events": done.events,
        "documents": done.documents,
        "sha256": done.sha256,
        "samples": done.samples,
        "samples_left_out": done.left_out,
    }
    samples = f", with {counted(done.samples, 'sample')} of sensors" if done.samples else ""
    say(
        f"backed up {_held(done.events, done.documents)} to {done.file}, sha256 {done.sha256}"
        f"{samples}{_left_out(done.left_out)}",
        told,
        json,
    )


def restore(
    file: Annotated[Path, typer.Argument(help="A backup, or a file that export wrote.")],
    replace: Annotated[
        bool, typer.Option("--replace", help="Put a store that holds something aside.")
    ] = False,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Make the store anew from a backup, once that was read to its end."""
    from ullage.cellar.restore import restore as restore_from
    from ullage.cellar.store import HOME
    from ullage.errors import StoreError

    try:
        done = restore_from(file, store or None, replace=replace, cellar=cellar_asked() or HOME)
    except StoreError as wrong:
        raise StoreError(str(wrong).replace("allow it to be replaced", "give --replace")) from wrong
    aside = f"; what was there is kept as {done.aside}" if done.aside else ""
    told = {
        "events": done.events,
        "documents": done.documents,
        "aside": str(done.aside) if done.aside else None,
        "accounts": done.accounts,
        "tokens": done.tokens,
    }
    say(f"restored {_held(done.events, done.documents)}{aside}{_access(done)}", told, json)


def _access(done: Restored) -> str:
    """Who may get in again, which may be more than did today."""
    if not done.accounts and not done.tokens:
        return ""
    held = f"{counted(done.accounts, 'account')} and {counted(done.tokens, 'token')}"
    return f"; {held} are as they were then: look them over"


@contextmanager
def written(file: str, overwrite: bool) -> Iterator[BinaryIO]:
    """A file that is there whole or not at all; `-`: standard output."""
    if file == STANDARD:
        yield sys.stdout.buffer
        sys.stdout.buffer.flush()
        return
    target = Path(file)
    _check_free(target, overwrite)
    folder = target.absolute().parent
    with TemporaryDirectory(dir=folder, prefix=f".{target.name}-") as beside:
        new = Path(beside) / "new"
        with new.open("wb") as opened_file:
            yield opened_file
        new.replace(target)


@contextmanager
def written_text(file: str, overwrite: bool) -> Iterator[TextIO]:
    """The same as text in UTF-8, its line ends as they are written."""
    with written(file, overwrite) as to:
        text = TextIOWrapper(to, encoding="utf-8", newline="", write_through=True)
        yield text
        text.detach()


def _check_free(file: Path, overwrite: bool) -> None:
    if file.exists() and not overwrite:
        refuse(f"{file} exists already: give another name, or --overwrite")
    if not file.absolute().parent.is_dir():
        refuse(f"{file}: there is no folder {file.absolute().parent}")


def say(sentence: str, told: object, json: bool, *, aside: bool = False) -> None:
    """The outcome in a line, on stderr (`aside`) where standard output holds the data itself."""
    if aside:
        typer.echo(sentence, err=True)
    elif json:
        print_json(told)
    else:
        typer.echo(sentence)


def _samples_of(store: Store) -> int:
    """How many samples of sensors a store keeps."""
    from ullage.cellar.samples import count

    with store.reading() as connection:
        return count(connection, store.cellar)


def _left_out(samples: int) -> str:
    if not samples:
        return ""
    return f"; {counted(samples, 'sample')} of sensors not in it, see ullage samples export"


def _held(events: int, documents: int) -> str:
    return f"{counted(events, 'event')} and {counted(documents, 'document')}"
