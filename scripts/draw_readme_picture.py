"""Takes the README's picture, docs/sheet.png: the top of the demo's sheet, at a fixed time."""

from __future__ import annotations

import os
import shutil
import socket
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import uvicorn
from playwright.sync_api import sync_playwright

from ullage.plan.answers import WholeAnswer
from ullage.plan.whole import whole_answer
from ullage.system.demo import demo_system
from ullage.units import UnitSystem
from ullage.web.app import create_app

PICTURE = Path(__file__).parents[1] / "docs" / "sheet.png"
WHEN = datetime(2026, 6, 11, 18, 0, tzinfo=UTC)
WIDTH, HEIGHT = 1180, 500


@contextmanager
def served() -> Iterator[str]:
    """Serve the demo as of a fixed time on a free loopback port."""
    system = demo_system(WHEN.date())

    def ask(units: UnitSystem | None, now: datetime) -> WholeAnswer:
        del units, now
        return whole_answer(system, start=WHEN, now=WHEN)

    app = create_app(system, ask=ask)
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning", lifespan="off"))
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()  # early visitors wait in the queue until the server is up
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        try:
            yield f"http://127.0.0.1:{listener.getsockname()[1]}/?theme=paper"
        finally:
            server.should_exit = True
            thread.join()


def main(picture: Path = PICTURE) -> None:
    """Photograph the top of the sheet into `picture`."""
    os.environ["TZ"] = "UTC"  # dates are written in local time: let it be the same everywhere
    time.tzset()
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        print("no Chromium here: the README's picture stays as it is")
        return
    with served() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})
        page.goto(address)
        page.evaluate("document.fonts.ready")
        page.screenshot(path=picture)
        browser.close()
    print(f"wrote {picture.name}, {picture.stat().st_size:,} bytes")


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:2]))
