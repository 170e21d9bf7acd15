"""The site that is built from the documents: whole, joined up, asking nothing of other hosts."""

from __future__ import annotations

import re
import runpy
import subprocess
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote

import pytest

ROOT = Path(__file__).resolve().parent.parent
START = "index.html"
FETCHED = {
    "script": "src",
    "img": "src",
    "iframe": "src",
    "source": "src",
    "video": "src",
    "embed": "src",
    "object": "data",
    "link": "href",
}
"""Elements that a browser fetches what they name for, and where they name it."""
OUTSIDE = re.compile(r"(?:https?:)?//", re.IGNORECASE)
IN_STYLE = re.compile(
    r"(?:url\(\s*['\"]?|@import\s+['\"])\s*((?:https?:)?//[^'\")\s]+)", re.IGNORECASE
)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build it as `make docs` does, where any warning is an error."""
    target = tmp_path_factory.mktemp("site")
    asked = ["-q", "-W", "--keep-going", "-c", "docs", "-d", str(target / "doctrees")]
    built = subprocess.run(
        [sys.executable, "-m", "sphinx", *asked, ".", str(target / "html")],
        cwd=ROOT,
        check=False,
        capture_output=True,
        text=True,
    )
    assert built.returncode == 0, built.stderr
    return target / "html"


class _Named(HTMLParser):
    """What a page links to, and what a browser fetches for it."""

    def __init__(self) -> None:
        super().__init__()
        self.links: list[str] = []
        self.fetched: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "a":
            self.links.append(told.get("href", ""))
        if tag == "form":
            self.links.append(told.get("action", ""))
        if tag in FETCHED:
            self.fetched.append(told.get(FETCHED[tag], ""))
        self.fetched += [one.split()[0] for one in told.get("srcset", "").split(",") if one]
        refresh = re.search(r"url=(.*)", told.get("content", "")) if tag == "meta" else None
        self.links += [refresh[1]] if refresh else []


def _read(page: Path) -> _Named:
    named = _Named()
    named.feed(page.read_text(encoding="utf-8"))
    return named


def _pages(site: Path) -> Iterator[Path]:
    yield from sorted(page for page in site.rglob("*.html") if "_static" not in page.parts)


def test_every_page_is_reached_from_the_first(site: Path) -> None:
    waiting, reached = [site / START], set[Path]()
    while waiting:
        page = waiting.pop()
        if page in reached or not page.is_file() or page.suffix != ".html":
            continue
        reached.add(page)
        local = [one.partition("#")[0] for one in _read(page).links if ":" not in one]
        waiting += [(page.parent / unquote(one)).resolve() for one in local if one]
    assert reached >= set(_pages(site))
    documents = [*(ROOT / "docs").rglob("*.md"), ROOT / "README.md", ROOT / "CHANGELOG.md"]
    made = {page.relative_to(site).with_suffix("") for page in reached}
    assert {page.relative_to(ROOT).with_suffix("") for page in documents} <= made


def test_every_picture_and_file_that_is_named_is_there(site: Path) -> None:
    for page in _pages(site):
        for one in _read(page).fetched:
            path = unquote(one.partition("?")[0].partition("#")[0])
            if path and ":" not in path:
                assert (page.parent / path).exists(), f"{page.name}: {one}"


def test_nothing_is_asked_of_another_host(site: Path) -> None:
    for page in _pages(site):
        assert [one for one in _read(page).fetched if OUTSIDE.match(one)] == [], page.name
        assert IN_STYLE.findall(page.read_text(encoding="utf-8")) == [], page.name
    for sheet in site.rglob("*.css"):
        assert IN_STYLE.findall(sheet.read_text(encoding="utf-8")) == [], sheet.name
    for picture in site.rglob("*.svg"):
        named = picture.read_text(encoding="utf-8").replace("http://www.w3.org/", "")
        assert "http" not in named, picture.name


def test_the_order_of_the_pages_is_that_of_the_links() -> None:
    toctrees = runpy.run_path(str(ROOT / "docs" / "conf.py"))["toctrees"]
    told = toctrees(
        "# A\n\n[no](no.md)\n\n## B\n\n- [c](c.md), [d](../d.md)\n- [e](https://e.md)\n"
    )
    assert told == "\n```{toctree}\n:hidden:\n:caption: B\n\nc <c.md>\nd <../d.md>\n```\n"
