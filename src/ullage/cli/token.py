"""Tokens that programs and sensors send with: made, listed, revoked."""

from __future__ import annotations

from typing import Annotated

import typer

from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json, print_lines
from ullage.cli.stores import opened

app = typer.Typer(
    name="token",
    help="Tokens for programs: to send readings of sensors, to ask, to write down.",
    rich_markup_mode=None,
    no_args_is_help=True,
)
Name = Annotated[str, typer.Argument(help="What it is called, as the thing that uses it.")]
ScopeName = Annotated[
    str,
    typer.Option(
        "--scope",
        help="samples (sends readings), read (asks), record (asks, and writes down).",
    ),
]
MAY = {
    "samples": "may send readings",
    "read": "may ask",
    "record": "may ask and write down what happened",
}
"""What a token of each scope may do."""


@app.command()
def new(
    name: Name, scope: ScopeName = "samples", store: StoreAddress = None, json: Json = False
) -> None:
    """Make a token and show it, this once: only a digest of it is kept."""
    from ullage.cellar import tokens

    wanted = tokens.scope_of(scope)
    with opened(store) as there:
        secret = tokens.make(there, name, wanted)
    if json:
        print_json({"name": name, "scope": wanted, "token": secret})
        return
    typer.echo(secret)
    typer.echo("Keep it now: it is not shown again. Send it as Authorization: Bearer …", err=True)


@app.command("list")
def list_(store: StoreAddress = None, json: Json = False) -> None:
    """List the tokens that are good, by name."""
    from ullage.cellar import tokens

    with opened(store) as there:
        found = tokens.every(there)
    if json:
        print_json({"tokens": found})
    else:
        lines = [f"{one.name}: {MAY[one.scope]}; made {one.made_at[:10]}" for one in found]
        print_lines(lines or ["There is no token yet: ullage token new NAME makes one."])


@app.command()
def revoke(name: Name, store: StoreAddress = None, json: Json = False) -> None:
    """Let a token be good no more, from this moment on."""
    from ullage.cellar import tokens

    with opened(store) as there:
        tokens.revoke(there, name)
    if json:
        print_json({"revoked": name})
    else:
        typer.echo(f"{name} is good no more.")
