"""The application over a made-up answer, and a real server and browser over the demo."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from starlette.testclient import TestClient

from tests.draw import samples
from tests.web.made_up import MadeUp, fresh, with_demo
from tests.web.serving import served
from ullage.web.app import create_app
from ullage.web.book import Book


@pytest.fixture(scope="session")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """The pages of the demo with a made-up whole answer. For tests that write nothing down."""
    book = MadeUp(with_demo(tmp_path_factory.mktemp("made-up")), samples.whole)
    with TestClient(create_app(book), raise_server_exceptions=False) as client:
        yield client


@pytest.fixture
def book(tmp_path: Path) -> Book:
    """A book of its own that begins with the demo, at a clock that stands still."""
    return with_demo(tmp_path)


@pytest.fixture
def cellar(book: Book) -> Iterator[TestClient]:
    """The pages of `book`, for tests that write things down. Redirects are not followed."""
    with TestClient(create_app(book), follow_redirects=False) as client:
        yield client


@pytest.fixture
def empty_book(tmp_path: Path) -> Book:
    """A book in which nothing is written yet."""
    return fresh(tmp_path)


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Serve the demo, for tests that write nothing down."""
    with served(create_app(with_demo(tmp_path_factory.mktemp("demo")))) as address:
        yield address


@pytest.fixture
def own_address(book: Book) -> Iterator[str]:
    """Serve `book`, for tests that write things down."""
    with served(create_app(book)) as address:
        yield address


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


@pytest.fixture
def scriptless(browser: Browser) -> Iterator[Page]:
    """A page in a phone's browser that runs no script."""
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    yield context.new_page()
    context.close()
