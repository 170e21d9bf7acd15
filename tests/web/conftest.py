"""The application over a made-up answer, and a real server and browser over the demo."""

from __future__ import annotations

import shutil
import socket
import threading
from collections.abc import Iterator
from datetime import datetime
from typing import Any

import pytest
import uvicorn
from starlette.testclient import TestClient

from tests.draw import samples
from ullage.plan.answers import WholeAnswer
from ullage.system.demo import demo_system
from ullage.units import UnitSystem
from ullage.web.app import create_app

LONGEST_START_S = 30.0


def made_up(units: UnitSystem | None, now: datetime) -> WholeAnswer:
    return samples.whole()


@pytest.fixture(scope="session")
def client() -> Iterator[TestClient]:
    with TestClient(create_app(ask=made_up), raise_server_exceptions=False) as client:
        yield client


class Announced(uvicorn.Server):
    """A server that says when it has begun to serve."""

    def __init__(self, config: uvicorn.Config) -> None:
        super().__init__(config)
        self.up = threading.Event()

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self.up.set()


@pytest.fixture(scope="session")
def address() -> Iterator[str]:
    """Serve the demo on a free loopback port."""
    app = create_app(demo_system(samples.START.date()))
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


@pytest.fixture(scope="session")
def base_url(address: str) -> str:
    """Where pages are, for the browser plugin (whose own fixture of this name is deprecated)."""
    return address


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    """Debian's Chromium, quiet: it must not ask anything of any other host."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        pytest.fail("the browser tests need Chromium: make chromium")
    quiet = ("background-networking", "component-update", "sync", "gpu")
    args = ["--no-sandbox", "--no-first-run", *(f"--disable-{word}" for word in quiet)]
    return {"executable_path": found, "args": args}
