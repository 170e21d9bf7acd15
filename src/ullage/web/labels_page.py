"""Labels for kegs, taps and cylinders, each with a code that opens its record page on a phone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ullage.draw.label_pages import (
    MOST_COPIES,
    LabelJob,
    PlacedLabels,
    labels_file,
    placed_labels,
)
from ullage.draw.label_sheet import MOST_LABELS, SHEETS
from ullage.draw.label_tag import Tag, tag_of
from ullage.errors import AddressError, OutOfRange, UllageError
from ullage.plan.labels import Labelled, Written, chosen, labelled
from ullage.plan.upkeep_changes import changes_of
from ullage.units import UnitSystem
from ullage.web.addresses import record_path
from ullage.web.book import Present
from ullage.web.fields import Choice
from ullage.web.labels_views import (
    LabelsForm,
    LabelsView,
    SheetsView,
    kind_views,
    loopback_of,
    sheets_view,
)
from ullage.web.shapes import answers
from ullage.web.site import Site
from ullage.web.site_address import path_of, site_address
from ullage.web.whatif import answered, as_data, block_of, documented, page_of
from ullage.web.whatif_fields import Ask, Typed
from ullage.web.wording import sentence

ADDRESS: Final = Ask(
    "address",
    "Address in the codes",
    hint=(
        "As your phone reaches these pages. 127.0.0.1 and localhost lead only to the machine "
        "itself: a phone in the garage needs another, through a tunnel or a proxy."
    ),
)
SHEET: Final = Ask(
    "sheet",
    "Sheet",
    choices=tuple(Choice(one.name, one.title) for one in SHEETS.values()),
    kind="select",
)
START: Final = Ask("start", "Start at label", hint="Of a sheet partly used, along the rows.")
COPIES: Final = Ask("copies", "Copies of each")
ASKED: Final = (ADDRESS, SHEET, START, COPIES)
THING: Final = "thing"
TICKED: Final = "ticked"
"""A hidden field: the boxes were there, so none of them ticked means none is wanted."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is asked: the fields, all things there are, those that are wanted, the question again.

    `site`: the address that the codes begin with, "" where what was typed is none.
    """

    typed: Typed
    things: tuple[Labelled, ...]
    wanted: tuple[Labelled, ...]
    site: str
    query: str


def routes(site: Site) -> APIRouter:
    """`/labels`, the sheets as a file to keep, and where each label lies as data."""
    router = APIRouter()

    @router.api_route("/labels", methods=["GET", "HEAD"], include_in_schema=False)
    def labels_page(request: Request) -> Response:
        """The sheets as they are printed, and what is asked about them."""
        present = site.book.present()
        asked = _asked(site, request, present)
        view = _view(site, request, present, asked)
        return answered(request, "labels.html", "labels_part.html", view, bool(asked.typed.errors))

    @router.get(
        "/labels.json",
        response_class=Response,
        responses=answers(PlacedLabels),
        openapi_extra=documented(
            ASKED, {THING: 'What is wanted: "keg", all of a kind, or "keg:K1"; may be repeated.'}
        ),
    )
    def labels_data(request: Request) -> Response:
        """Where each label lies on its sheet, and the address in its code."""
        asked = _asked(site, request, site.book.present())
        job = _job(asked)
        return as_data(asked.typed, None if job is None else placed_labels(job))

    @router.get("/labels.html", include_in_schema=False)
    def labels_to_keep(request: Request) -> Response:
        """All sheets as one file that prints without this site."""
        asked = _asked(site, request, site.book.present())
        job = _job(asked)
        if job is None:
            return as_data(asked.typed, None)
        kept = {
            "Content-Disposition": 'attachment; filename="labels.html"',
            "Cache-Control": "no-cache",
        }
        return Response(labels_file(job), media_type="text/html", headers=kept)

    return router


def _asked(site: Site, request: Request, present: Present) -> _Asked:
    units = site.units(request, present)
    plain = "letter-plain" if units == "us" else "a4-plain"
    reached = f"{request.url.scheme}://{request.url.netloc}{site.base}"
    usual = {"address": reached, "sheet": plain, "start": "1", "copies": "1"}
    typed = Typed(request.query_params, usual, units)
    things = _things(site, present)
    named = request.query_params.getlist(THING)
    wanted = things
    if named or TICKED in request.query_params:
        try:
            wanted = chosen(things, named)
        except UllageError as wrong:
            wanted, typed.errors[THING] = (), sentence(wrong)
    if things and not wanted:
        typed.errors.setdefault(THING, "Choose at least one thing to label.")
    address = typed.read("address", lambda text: _address(text, site.base), "")
    if not typed.text("address"):
        address = _address(reached, site.base)
    pairs = [
        (name, value)
        for name, value in request.query_params.multi_items()
        if name in {*(ask.name for ask in ASKED), THING, TICKED, "units"}
    ]
    return _Asked(typed, things, wanted, address, urlencode(pairs))


def _things(site: Site, present: Present) -> tuple[Labelled, ...]:
    if present.empty:
        return ()
    written = Written(present.log, present.state, changes_of(site.book.store))
    return labelled(present.described, present.at, written)


def _address(text: str, base: str) -> str:
    """The address of this site as typed; its path is the site's own, which may be left out."""
    found = site_address(text)
    path = path_of(found)
    if path and path != base:
        right = base or "no path"
        raise AddressError(f"These pages live at {right}, not at {path}: write it without that.")
    return found if path else f"{found}{base}"


def _job(asked: _Asked) -> LabelJob | None:
    """What is printed; nothing where the question is wrong. Errors are kept by their field."""
    typed = asked.typed
    name = typed.one_of(SHEET)
    sheet = SHEETS[name]
    start = typed.read("start", lambda text: _number(text, 1, sheet.per_sheet), 1)
    copies = typed.read("copies", lambda text: _number(text, 1, MOST_COPIES), 1)
    if typed.errors:
        return None
    job = LabelJob(sheet, _tags(asked, typed.units), start, copies)
    field = "sheet" if len(job.tags) * copies <= MOST_LABELS else "copies"
    try:
        placed_labels(job)
    except OutOfRange as wrong:
        typed.errors[field] = sentence(wrong)
        return None
    return job


def _tags(asked: _Asked, units: UnitSystem) -> tuple[Tag, ...]:
    return tuple(
        tag_of(one, f"{asked.site}{record_path(one.kind, one.name)}", units) for one in asked.wanted
    )


def _number(text: str, low: int, high: int) -> int:
    if not text.isascii() or not text.isdigit() or not low <= int(text[:9]) <= high:
        raise OutOfRange(f"write a whole number from {low} to {high}")
    return int(text)


def _view(site: Site, request: Request, present: Present, asked: _Asked) -> LabelsView:
    typed, units = asked.typed, asked.typed.units
    answer = _sheets(site, present, asked)
    return LabelsView(
        page=page_of(site, request, "Labels", units),
        form=LabelsForm(
            action=site.address("/labels"),
            fields=typed.views(ASKED),
            kinds=kind_views(asked.things, asked.wanted),
            error=typed.errors.get(THING, ""),
            units=typed.text("units"),
        ),
        answer=answer,
        loopback=loopback_of(asked.site),
        nothing=not asked.things,
        title_block=block_of(site, request, "Labels", present, units),
    )


def _sheets(site: Site, present: Present, asked: _Asked) -> SheetsView | None:
    if not asked.things:
        return None
    job = _job(asked)
    if job is None:
        return None
    more = f"?{asked.query}" if asked.query else ""
    file, data = (f"{site.address(path)}{more}" for path in ("/labels.html", "/labels.json"))
    return sheets_view(job, asked.wanted, present.at.date(), file, data)
