"""The system file as text with its version, and as JSON of the same form."""

from __future__ import annotations

import re
import tomllib
from datetime import date
from typing import Annotated, Any, Final

from fastapi import APIRouter, Header, HTTPException
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, ConfigDict

from ullage.errors import Conflict
from ullage.system.schema import json_schema
from ullage.web.api.log import AnyEvent
from ullage.web.api.route import FRESH, JsonRoute, Text, gives, takes
from ullage.web.book import Book
from ullage.web.saved_system import save_system
from ullage.web.shapes import problems
from ullage.web.site import Site

EXAMPLE: Final = 'name = "Home"\n\n[[place]]\nname = "fridge"\ntemperature = "38 degF"\n'
ETAG: Final = {
    "ETag": {"schema": {"type": "string"}, "description": "The version, quoted: for If-Match."}
}
IfMatch = Annotated[
    str | None,
    Header(
        pattern=r'^"[0-9]{1,9}"$',
        description='The version that was read, quoted ("3"; "0": there was none). '
        "Where there is a newer one, nothing is saved.",
    ),
]


class SystemSaved(BaseModel):
    """The version that is kept now, and what it said anew, written down as events."""

    model_config = ConfigDict(extra="forbid")

    version: int
    written: list[AnyEvent]


def routes(site: Site) -> APIRouter:
    """`/system` as JSON and `/system.toml` as text, to read and to replace."""
    router = APIRouter(route_class=JsonRoute, tags=["system"], responses=problems(503))
    book = site.book

    @router.get("/system", responses={200: _as_json_described(), **problems(404)})
    def read_the_system() -> JSONResponse:
        """Give the system file as JSON: its keys and quantities as they are written there."""
        text, version = _text(book)
        told = {"version": version, "system": _plain(tomllib.loads(text))}
        return JSONResponse(told, headers={**FRESH, "ETag": f'"{version}"'})

    @router.get(
        "/system.toml",
        response_class=Response,
        responses={
            200: gives("text/plain", "The system file (TOML).") | {"headers": ETAG},
            **problems(404),
        },
    )
    def read_the_system_file() -> Response:
        """Give the system file as it was written."""
        text, version = _text(book)
        headers = {**FRESH, "ETag": f'"{version}"'}
        return Response(text, headers=headers, media_type="text/plain; charset=utf-8")

    @router.put(
        "/system.toml",
        response_model_exclude_none=True,
        responses=problems(409, 412, 413, 415, 422),
        openapi_extra=takes("text/plain", EXAMPLE, "The whole system file (TOML), in UTF-8."),
    )
    def replace_the_system_file(
        text: Text, response: Response, if_match: IfMatch = None
    ) -> SystemSaved:
        """Save a new version; kegs, cylinders and settings that it says anew are written down."""
        newest = book.system_text()[1]
        expected = newest if if_match is None else int(re.sub(r"\D", "", if_match))
        try:
            done = save_system(book, text, expected)
        except Conflict as wrong:
            raise HTTPException(412 if if_match else 409, str(wrong)) from None
        response.headers["ETag"] = f'"{done.version}"'
        return SystemSaved(version=done.version, written=[*done.events])

    return router


def _text(book: Book) -> tuple[str, int]:
    text, version = book.system_text()
    if not version:
        raise HTTPException(404, "No system is described yet.")
    return text, version


def _plain(value: Any) -> Any:
    """What TOML holds as JSON does: a day as text."""
    if isinstance(value, dict):
        return {key: _plain(part) for key, part in value.items()}
    if isinstance(value, list):
        return [_plain(part) for part in value]
    return value.isoformat() if isinstance(value, date) else value


def _as_json_described() -> dict[str, Any]:
    schema = json_schema()
    system = _without_references(schema, schema["$defs"])
    whole = {
        "type": "object",
        "properties": {"version": {"type": "integer"}, "system": system},
        "required": ["version", "system"],
        "additionalProperties": False,
    }
    told = gives("application/json", "The file's version, and what it says.", whole)
    return told | {"headers": ETAG}


def _without_references(node: Any, parts: dict[str, Any]) -> Any:
    """A schema with each part where it is meant: a description of an API keeps parts elsewhere."""
    if isinstance(node, list):
        return [_without_references(one, parts) for one in node]
    if not isinstance(node, dict):
        return node
    name = node.get("$ref", "").rpartition("/")[2]
    whole = {**parts[name], **node} if name else node
    dropped = ("$ref", "$defs", "$schema", "$id")
    return {
        key: _without_references(part, parts) for key, part in whole.items() if key not in dropped
    }
