"""The application in one process or in several: whatever they share is in the store."""

from __future__ import annotations

import socket
from dataclasses import dataclass
from functools import partial
from typing import Final

import uvicorn
from starlette.types import ASGIApp
from uvicorn.supervisors import Multiprocess

from ullage.cellar.opening import file_of
from ullage.cellar.store import Store
from ullage.errors import UllageError
from ullage.web.app import below, create_app
from ullage.web.book import Book
from ullage.web.club import Club, Rules
from ullage.web.gate import Gate

CIPHERS: Final = "ECDHE+AESGCM:ECDHE+CHACHA20"
"""For TLS 1.2: those with forward secrecy that also seal what they encrypt. 1.3 has no others."""

STARTS_WITHIN_S: Final = 120
"""A process that does not answer for so long is ended and begun anew. The usual five seconds are
fewer than a small machine takes to begin, so that it would never get to serve."""

KEPT_OPEN_S: Final = 60
"""An idle connection stays for so long. Whoever asks on one just as it is shut gets no answer, and
after the usual five seconds that happens to somebody who reads a page and then goes on."""


@dataclass(frozen=True, slots=True)
class Made:
    """What an application is made of, in whichever process.

    `code`: that for the first account, "" for none; `None`: there is no gate. `club`: all cellars.
    """

    rules: Rules
    code: str | None = None
    club: bool = False


@dataclass(frozen=True, slots=True)
class Processes:
    """How many serve, and with which files for https (`None`: http)."""

    count: int = 1
    certificate: str | None = None
    key: str | None = None


def application(store: Store, made: Made) -> ASGIApp:
    """The application over an open store."""
    if made.club:
        return Club(store, made.rules)
    book, rules = Book(store), made.rules
    gate = None
    if made.code is not None:
        gate = Gate(book, below(rules.base_path), rules.https, made.code)
    return create_app(book, rules.base_path, rules.hosts, gate, rules.https)


def run(store: Store, made: Made, processes: Processes, listener: socket.socket) -> None:
    """Serve until interrupted. Raises `UllageError` for several processes over a store in memory.

    One process serves the open store itself; each of several opens it for itself.
    """
    settings = {
        "log_level": "warning",
        "server_header": False,
        "timeout_keep_alive": KEPT_OPEN_S,
        "ssl_certfile": processes.certificate,
        "ssl_keyfile": processes.key,
        "ssl_ciphers": CIPHERS,
    }
    if processes.count == 1:
        config = uvicorn.Config(application(store, made), **settings)  # type: ignore[arg-type]
        uvicorn.Server(config).run(sockets=[listener])
        return
    check(store, processes.count)
    address = store.url.render_as_string(hide_password=False)
    config = uvicorn.Config(
        partial(_opened, address, store.cellar, made),
        factory=True,
        workers=processes.count,
        timeout_worker_healthcheck=STARTS_WITHIN_S,
        **settings,  # type: ignore[arg-type]
    )
    Multiprocess(config, sockets=[listener]).run()


def check(store: Store, count: int) -> None:
    """Refuse several processes over what only one can see. Raises `UllageError`."""
    if count > 1 and store.url.get_backend_name() == "sqlite" and file_of(store.url) is None:
        raise UllageError(
            "a system that is only tried out is served by one worker: leave out --workers"
        )


def _opened(address: str, cellar: str, made: Made) -> ASGIApp:
    """The application in a process of its own, over the store that it opens."""
    return application(Store.open(address, cellar=cellar), made)
