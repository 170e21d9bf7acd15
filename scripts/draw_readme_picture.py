"""Takes the README's picture, docs/sheet.png: the demo's cellar, at a fixed time."""

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
from tempfile import TemporaryDirectory

import uvicorn
from playwright.sync_api import FloatRect, Page, sync_playwright

from ullage.cellar.store import Store
from ullage.plan.begin import begin
from ullage.system.demo import demo_system, demo_text
from ullage.web.app import create_app
from ullage.web.book import Book

PICTURE = Path(__file__).parents[1] / "docs" / "sheet.png"
WHEN = datetime(2026, 6, 11, 18, 0, tzinfo=UTC)
WIDTH, SHARPNESS = 900, 1.5
"""Pixels of the page, near the width at which a README is read, and of the picture for each."""
BELOW = 14
"""Pixels of the page that are shown below the diagram."""


@contextmanager
def served() -> Iterator[str]:
    """Serve the demo as of a fixed time on a free loopback port."""
    today = WHEN.date()
    with TemporaryDirectory() as folder, Store.open(str(Path(folder) / "demo.db")) as store:
        begin(store, demo_system(today), demo_text(today), WHEN, WHEN)
        with _served(Book(store, lambda: WHEN)) as address:
            yield address


@contextmanager
def _served(book: Book) -> Iterator[str]:
    app = create_app(book)
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


def _down_to_the_diagram(page: Page) -> FloatRect:
    """From the top of the page to the diagram's lower edge."""
    diagram = page.locator("figure.diagram").bounding_box()
    if diagram is None:
        raise RuntimeError("the page has no diagram")
    return {"x": 0, "y": 0, "width": WIDTH, "height": diagram["y"] + diagram["height"] + BELOW}


def main(picture: Path = PICTURE) -> None:
    """Photograph the page down to its diagram into `picture`."""
    os.environ["TZ"] = "UTC"  # dates are written in local time: let it be the same everywhere
    time.tzset()
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        print("no Chromium here: the README's picture stays as it is")
        return
    with served() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_page(
            viewport={"width": WIDTH, "height": WIDTH}, device_scale_factor=SHARPNESS
        )
        page.goto(address)
        page.evaluate("document.fonts.ready")
        page.screenshot(path=picture, clip=_down_to_the_diagram(page))
        browser.close()
    print(f"wrote {picture.name}, {picture.stat().st_size:,} bytes")


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:2]))
