"""A text that a form sent: as a file chosen on the device, or pasted."""

from __future__ import annotations

from email import policy
from email.message import EmailMessage
from email.parser import BytesParser
from typing import Final
from urllib.parse import parse_qs

from starlette.exceptions import HTTPException

FILE: Final = "file"
TEXT: Final = "text"


def uploaded(body: bytes, content_type: str) -> str:
    """The chosen file's text, else what was pasted. Raises `HTTPException` where it is no text."""
    return _decoded(uploaded_bytes(body, content_type)).replace("\r\n", "\n")


def uploaded_bytes(body: bytes, content_type: str) -> bytes:
    """The chosen file as it is, else what was pasted."""
    sort = content_type.partition(";")[0].strip().lower()
    found = _parts(body, content_type) if sort == "multipart/form-data" else _fields(body)
    return found.get(FILE) or found.get(TEXT) or b""


def _fields(body: bytes) -> dict[str, bytes]:
    """The fields of a form that came as one line; Latin-1 has a letter for each byte."""
    pairs = parse_qs(body.decode("latin-1"), encoding="latin-1").items()
    return {name: values[-1].encode("latin-1") for name, values in pairs}


def _parts(body: bytes, content_type: str) -> dict[str, bytes]:
    """The parts of a form by their names (RFC 7578)."""
    head = f"Content-Type: {content_type}\r\n\r\n".encode("latin-1", "replace")
    message = BytesParser(EmailMessage, policy=policy.HTTP).parsebytes(head + body)
    found = {}
    for part in message.iter_parts():
        name = part.get_param("name", header="content-disposition")
        content = part.get_payload(decode=True)
        if isinstance(name, str) and isinstance(content, bytes):
            found[name] = content
    return found


def _decoded(content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise HTTPException(422, "That is not a text in UTF-8, so no system file.") from None
