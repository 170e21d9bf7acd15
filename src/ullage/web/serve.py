"""Serve a system's sheet with uvicorn, on loopback only."""

from __future__ import annotations

import ipaddress
import socket

import uvicorn

from ullage.errors import UllageError
from ullage.system.model import System
from ullage.web.app import create_app


def serve_system(system: System, host: str, port: int) -> None:
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
            f"Ullage serves {system.name} at http://{shown}:{listener.getsockname()[1]}/",
            flush=True,
        )
        print("Stop it with Ctrl-C.", flush=True)
        server = uvicorn.Server(uvicorn.Config(create_app(system), log_level="warning"))
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
    listener = socket.socket(family, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
    except OSError as wrong:
        listener.close()
        raise UllageError(
            f"cannot serve at {host} port {port}: {wrong.strerror}; choose another with --port"
        ) from None
    return listener
