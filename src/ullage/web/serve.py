"""Serve a store's pages with uvicorn, on loopback only."""

from __future__ import annotations

import ipaddress
import socket

import uvicorn

from ullage.cellar.store import Store
from ullage.errors import UllageError
from ullage.web.app import create_app
from ullage.web.book import Book


def serve_store(store: Store, name: str, host: str, port: int, base_path: str = "") -> None:
    """Serve until interrupted. Raises `UllageError` where the address cannot be served.

    There is no login yet, so anything but a loopback address is refused.
    """
    if not _is_loopback(host):
        raise UllageError(
            f'"{host}" can be reached by others, and the page has no login; serve at 127.0.0.1'
        )
    with _listening(host, port) as listener:
        shown = f"[{host}]" if ":" in host else host
        print(
            f"Ullage serves {name} at http://{shown}:{listener.getsockname()[1]}/",
            flush=True,
        )
        print("Stop it with Ctrl-C.", flush=True)
        server = uvicorn.Server(
            uvicorn.Config(create_app(Book(store), base_path), log_level="warning")
        )
        server.run(sockets=[listener])


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
