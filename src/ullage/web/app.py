"""The application: one page with the whole answer, the same as data, and the files it needs."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

from fastapi import FastAPI, Query, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse, PlainTextResponse, Response
from starlette.exceptions import HTTPException
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from ullage import __version__
from ullage.errors import UllageError
from ullage.plan.answers import WholeAnswer
from ullage.plan.as_json import as_json
from ullage.units import UnitSystem
from ullage.web.headers import SECURITY, Below, SecurityHeaders
from ullage.web.pages import message_page, sheet_page
from ullage.web.sheet import Wish, message_view, sheet_view
from ullage.web.views import Theme

if TYPE_CHECKING:
    from ullage.system.model import System

Ask = Callable[[UnitSystem | None, datetime], WholeAnswer]
"""Gives the whole answer in the units asked for (`None`: the system's own), as of a time."""

STATIC: Final = Path(__file__).parent / "static"
EMPTY: Final = (
    "There is no system here yet.",
    "See three taps worked out at once: ullage demo",
    "Or describe yours in a file, any unit in quotes, and serve it: ullage serve my-system.toml",
)


class CachedFiles(StaticFiles):
    """Static files; an address that names a version may be kept for ever, others for a day."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """Give the file with how long it may be kept."""
        response = await super().get_response(path, scope)
        kept = "max-age=31536000, immutable" if b"v=" in scope["query_string"] else "max-age=86400"
        response.headers["Cache-Control"] = f"public, {kept}"
        return response


def create_app(
    system: System | None = None, base_path: str = "", *, ask: Ask | None = None
) -> FastAPI:
    """Make the application for a system; without one it says how to come by one.

    `base_path` is where a proxy mounts it ("/beer"). `ask` replaces the computation in tests.
    """
    base = f"/{base_path.strip('/')}" if base_path.strip("/") else ""
    answers = ask or (asking(system) if system is not None else None)
    app = FastAPI(title="Ullage", version=__version__, docs_url=None, redoc_url=None)
    app.add_middleware(SecurityHeaders)
    if base:
        app.add_middleware(Below, path=base)
    app.mount("/static", CachedFiles(directory=STATIC), name="static")
    _add_error_pages(app, base)
    _add_pages(app, base, system, lru_cache(maxsize=8)(answers) if answers else None)
    return app


def asking(system: System) -> Ask:
    """Give the question that a page asks: the whole answer of this system."""

    def whole(units: UnitSystem | None, now: datetime) -> WholeAnswer:
        from ullage.plan.whole import whole_answer  # noqa: PLC0415  (slow to load)

        wanted = system.model_copy(update={"units": units}) if units else system
        return whole_answer(wanted, now=now)

    return whole


def _this_minute() -> datetime:
    return datetime.now().astimezone().replace(second=0, microsecond=0)


def _add_pages(app: FastAPI, base: str, system: System | None, ask: Ask | None) -> None:
    @app.api_route("/", methods=["GET", "HEAD"], include_in_schema=False)
    def sheet(
        units: Annotated[UnitSystem | None, Query()] = None,
        theme: Annotated[Theme, Query()] = "auto",
    ) -> HTMLResponse:
        """The whole system on one printable sheet."""
        if ask is None:
            page = message_page(message_view("0", "No system yet", EMPTY, theme, base))
            return HTMLResponse(page, headers={"Cache-Control": "no-cache"})
        view = sheet_view(ask(units, _this_minute()), Wish(units, theme), base, system)
        return HTMLResponse(sheet_page(view), headers={"Cache-Control": "no-cache"})

    @app.get("/plan.json", response_class=Response)
    def plan(units: Annotated[UnitSystem | None, Query()] = None) -> Response:
        """The whole answer as data, in SI; every key ends in its unit."""
        if ask is None:
            raise HTTPException(404, "There is no system here yet.")
        text = as_json(ask(units, _this_minute()))
        headers = {"Cache-Control": "no-cache"}
        return Response(text, media_type="application/json", headers=headers)

    @app.get("/healthz", response_class=PlainTextResponse)
    def health() -> PlainTextResponse:
        """Say that the application is up."""
        return PlainTextResponse("ok\n", headers={"Cache-Control": "no-store"})


def _add_error_pages(app: FastAPI, base: str) -> None:
    def answer(request: Request, code: int, heading: str, *lines: str) -> Response:
        if _wants_data(request):
            return JSONResponse({"error": heading, "detail": [*lines]}, code, SECURITY)
        page = message_page(message_view(str(code), heading, lines, base=base))
        return HTMLResponse(page, code, SECURITY)

    @app.exception_handler(HTTPException)
    def refused(request: Request, error: HTTPException) -> Response:
        if error.status_code == 404:
            return answer(request, 404, "Nothing drawn here", "This address leads to no sheet.")
        return answer(request, error.status_code, "That cannot be done", str(error.detail))

    @app.exception_handler(RequestValidationError)
    def misread(request: Request, error: RequestValidationError) -> Response:
        lines = [f"{one['loc'][-1]}: {one['msg']}" for one in error.errors()]
        return answer(request, 422, "The address asks for something unknown", *lines)

    @app.exception_handler(UllageError)
    def beyond(request: Request, error: UllageError) -> Response:
        return answer(request, 422, "The system cannot be worked out", str(error))

    @app.exception_handler(Exception)
    def broken(request: Request, error: Exception) -> Response:
        del error
        line = "This is our fault, not yours. What happened stands in the program's log."
        return answer(request, 500, "Something broke", line)


def _wants_data(request: Request) -> bool:
    accepts = request.headers.get("accept", "")
    return request.url.path.endswith(".json") or (
        "application/json" in accepts and "text/html" not in accepts
    )
