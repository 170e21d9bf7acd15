"""The system file as text: read it, change it, save it as a new version."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count
from json import dumps
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from ullage.cellar.events import Event
from ullage.errors import Conflict, EventError, SystemFileError
from ullage.plan.begin import SOURCE
from ullage.system.model import Keg, System, Tap
from ullage.web.fields import Posted, posted
from ullage.web.saved_system import save_system
from ullage.web.site import Site, shown
from ullage.web.views import Fact, Page
from ullage.web.wording import sentence


@dataclass(frozen=True, slots=True)
class SystemView:
    """The file's text with its version; `error` and the `line` that it is about; `newer`: another
    version that was saved meanwhile; `more`: lines that add a keg and a tap."""

    page: Page
    text: str
    version: int
    rows: int
    error: str
    line: str
    newer: int
    title_block: tuple[Fact, ...]
    more: str = ""


@dataclass(frozen=True, slots=True)
class _Trouble:
    error: str
    line: str = ""
    newer: int = 0


def routes(site: Site) -> APIRouter:
    """The file at `/system`, and its text alone at `/system.toml`."""
    router = APIRouter(include_in_schema=False)

    @router.get("/system")
    def show(request: Request) -> Response:
        """The newest version."""
        text, version = site.book.system_text()
        return shown("system.html", _view(site, request, text, version))

    @router.get("/system.toml")
    def text_alone() -> Response:
        """The text, to keep or to carry elsewhere."""
        text, _ = site.book.system_text()
        headers = {
            "Cache-Control": "no-cache",
            "Content-Disposition": 'attachment; filename="system.toml"',
        }
        return Response(text, headers=headers, media_type="application/toml; charset=utf-8")

    @router.post("/system")
    def save(request: Request, form: Annotated[Posted, Depends(posted)]) -> Response:
        """Save a new version, and write down what it says anew."""
        text = form.values.get("text", "")
        version = int(form.text("version")) if form.text("version").isdecimal() else 0
        found = _saved(site, text, version)
        if isinstance(found, _Trouble):
            code = 409 if found.newer else 422
            return shown("system.html", _view(site, request, text, version, found), code)
        return site.go(request, "/system", *(event.id for event in found[:12]))

    return router


def _saved(site: Site, text: str, version: int) -> tuple[Event, ...] | _Trouble:
    """The events that came of saving, or why it was not saved."""
    try:
        return save_system(site.book, text, version).events
    except SystemFileError as error:
        return _Trouble(sentence(error), _line(str(error), text))
    except EventError as error:
        return _Trouble(sentence(error))
    except Conflict:
        newest = site.book.system_text()[1]
        said = f"Someone saved version {newest} meanwhile. Your text stands here still."
        return _Trouble(said, newer=newest)


def _line(error: str, text: str) -> str:
    """The line that an error is about, with its number."""
    found = re.match(rf"{SOURCE}, line (\d+):", error)
    if found is None:
        return ""
    number, lines = int(found[1]), text.split("\n")
    return f"{number} | {lines[number - 1]}" if number <= len(lines) else ""


def _view(
    site: Site, request: Request, text: str, version: int, trouble: _Trouble | None = None
) -> SystemView:
    present = site.book.present()
    units = site.units(request, present)
    trouble = trouble or _Trouble("")
    return SystemView(
        page=site.page(request, "The system file", units),
        text=text,
        version=version,
        rows=min(max(text.count("\n") + 2, 12), 40),
        error=trouble.error,
        line=trouble.line,
        newer=trouble.newer,
        title_block=site.title_block("System file", present, units),
        more="" if present.described is None else one_more(present.described),
    )


def one_more(system: System) -> str:
    """Lines that add a keg and a tap to a system file, named as nothing in it is."""
    keg, tap = _new("keg", system.kegs), _new("tap", system.taps)
    like = next((one for one in system.kegs if one.regulator is not None), None)
    places = [one.name for one in system.places] or ["fridge"]
    feeds = [] if like is None else [f"regulator = {dumps(like.regulator)}"]
    us = system.units == "us"
    line = ("10 ft", "3/16 in") if us else ("3 m", "5 mm")
    return "\n".join(
        (
            "[[keg]]",
            f"name = {dumps(keg)}",
            f"kind = {dumps('ball-lock-5gal' if like is None else like.kind)}",
            f"place = {dumps(places[0] if like is None else like.place)}",
            *feeds,
            "",
            "[[tap]]",
            f"name = {dumps(tap)}",
            f"keg = {dumps(keg)}",
            f"line = [{{ length = {dumps(line[0])}, bore = {dumps(line[1])} }}]",
            f"rise = {dumps('18 in' if us else '45 cm')}",
        )
    )


def _new(sort: str, known: Sequence[Keg | Tap]) -> str:
    """A name that none of them has: `keg 4`."""
    names = {one.name for one in known}
    return next(name for n in count(len(known) + 1) if (name := f"{sort} {n}") not in names)
