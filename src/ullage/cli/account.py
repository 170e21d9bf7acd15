"""Accounts of those who may log in to the pages: made, listed, changed, removed."""

from __future__ import annotations

import sys
from getpass import getpass
from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json, print_lines, refuse
from ullage.cli.stores import opened

if TYPE_CHECKING:
    from ullage.cellar.accounts import Account

app = typer.Typer(
    name="account",
    help="Accounts of those who may log in to the pages where others can reach them.",
    rich_markup_mode=None,
    no_args_is_help=True,
)
Name = Annotated[str, typer.Argument(help="What the person is called here.")]
RoleName = Annotated[
    str, typer.Option("--role", help="keeper (all), helper (writes down), guest (looks).")
]


@app.command()
def new(
    name: Name, role: RoleName = "keeper", store: StoreAddress = None, json: Json = False
) -> None:
    """Make an account; the password is asked for, or read from the first line of the input."""
    from ullage.cellar import accounts

    wanted = accounts.role_of(role)
    with opened(store, make=True) as there:
        made = accounts.make(there, name, _password(), wanted)
    _say(f"{made.name} may log in, as a {made.role}.", made, json)


@app.command("list")
def list_(store: StoreAddress = None, json: Json = False) -> None:
    """List the accounts by name."""
    from ullage.cellar import accounts

    with opened(store) as there:
        found = accounts.every(there)
    if json:
        print_json({"accounts": found})
    else:
        lines = [f"{one.name}: {one.role}; made {one.made_at[:10]}" for one in found]
        print_lines(lines or ["There is no account yet: ullage account new NAME makes one."])


@app.command()
def password(name: Name, store: StoreAddress = None, json: Json = False) -> None:
    """Give an account another password and log it out everywhere."""
    from ullage.cellar import accounts

    with opened(store) as there:
        found = accounts.get(there, name)  # before it is asked for a password in vain
        accounts.set_password(there, name, _password())
    _say(f"{name} has another password and is logged out everywhere.", found, json)


@app.command()
def role(
    name: Name,
    may: Annotated[str, typer.Argument(help="keeper, helper or guest.")],
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Let an account do more or less, from this moment on."""
    from ullage.cellar import accounts

    wanted = accounts.role_of(may)
    with opened(store) as there:
        accounts.set_role(there, name, wanted)
        found = accounts.get(there, name)
    _say(f"{name} is a {wanted} now.", found, json)


@app.command()
def remove(name: Name, store: StoreAddress = None, json: Json = False) -> None:
    """Remove an account and log it out everywhere."""
    from ullage.cellar import accounts

    with opened(store) as there:
        accounts.remove(there, name)
    if json:
        print_json({"removed": name})
    else:
        typer.echo(f"{name} may log in no more.")


def _say(sentence: str, account: Account, json: bool) -> None:
    if json:
        print_json(account)
    else:
        typer.echo(sentence)


def _password() -> str:
    """Ask twice at a terminal; else the first line of what comes in."""
    if not sys.stdin.isatty():
        try:
            return sys.stdin.readline().rstrip("\r\n")
        except UnicodeDecodeError:
            refuse("what came in as the password is no text in UTF-8; nothing was changed")
    first = getpass("Password: ")
    if getpass("The same again: ") != first:
        refuse("the two passwords differ; nothing was changed")
    return first
