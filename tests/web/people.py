"""People for tests of the gate: one of each role, logged in without the time that a hash takes."""

from __future__ import annotations

import re
from typing import Final

from fastapi.routing import iter_route_contexts
from starlette.testclient import TestClient

from ullage.cellar import accounts, sessions
from ullage.web.app import create_app
from ullage.web.book import Book
from ullage.web.gate import COOKIE, Gate

PEOPLE: Final[dict[str, accounts.Role]] = {"Ann": "keeper", "Hal": "helper", "Gus": "guest"}
AT_THE_DOOR: Final = re.compile(r"/(login|logout|first-account|own-password|accounts.*|healthz)")
PASSWORD: Final = "barley and a long river"


def with_people(book: Book) -> Gate:
    """A gate before a book that has an account of each role."""
    for name, role in PEOPLE.items():
        accounts.make(book.store, name, PASSWORD, role)
    return Gate(book)


def log_in(door: TestClient, name: str, book: Book) -> None:
    """As the browser would be after a login."""
    door.cookies.set(COOKIE, sessions.begin(book.store, name, book.clock()))


def every_address(book: Book, *, door: bool = True) -> list[tuple[str, str]]:
    """Each method and path of the application, with names filled in; files are left out.

    `door`: also those that are about coming in and going out.
    """
    found = []
    for one in iter_route_contexts(create_app(book, gate=Gate(book)).routes):
        path = re.sub(r"\{[^}]*\}", "x", one.path or "")
        if door or not AT_THE_DOOR.fullmatch(path):
            found += [(method, path) for method in sorted(one.methods or ())]
    return found
