"""Whole files of the log as data: the export, and the readings as a table."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import Response, StreamingResponse
from pydantic import BaseModel, ConfigDict

from ullage.web.api.route import FRESH, Body, FileRoute, Text, gives, takes
from ullage.web.files import exported, read_in, readings_table, table_read_in
from ullage.web.shapes import problems
from ullage.web.site import Site

LINES = "application/jsonl"
TABLE = "text/csv"
EXAMPLE = (
    "at,subject,kind,quantity,value,unit\n"
    "2026-03-01T18:30:00+01:00,keg:K1,measured,temperature,38,degF\n"
)


class ReadIn(BaseModel):
    """What reading a file in came to: how much was new, how much was here already."""

    model_config = ConfigDict(extra="forbid")

    written: int
    known: int


class Imported(ReadIn):
    """What an import came to; `documents`: versions of the system file that were new."""

    documents: int


def routes(site: Site) -> APIRouter:
    """`/log.jsonl` and `/readings.csv`, to read and to take in."""
    refused = problems(422, 503)
    router = APIRouter(route_class=FileRoute, tags=["files"], responses=refused)
    store = site.book.store

    @router.get(
        "/log.jsonl",
        response_class=StreamingResponse,
        responses={200: gives(LINES, "The export: a line of JSON for each event.")},
    )
    def export_the_log() -> Response:
        """Give the whole log with the system file, as `ullage export` writes it."""
        return StreamingResponse(exported(store), headers=FRESH, media_type=LINES)

    @router.post(
        "/log.jsonl",
        responses=problems(400, 409, 413),
        openapi_extra=takes(LINES, '{"format":"ullage-log","version":1}\n', "An export, whole."),
    )
    def import_a_log(body: Body) -> Imported:
        """Take in what an export has and the log lacks: all of it, or nothing."""
        done = read_in(store, body)
        new, known = len(done.events.written), len(done.events.known)
        return Imported(written=new, known=known, documents=done.documents)

    @router.get(
        "/readings.csv",
        response_class=Response,
        responses={200: gives(TABLE, "A row for each number that was read, in SI.")},
    )
    def write_the_readings() -> Response:
        """Give every reading that stands as a table."""
        return Response(readings_table(store), headers=FRESH, media_type=f"{TABLE}; charset=utf-8")

    @router.post(
        "/readings.csv",
        responses=problems(400, 409, 413, 415),
        openapi_extra=takes(TABLE, EXAMPLE, "A table with the same columns, in any unit."),
    )
    def read_a_table(text: Text) -> ReadIn:
        """Take in the readings of a table, all or none; those the log has are left out."""
        done = table_read_in(store, text, site.book.clock())
        return ReadIn(written=done.written, known=done.known)

    return router
