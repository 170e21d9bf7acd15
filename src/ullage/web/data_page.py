"""Take what is written down with you, and bring it in again: files, and how programs ask."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final, Literal
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import Response, StreamingResponse

from ullage.errors import Conflict, EventError
from ullage.web.api.files import LINES, TABLE
from ullage.web.api.route import LARGEST_FILE
from ullage.web.api.routes import ROOT
from ullage.web.fields import body_of
from ullage.web.files import backed_up, exported, read_in, readings_table, table_read_in
from ullage.web.site import Site, shown
from ullage.web.uploads import uploaded_bytes
from ullage.web.views import Fact, Page

Brought = Literal["log", "readings"]
MOST: Final = 10**9
LONGEST_FORM: Final = LARGEST_FILE + 100_000
"""Bytes of a posted form: the file, and what a browser puts around it."""


@dataclass(frozen=True, slots=True)
class DataView:
    """What is kept, the file that a backup is, what came of a file that was brought in.

    `errors`: what was wrong with a file, by which it was. `now`: the moment for an example of an
    event, ISO 8601 with its offset.
    """

    page: Page
    sentence: str
    is_file: bool
    outcome: str
    errors: dict[Brought, str]
    api: str
    now: str
    title_block: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Sent:
    """A form with a file in it, as it came."""

    body: bytes
    sort: str

    def file(self) -> bytes:
        """The chosen file. Raises `EventError` where none was."""
        found = uploaded_bytes(self.body, self.sort)
        if not found.strip():
            raise EventError("choose a file first; this one is empty, or none was chosen")
        return found


async def sent(request: Request) -> Sent:
    """Read a form with a file. Raises `HTTPException` where it is too long."""
    body = await body_of(request, LONGEST_FORM)
    return Sent(body, request.headers.get("content-type", ""))


Form = Annotated[Sent, Depends(sent)]
Count = Annotated[int, Query(ge=0, le=MOST)]


def routes(site: Site) -> APIRouter:
    """`/data`, the files below it, and where files are brought in."""
    router = APIRouter(include_in_schema=False)
    _add_page(router, site)
    _add_files(router, site)
    _add_bringing_in(router, site)
    return router


def _add_page(router: APIRouter, site: Site) -> None:
    @router.get("/data")
    def data(
        request: Request,
        brought: Brought | None = None,
        new: Count = 0,
        known: Count = 0,
        versions: Count = 0,
    ) -> Response:
        """What there is to take along, and what came of the file that was brought in last."""
        outcome = "" if brought is None else _outcome(brought, new, known, versions)
        return shown("data.html", _view(site, request, outcome))


def _add_files(router: APIRouter, site: Site) -> None:
    store = site.book.store

    @router.get("/data/ullage-log.jsonl")
    def log() -> Response:
        """The export."""
        return StreamingResponse(
            exported(store), headers=_kept("ullage-log.jsonl"), media_type=LINES
        )

    @router.get("/data/readings.csv")
    def readings() -> Response:
        """The readings as a table."""
        kept = _kept("readings.csv")
        return Response(readings_table(store), headers=kept, media_type=f"{TABLE}; charset=utf-8")

    @router.get("/data/backup")
    def backup() -> Response:
        """A copy of the store, opened and compared with it before it is sent."""
        name = f"ullage-backup-{site.book.clock():%Y-%m-%d}"
        kept = _kept(f"{name}.db" if _is_file(site) else f"{name}.jsonl")
        sort = "application/vnd.sqlite3" if _is_file(site) else LINES
        return StreamingResponse(backed_up(store), headers=kept, media_type=sort)


def _add_bringing_in(router: APIRouter, site: Site) -> None:
    store = site.book.store

    @router.post("/data/log")
    def bring_in_a_log(request: Request, form: Form) -> Response:
        """Take in what an export has and the log lacks, all or nothing."""
        try:
            done = read_in(store, form.file())
        except (EventError, Conflict) as wrong:
            return _refused(site, request, "log", wrong)
        new, known = len(done.events.written), len(done.events.known)
        return _told(site, request, "log", new=new, known=known, versions=done.documents)

    @router.post("/data/readings")
    def bring_in_readings(request: Request, form: Form) -> Response:
        """Take in the readings of a table, all or none."""
        try:
            done = table_read_in(store, _text(form.file()), site.book.clock())
        except (EventError, Conflict) as wrong:
            return _refused(site, request, "readings", wrong)
        return _told(site, request, "readings", new=done.written, known=done.known)


def _text(content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        line = content.count(b"\n", 0, wrong.start) + 1
        raise EventError(f"line {line}: no text in UTF-8; this is no table of readings") from None


def _told(site: Site, request: Request, brought: Brought, **counts: int) -> Response:
    asked = {"brought": brought, **{name: str(count) for name, count in counts.items()}}
    return site.go(request, f"/data?{urlencode(asked)}")


def _refused(site: Site, request: Request, brought: Brought, wrong: Exception) -> Response:
    text = str(wrong)
    sentence = f"{text[:1].upper()}{text[1:]}. Nothing was taken in."
    code = 409 if isinstance(wrong, Conflict) else 422
    return shown("data.html", _view(site, request, "", {brought: sentence}), code)


def _view(
    site: Site, request: Request, outcome: str, errors: dict[Brought, str] | None = None
) -> DataView:
    present = site.book.present()
    units = site.units(request, present)
    version = site.book.system_text()[1]
    kept = f"{_counted(len(present.log), 'event')} and "
    kept += _counted(version, "version") if version else "no version"
    return DataView(
        page=site.page(request, "Your data", units),
        sentence=f"{kept} of the system file are kept here.",
        is_file=_is_file(site),
        outcome=outcome,
        errors=errors or {},
        api=str(request.base_url).rstrip("/") + ROOT,
        now=site.book.clock().astimezone().isoformat(timespec="seconds"),
        title_block=site.title_block("Your data", present, units),
    )


def _outcome(brought: Brought, new: int, known: int, versions: int) -> str:
    what = "event" if brought == "log" else "reading"
    taken = _counted(new, what)
    if versions:
        taken += f" and {_counted(versions, 'version')} of the system file"
    here = f"; {known:,} {'was' if known == 1 else 'were'} here already" if known else ""
    return f"Took in {taken}{here}."


def _counted(count: int, what: str) -> str:
    return f"{count:,} {what}{'' if count == 1 else 's'}"


def _is_file(site: Site) -> bool:
    return site.book.store.url.get_backend_name() == "sqlite"


def _kept(name: str) -> dict[str, str]:
    return {"Cache-Control": "no-store", "Content-Disposition": f'attachment; filename="{name}"'}
