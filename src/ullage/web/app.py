"""The application: its pages, its data, the files it needs, and what it says when it cannot."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from fastapi import APIRouter, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, PlainTextResponse, Response
from starlette.exceptions import HTTPException
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from ullage import __version__
from ullage.errors import Conflict, StoreError, UllageError
from ullage.web import (
    accounts_page,
    alarms_page,
    batch_page,
    begin_page,
    blend_page,
    brew_page,
    brew_party_page,
    build_page,
    carbonate_page,
    card_page,
    cellar_page,
    cold_page,
    data_page,
    faults_page,
    fill_page,
    fit_page,
    gas_ahead_page,
    gas_page,
    install_page,
    keg_page,
    kegs_page,
    labels_page,
    leak_page,
    learn_page,
    log_page,
    login_page,
    look_page,
    new_keg_page,
    plan_actions,
    plan_page,
    pour_page,
    readings_page,
    record_page,
    safety_page,
    share_page,
    system_page,
    undo_page,
    upkeep_page,
)
from ullage.web.api import routes as api
from ullage.web.book import Book
from ullage.web.gate import Gate, Guarded, Refuse, is_stranger
from ullage.web.headers import Below, SameOrigin, SecurityHeaders, security
from ullage.web.hosts import KnownHosts
from ullage.web.pages import rendered
from ullage.web.sheet import message_view
from ullage.web.site import Site, theme_of
from ullage.web.views import Page

RETRY_AFTER_S: Final = "5"
"""When to try again where the store is away."""
STATIC: Final = Path(__file__).parent / "static"
SUBJECTS: Final[tuple[Callable[[Site], APIRouter], ...]] = (
    cellar_page.routes,
    kegs_page.routes,
    new_keg_page.routes,
    fill_page.routes,
    plan_actions.routes,
    keg_page.routes,
    batch_page.routes,
    record_page.routes,
    undo_page.routes,
    log_page.routes,
    look_page.routes,
    begin_page.routes,
    system_page.routes,
    install_page.routes,
    plan_page.routes,
    pour_page.routes,
    carbonate_page.routes,
    gas_page.routes,
    gas_ahead_page.routes,
    share_page.routes,
    blend_page.routes,
    brew_page.routes,
    brew_party_page.routes,
    build_page.routes,
    fit_page.routes,
    cold_page.routes,
    faults_page.routes,
    leak_page.routes,
    learn_page.routes,
    data_page.routes,
    readings_page.routes,
    alarms_page.routes,
    upkeep_page.routes,
    safety_page.routes,
    card_page.routes,
    labels_page.routes,
    api.routes,
)
"""Each subject's pages, made for a site."""


class CachedFiles(StaticFiles):
    """Static files; an address that names a version may be kept for ever, others for a day."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """Give the file with how long it may be kept."""
        response = await super().get_response(path, scope)
        kept = "max-age=31536000, immutable" if b"v=" in scope["query_string"] else "max-age=86400"
        response.headers["Cache-Control"] = f"public, {kept}"
        return response


def create_app(
    book: Book,
    base_path: str = "",
    hosts: Sequence[str] = (),
    gate: Gate | None = None,
    https: bool = False,
) -> FastAPI:
    """Make the application over a book. `base_path` is where a proxy mounts it ("/beer").

    `hosts`: the names that it may be asked for by; none: by any. `gate`: who may come in; `None`:
    anyone. `https`: browsers reach it so.
    """
    site = Site(book, below(base_path))
    app = framed(site, hosts, gate, https)
    for subject in SUBJECTS:
        app.include_router(subject(site))
    if gate is not None:
        app.include_router(login_page.routes(site, gate))
        app.include_router(accounts_page.routes(site))
    return app


def below(base_path: str) -> str:
    """A path to live below as links begin with it: "" or "/beer"."""
    return f"/{base_path.strip('/')}" if base_path.strip("/") else ""


def framed(
    site: Site, hosts: Sequence[str] = (), gate: Gate | None = None, https: bool = False
) -> FastAPI:
    """What every application of ours has: the files its pages need, its errors, its gate.

    `https`: browsers reach it so, gate or none.
    """
    app = FastAPI(title="Ullage", version=__version__, docs_url=None, redoc_url=None)
    https = https or (gate is not None and gate.https)
    refuse = _add_error_pages(app, site, security(https))
    if gate is not None:
        app.add_middleware(Guarded, gate=gate, refuse=refuse)
    app.add_middleware(SameOrigin)
    if hosts:
        app.add_middleware(KnownHosts, names=hosts)
    app.add_middleware(SecurityHeaders, https=https)
    if site.base:
        app.add_middleware(Below, path=site.base)
    app.mount("/static", CachedFiles(directory=STATIC), name="static")
    _add_health(app)
    return app


def _add_health(app: FastAPI) -> None:
    @app.get("/healthz", response_class=PlainTextResponse)
    def health() -> PlainTextResponse:
        """Say that the application is up."""
        return PlainTextResponse("ok\n", headers={"Cache-Control": "no-store"})


def _add_error_pages(app: FastAPI, site: Site, headers: Mapping[str, str]) -> Refuse:
    def answer(request: Request, code: int, heading: str, *lines: str) -> Response:
        if _wants_data(request):
            return JSONResponse({"error": heading, "detail": [*lines]}, code, headers)
        page = replace(_frame(site, request, heading), here="")
        view = message_view(page, str(code), heading, lines)
        return Response(rendered("message.html", view), code, headers, "text/html; charset=utf-8")

    @app.exception_handler(HTTPException)
    def refused(request: Request, error: HTTPException) -> Response:
        if error.status_code == 404 and error.detail == "Not Found":
            return answer(request, 404, "Nothing drawn here", "This address leads to no sheet.")
        if error.status_code == 404:
            return answer(request, 404, "Nothing drawn here", str(error.detail))
        said = answer(request, error.status_code, "That cannot be done", str(error.detail))
        said.headers.update(error.headers or {})
        return said

    @app.exception_handler(RequestValidationError)
    def misread(request: Request, error: RequestValidationError) -> Response:
        lines = [f"{one['loc'][-1]}: {one['msg']}" for one in error.errors()]
        return answer(request, 422, "The address asks for something unknown", *lines)

    @app.exception_handler(StoreError)
    def away(request: Request, error: StoreError) -> Response:
        if isinstance(error, Conflict):
            return answer(request, 409, "Somebody was quicker", str(error))
        said = answer(request, 503, "The log cannot be reached", str(error))
        said.headers["Retry-After"] = RETRY_AFTER_S
        return said

    @app.exception_handler(UllageError)
    def beyond(request: Request, error: UllageError) -> Response:
        return answer(request, 422, "That cannot be worked out", str(error))

    @app.exception_handler(Exception)
    def broken(request: Request, error: Exception) -> Response:
        del error
        line = "This is our fault, not yours. What happened stands in the program's log."
        return answer(request, 500, "Something broke", line)

    return answer


def _frame(site: Site, request: Request, heading: str) -> Page:
    """The frame of an error's page, which must stand even where the book cannot be read.

    It tells a stranger nothing of what is behind the gate.
    """
    bare = Page(heading, site.base, theme_of(request), __version__, empty=True)
    if is_stranger(request):
        return bare
    try:
        return site.page(request, heading)
    except UllageError:
        return bare


def _wants_data(request: Request) -> bool:
    accepts = request.headers.get("accept", "")
    path = request.url.path
    return (
        path.endswith(".json")
        or f"{api.ROOT}/" in path
        or ("application/json" in accepts and "text/html" not in accepts)
    )
