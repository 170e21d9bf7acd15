"""The shape of an answer's JSON, for the description of the API: of the same types as the answer.

`shape_of(StatusAnswer)` describes what `plan.as_json` writes of one: a band is three keys, and a
number that has no end (never, for ever) is null.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import datetime
from functools import cache
from types import NoneType, UnionType
from typing import Any, Final, Literal, Union, get_args, get_origin, get_type_hints

from pydantic import BaseModel, ConfigDict, create_model

from ullage.plan.answers import Band
from ullage.plan.as_json import band_keys

PLAIN: Final = (str, int, bool, datetime)
HEADINGS: Final = {
    401: "Who sends this?",
    404: "There is no such thing.",
    405: "That cannot be done here.",
    409: "Someone else wrote meanwhile.",
    412: "Someone else wrote meanwhile.",
    413: "That is too much at once.",
    415: "That is no text of the kind that is read here.",
    422: "That cannot be taken in.",
    503: "The store cannot be read or written just now.",
}


class Problem(BaseModel):
    """Why a request was refused: in a few words, then a sentence for each thing that is wrong.

    `fields`: the same by the field of the question, where it is one.
    """

    model_config = ConfigDict(extra="forbid")

    error: str
    detail: list[str]
    fields: dict[str, str] | None = None


def problems(*codes: int) -> dict[int | str, dict[str, Any]]:
    """Describe the refusals that an address may answer with."""
    return {code: {"model": Problem, "description": HEADINGS.get(code, "")} for code in codes}


def answers(kind: type, code: int = 200) -> dict[int | str, dict[str, Any]]:
    """Describe an answer by its type, and how the question may be refused."""
    what = (kind.__doc__ or "").partition("\n")[0]
    return {code: {"model": shape_of(kind), "description": what}, **problems(404, 422)}


@cache
def shape_of(answer: type) -> type[BaseModel]:
    """Describe the JSON of an answer's type. Raises `TypeError` for a type that no answer has."""
    hints = get_type_hints(answer)
    keys: dict[str, Any] = {}
    for field in fields(answer):
        keys.update(_keys(field.name, hints[field.name]))
    made: type[BaseModel] = create_model(
        answer.__name__,
        __config__=ConfigDict(extra="forbid"),
        __doc__=answer.__doc__,
        __module__=answer.__module__,
        **keys,
    )
    return made


def _keys(name: str, hint: Any) -> Iterator[tuple[str, Any]]:
    """The keys of a field with their types; the ends of a band that may be missing come or not."""
    if hint is Band:
        yield from ((key, (float | None, ...)) for key in band_keys(name))
    elif Band in get_args(hint):
        value, *ends = band_keys(name)
        yield value, (float | None, ...)
        yield from ((key, (float | None, None)) for key in ends)
    else:
        yield name, (_kind(hint), ...)


def _kind(hint: Any) -> Any:
    if hint is float:
        return float | None
    if hint in PLAIN or get_origin(hint) is Literal:
        return hint
    if is_dataclass(hint):
        return shape_of(hint) if isinstance(hint, type) else None
    inner = get_args(hint)
    if get_origin(hint) is tuple and inner[1:] == (...,):
        return list[_kind(inner[0])]  # type: ignore[misc]
    if get_origin(hint) in (Union, UnionType):
        return Union[tuple(one if one is NoneType else _kind(one) for one in inner)]  # noqa: UP007
    raise TypeError(f"no shape is known for {hint}")
