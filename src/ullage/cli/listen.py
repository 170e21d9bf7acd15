"""`ullage listen`: hear the household's sensors over MQTT, and tell how things stand."""

from __future__ import annotations

import os
import signal
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json
from ullage.cli.stores import opened

if TYPE_CHECKING:
    from ullage.bus.listener import Listener

PASSWORD = "ULLAGE_BROKER_PASSWORD"  # noqa: S105  (the variable's name)


def listen(
    broker: Annotated[str, typer.Option(help="Where the broker is: HOST or HOST:PORT.")],
    user: Annotated[str | None, typer.Option(help="By what name to be let in.")] = None,
    password_file: Annotated[
        Path | None,
        typer.Option(help=f"A file that holds the password; else {PASSWORD} is read."),
    ] = None,
    tls: Annotated[bool, typer.Option("--tls", help="Speak in secret (TLS, port 8883).")] = False,
    ca_file: Annotated[
        Path | None, typer.Option(help="Whose word to trust for the broker; with it, TLS is on.")
    ] = None,
    client_id: Annotated[
        str, typer.Option(help="By what name the broker keeps what is missed; always the same.")
    ] = "ullage",
    prefix: Annotated[str, typer.Option(help="What the topics begin with.")] = "ullage",
    discovery: Annotated[
        str, typer.Option(help="What discovery topics begin with; none leaves them out.")
    ] = "homeassistant",
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Take in what sensors send to an MQTT broker, and publish how kegs and cylinders stand."""
    from ullage.bus.broker import Broker, address
    from ullage.bus.listener import Listener
    from ullage.bus.topics import Speaking, checked_prefix

    secret = tls or ca_file is not None
    host, port = address(broker, tls=secret)
    speaking = Speaking(
        checked_prefix(prefix), None if discovery == "none" else checked_prefix(discovery)
    )
    to = Broker(host, port, client_id, user, _password(password_file), secret, ca_file)
    with opened(store) as there:
        listener = Listener(there, to, speaking, lambda line: typer.echo(line, err=True))
        _stop_on_signals(listener)
        tally = listener.run()
    if json:
        print_json(tally)
        return
    typer.echo(
        f"took in {tally.new}; {tally.known} here already, {tally.refused} refused; "
        f"wrote down {tally.facts}"
    )


def _password(file: Path | None) -> str | None:
    if file is None:
        return os.environ.get(PASSWORD)
    return file.read_text(encoding="utf-8").rstrip("\r\n")


def _stop_on_signals(listener: Listener) -> None:
    for one in (signal.SIGINT, signal.SIGTERM):
        signal.signal(one, lambda *_: listener.stop())
