"""A club: several cellars of one store served together, each below its own path.

A cellar is served once somebody has an account in it, with its own pages, gate, sessions and
tokens; nothing of one can be reached through another. A name that no cellar has is answered by the
same login that a cellar has, so that nobody learns from here which there are.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock
from typing import Final

from fastapi import APIRouter
from starlette.concurrency import run_in_threadpool
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from ullage.cellar import accounts
from ullage.cellar.naming import is_cellar
from ullage.cellar.store import Store
from ullage.errors import StoreError
from ullage.plan.clock import local_now
from ullage.web import club_page, install_page, login_page, upkeep_page
from ullage.web.api import samples
from ullage.web.api.routes import ROOT as API
from ullage.web.app import RETRY_AFTER_S, below, create_app, framed
from ullage.web.book import Book, Clock
from ullage.web.club_page import ROOT
from ullage.web.gate import Gate
from ullage.web.headers import SECURITY
from ullage.web.site import Site

NOBODYS: Final = "-"
"""A cellar that no household can have, for whoever asks for one that is not there."""
MOST_OPEN: Final = 64
"""So many cellars' pages are kept made (about 4 MB each); one more takes the longest unused out."""


@dataclass(frozen=True, slots=True)
class Rules:
    """How a club is served. `base_path`: where a proxy mounts it; `https`: browsers reach it so.

    `hosts`: names that it may be asked for by; none: any. `names`: its cellars; none: all with an
    account.
    """

    base_path: str = ""
    https: bool = False
    hosts: tuple[str, ...] = ()
    names: tuple[str, ...] = ()


class Club:
    """The application: an index, and below `/c/<name>/` each cellar's own."""

    def __init__(self, store: Store, rules: Rules, clock: Clock = local_now) -> None:
        """Over a store that is open (any of its cellars); `clock` gives what counts as now."""
        self._store, self._rules, self._clock = store, rules, clock
        self._base = below(rules.base_path)
        self._outside = _outside(self._book(NOBODYS), rules)
        self._open: OrderedDict[str, ASGIApp] = OrderedDict()
        self._looking, self._making = Lock(), Lock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Hand a request to the application of the cellar it is for."""
        name = self._name(scope) if scope["type"] == "http" else None
        if name is None:
            await self._outside(scope, receive, send)
            return
        try:
            app = await run_in_threadpool(self.cellar, name)
        except StoreError as wrong:
            away = PlainTextResponse(str(wrong), 503, {**SECURITY, "Retry-After": RETRY_AFTER_S})
            await away(scope, receive, send)
            return
        await app(scope, receive, send)

    def cellar(self, name: str) -> ASGIApp:
        """The application of a cellar, made when it is first asked for. Raises `StoreError`."""
        found = self._found(name)
        if found is not None:
            return found
        if not self._is_served(name):
            return self._strangers(name)
        with self._making:  # one at a time: it takes half a second of one core
            return self._found(name) or self._made(name)

    def _found(self, name: str) -> ASGIApp | None:
        with self._looking:
            if name in self._open:
                self._open.move_to_end(name)
            return self._open.get(name)

    def _made(self, name: str) -> ASGIApp:
        book, base = self._book(name), self._path(name)
        gate, https = Gate(book, base, self._rules.https), self._rules.https
        made = create_app(book, base, self._rules.hosts, gate, https)
        with self._looking:
            self._open[name] = made
            while len(self._open) > MOST_OPEN:
                self._open.popitem(last=False)
        return made

    def _is_served(self, name: str) -> bool:
        if self._rules.names and name not in self._rules.names:
            return False
        return bool(accounts.every(self._store.beside(name)))

    def _strangers(self, name: str) -> ASGIApp:
        """What answers to a login does where there is no such cellar: the same, and never right."""
        book, base = self._book(NOBODYS), self._path(name)
        gate = Gate(book, base, self._rules.https)
        site = Site(book, base)
        app = framed(site, self._rules.hosts, gate, self._rules.https)
        for routes in (install_page.routes, upkeep_page.routes):
            app.include_router(routes(site))
        app.include_router(samples.routes(site), prefix=API)
        app.include_router(login_page.routes(site, gate))
        return app

    def _book(self, name: str) -> Book:
        return Book(self._store.beside(name), self._clock)

    def _path(self, name: str) -> str:
        return f"{self._base}{ROOT}/{name}"

    def _name(self, scope: Scope) -> str | None:
        """The cellar that a path is below; none for the index and for what cannot be one."""
        path = str(scope["path"])
        if self._base and path.startswith(f"{self._base}/"):
            path = path[len(self._base) :]
        _, root, *rest = path.split("/", 3)
        if f"/{root}" != ROOT or len(rest) < 2 or not is_cellar(rest[0]):
            return None
        return rest[0]


def _outside(book: Book, rules: Rules) -> ASGIApp:
    site = Site(book, below(rules.base_path), outside=True)
    app = framed(site, rules.hosts, None, rules.https)
    routers: tuple[APIRouter, ...] = (club_page.routes(site), install_page.routes(site))
    for router in routers:
        app.include_router(router)
    return app
