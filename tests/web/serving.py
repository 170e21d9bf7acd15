"""A real server on a free loopback port, for as long as a test needs it."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager

import uvicorn
from starlette.types import ASGIApp

LONGEST_START_S = 30.0


class Announced(uvicorn.Server):
    """A server that says when it has begun to serve."""

    def __init__(self, config: uvicorn.Config) -> None:
        super().__init__(config)
        self.up = threading.Event()

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self.up.set()


@contextmanager
def served(app: ASGIApp) -> Iterator[str]:
    """Serve an application and give its address, without a slash at the end."""
    server = Announced(uvicorn.Config(app, log_level="warning", lifespan="off"))
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        try:
            assert server.up.wait(LONGEST_START_S)
            yield f"http://127.0.0.1:{listener.getsockname()[1]}"
        finally:
            server.should_exit = True
            thread.join(LONGEST_START_S)
