"""How every address of the API reads and refuses: a bounded body, and each error as JSON."""

from __future__ import annotations

from collections.abc import Callable, Coroutine, Iterator, Mapping
from typing import Annotated, Any, ClassVar, Final

from fastapi import Depends, HTTPException, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from fastapi.routing import APIRoute
from starlette.exceptions import HTTPException as AnyHTTPException
from starlette.types import Message, Receive

from ullage.cellar.events import Event
from ullage.errors import Conflict, StoreError, UllageError
from ullage.web.shapes import HEADINGS, Problem
from ullage.web.wording import sentence

LARGEST_BODY: Final = 1_000_000
"""Bytes of a request."""
LARGEST_FILE: Final = 50_000_000
"""Bytes of an export or a table that is read in."""
FRESH: Final = {"Cache-Control": "no-cache"}
NO_FIELDS: Final = frozenset(
    {
        "event",
        "events",
        "batch",
        "sample",
        "samples",
        *(kind.model_fields["kind"].default for kind in Event.__args__),
    }
)
"""How a body may be given and which event it may be: parts of a way to a field, but no field."""


def as_answer(text: str, code: int = 200) -> Response:
    """An answer that is JSON already, to be asked for anew each time."""
    return Response(text, code, FRESH, "application/json")


def refusal(code: int, *detail: str, headers: Mapping[str, str] | None = None) -> JSONResponse:
    """Refuse, and say why."""
    heading = HEADINGS.get(code, "The request cannot be read.")
    lines = [one.encode("utf-8", "replace").decode() for one in detail]
    told = Problem(error=heading, detail=lines).model_dump(exclude_none=True)
    return JSONResponse(told, code, {**FRESH, **(headers or {})})


class JsonRoute(APIRoute):
    """An address of the API."""

    largest: ClassVar[int] = LARGEST_BODY

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """Read no more than is allowed, and turn what goes wrong into a `Problem`."""
        answer = super().get_route_handler()

        async def answered(request: Request) -> Response:
            limited = Request(request.scope, _limited(request.receive, self.largest))
            try:
                return await answer(limited)
            except RequestValidationError as wrong:
                return refusal(422, *_sentences(wrong))
            except AnyHTTPException as wrong:
                return refusal(wrong.status_code, str(wrong.detail), headers=wrong.headers)
            except UllageError as wrong:
                return refusal(_code(wrong), sentence(wrong))

        return answered


class FileRoute(JsonRoute):
    """An address of the API that reads whole files."""

    largest: ClassVar[int] = LARGEST_FILE


async def whole_body(request: Request) -> bytes:
    """All that was sent."""
    return await request.body()


async def whole_text(request: Request) -> str:
    """All that was sent, as text. Raises `HTTPException` where it is none."""
    try:
        return (await request.body()).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise HTTPException(415, "It is no text in UTF-8.") from None


Body = Annotated[bytes, Depends(whole_body)]
Text = Annotated[str, Depends(whole_text)]


def takes(media_type: str, example: str, what: str) -> dict[str, Any]:
    """Describe a body that is plain text."""
    content = {media_type: {"schema": {"type": "string"}, "example": example}}
    return {"requestBody": {"required": True, "description": what, "content": content}}


def gives(media_type: str, what: str, schema: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Describe an answer that is a text, or JSON of a written schema."""
    return {
        "description": what,
        "content": {media_type: {"schema": dict(schema or {"type": "string"})}},
    }


def _limited(receive: Receive, largest: int) -> Receive:
    seen = 0

    async def limited() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > largest:
            raise HTTPException(413, f"More than {largest:,} bytes are not read at once.")
        return message

    return limited


def _code(wrong: UllageError) -> int:
    if isinstance(wrong, Conflict):
        return 409
    return 503 if isinstance(wrong, StoreError) else 422


def _sentences(wrong: RequestValidationError) -> Iterator[str]:
    """A sentence for each field that is wrong, the field before it."""
    for one in wrong.errors():
        source, *where = one["loc"]
        path = ".".join(str(part) for part in where if part not in NO_FIELDS)
        yield f"{path or source}: {one['msg'].removeprefix('Value error, ')}"
