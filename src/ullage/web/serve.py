"""Serve a store's pages with uvicorn: on loopback as they are, elsewhere behind a login."""

from __future__ import annotations

import ipaddress
import socket
import ssl
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from ullage.cellar import accounts
from ullage.cellar.contents import kept_by_somebody
from ullage.cellar.opening import file_of
from ullage.cellar.store import Store
from ullage.errors import UllageError
from ullage.web import workers
from ullage.web.book import Book
from ullage.web.club import Rules
from ullage.web.gate import Gate, new_code
from ullage.web.hosts import LOOPBACK, host_name
from ullage.web.workers import Made, Processes

ANY: Final = frozenset({"0.0.0.0", "::"})  # noqa: S104  (served so only behind a gate)
"""Addresses that mean all of this machine's; nobody asks for a page by them."""


@dataclass(frozen=True, slots=True)
class Serving:
    """Where and to whom the pages are served.

    `base_path`: where a proxy mounts them. `host_names`: names besides those of loopback that they
    may be asked for by. `login`: ask for one on loopback, too. `first_account`: let the first one
    be made in a browser, with a code that the terminal shows. `anyone`: ask for none anywhere.
    `certificate`, `key`: files for https; `https`: a proxy speaks it. `workers`: processes.
    """

    host: str = "127.0.0.1"
    port: int = 8420
    base_path: str = ""
    host_names: tuple[str, ...] = ()
    login: bool = False
    first_account: bool = False
    anyone: bool = False
    certificate: Path | None = None
    key: Path | None = None
    https: bool = False
    workers: int = 1

    @property
    def speaks_https(self) -> bool:
        """Whether browsers reach the pages by https."""
        return self.https or self.certificate is not None


def serve_store(store: Store, name: str, how: Serving) -> None:
    """Serve until interrupted. Raises `UllageError` where the address cannot be served so."""
    gate = gate_of(Book(store), how)
    rules = Rules(how.base_path, how.speaks_https, _names(how))
    made = Made(rules, None if gate is None else gate.code)
    _run(store, name, made, how)


def serve_club(store: Store, names: tuple[str, ...], how: Serving) -> None:
    """Serve several cellars of a store until interrupted, each behind a login of its own.

    `names`: those; none: every one that somebody has an account in, also from later on. Raises
    `UllageError` where one of the names has no account, or the address cannot be served so.
    """
    if how.anyone or how.first_account:
        raise UllageError(
            "each cellar of a club has its login: make the first account of one with ullage "
            "account new NAME --cellar CELLAR"
        )
    with store.reading() as connection:
        there = kept_by_somebody(connection)
    for name in names:
        if name not in there:
            raise UllageError(
                f"nobody has an account in {name} yet: make one with ullage account new NAME "
                f"--cellar {name}"
            )
    served = len(names or there)
    told = f"a club of {served} {'cellar' if served == 1 else 'cellars'}"
    rules = Rules(how.base_path, how.speaks_https, _names(how), names)
    _run(store, told, Made(rules, "", club=True), how)


def _run(store: Store, name: str, made: Made, how: Serving) -> None:
    _check_files(how)
    workers.check(store, how.workers)
    with _listening(how.host, how.port) as listener:
        _tell(name, how, made.code, listener.getsockname()[1])
        files = (None if one is None else str(one) for one in (how.certificate, how.key))
        workers.run(store, made, Processes(how.workers, *files), listener)


def gate_of(book: Book, how: Serving) -> Gate | None:
    """The gate before the pages; `None` on loopback, and where anyone is let in.

    Raises `UllageError` where others can reach the pages and nobody has an account yet.
    """
    if how.anyone and (how.login or how.first_account):
        raise UllageError("either there is a login or anyone is let in: leave one of them out")
    if how.anyone or (_is_loopback(how.host) and not (how.login or how.first_account)):
        return None
    there = accounts.every(book.store)
    if not there and not how.first_account:
        raise UllageError(_nobody(book, how))
    base = how.base_path.strip("/")
    code = "" if there else new_code()
    return Gate(book, f"/{base}" if base else "", how.speaks_https, code)


def _nobody(book: Book, how: Serving) -> str:
    """Why nothing is served where nobody could log in. What is only tried out keeps no accounts."""
    reached = f'"{how.host}" can be reached by others and ' if not _is_loopback(how.host) else ""
    url = book.store.url
    if url.get_backend_name() == "sqlite" and file_of(url) is None:
        cure = "give --let-anyone-in, and whoever reaches it may read and change everything"
    else:
        cure = (
            "make one with ullage account new NAME, or in the browser with --first-account; "
            "--let-anyone-in does without, and whoever reaches it may read and change everything"
        )
    return f"{reached}nobody has an account yet: {cure}"


def _tell(name: str, how: Serving, code: str | None, port: int) -> None:
    """Say in the terminal where it is, who may come in, and what that means.

    `code`: for the first account; `None`: there is no gate.
    """
    shown = f"[{how.host}]" if ":" in how.host else how.host
    scheme = "http" if how.certificate is None else "https"
    said = [f"Ullage serves {name} at {scheme}://{shown}:{port}/"]
    if how.host in ANY and (here := _lan_address()):
        said.append(f"From other devices: {scheme}://{here}:{port}/")
    if code:
        said.append(f"The code for the first account: {code}")
    if how.anyone:
        said.append("Anyone who reaches that address may read and change everything.")
    if code is not None and not how.speaks_https and not _is_loopback(how.host):
        said.append(
            "Passwords cross the network in the clear: use --certificate and --key, or a proxy "
            "that speaks https and --https."
        )
    said.append("Stop it with Ctrl-C.")
    print("\n".join(said), flush=True)


def _names(how: Serving) -> tuple[str, ...]:
    """The names that the pages may be asked for by; of an address for all, the machine's own."""
    own = _machine_names() if how.host in ANY else (host_name(how.host),)
    return (*LOOPBACK, *own, *(host_name(one) for one in how.host_names))


def _machine_names() -> tuple[str, ...]:
    """This machine's name and addresses, as far as it knows them."""
    name = socket.gethostname()
    try:
        found = {str(one[4][0]).partition("%")[0] for one in socket.getaddrinfo(name, None)}
    except OSError:
        found = set()
    found |= {name, f"{name}.local"}
    names = []
    for one in sorted(found):
        try:
            names.append(host_name(one))
        except UllageError:
            continue  # a machine may be called what no browser can ask for
    return tuple(names)


def _lan_address() -> str:
    """This machine's own address towards its router, "" where it has none. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address kept for documents (RFC 5737)
        except OSError:
            return ""
        return str(probe.getsockname()[0])


def _check_files(how: Serving) -> None:
    if (how.certificate is None) != (how.key is None):
        raise UllageError("https needs both: --certificate FILE and --key FILE")
    for file in (how.certificate, how.key):
        if file is not None and not file.is_file():
            raise UllageError(f"{file}: there is no such file")
    if how.certificate is not None and how.key is not None:
        _check_pair(how.certificate, how.key)


def _check_pair(certificate: Path, key: Path) -> None:
    """Refuse files that https cannot be served with, before a browser meets them."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    try:
        # Asked for a password only where the key needs one; none would do, so it is no key then.
        context.load_cert_chain(certificate, key, password=lambda: "")
    except (ssl.SSLError, OSError) as wrong:
        raise UllageError(
            f"{certificate} and {key} are no certificate and its key (PEM, without a password): "
            f"{wrong.strerror or wrong}"
        ) from None


def _is_loopback(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _listening(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # The protocol is named so that answers are sent at once (asyncio sets TCP_NODELAY by it);
    # else the kernel holds a small file back for 40 ms.
    listener = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen()  # so that whoever reads the address can connect at once
    except OSError as wrong:
        listener.close()
        raise UllageError(
            f"cannot serve at {host} port {port}: {wrong.strerror}; choose another with --port"
        ) from None
    return listener
