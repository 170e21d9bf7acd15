"""Write `docs/reference/api.md`: every address that answers a program. Part of `make docs`."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scripts.models_page.checks import table
from scripts.put import ROOT, put
from ullage.cellar.store import Store
from ullage.web.app import create_app
from ullage.web.book import Book

TARGET: Final = ROOT / "docs" / "reference" / "api.md"
IN_MEMORY: Final = "sqlite://"
AT: Final = datetime(2026, 6, 11, 18, 0, tzinfo=UTC)
"""What counts as now for the application that describes itself; nothing is shown of it."""
GROUPS: Final = {
    "answers": "Answers",
    "log": "The log",
    "system": "The system file",
    "sensors": "Sensors",
    "files": "Files",
}
PAGES: Final = "Pages as data"
OTHER: Final = "Whether it is up"
"""The headings of what has no group: the addresses of the pages, with `.json`, and the rest."""

HEAD: Final = """<!-- Written by scripts/write_api_page.py; run make docs. -->

# Addresses for a program

Every address that `ullage serve` answers a program at, with its parameters. How to ask, what a
refusal looks like and an example stand in [Asking from a program](../api.md); the form of every
question and answer, key by key, in `/openapi.json` of the running program.

Numbers are SI and the end of a name says the unit, but where a parameter says *any unit*: there it
is text, as on a page. Any address may also answer 404 (there is no such thing), 422 (that cannot be
taken in) or 503 (the store cannot be read or written just now).
"""
MOST_FORMS: Final = 3
"""Forms that are named; an address that takes any event has too many."""
SAID_ABOVE: Final = ("404", "422", "503")


@dataclass(frozen=True, slots=True)
class Address:
    """One address with one method, as the OpenAPI description tells it."""

    method: str
    path: str
    told: Mapping[str, Any]

    @property
    def group(self) -> str:
        """The heading it stands under."""
        tag: str = (self.told.get("tags") or [""])[0]
        if tag:
            return GROUPS.get(tag, tag.capitalize())
        return PAGES if self.path.endswith(".json") else OTHER


def addresses() -> tuple[Address, ...]:
    """Every address, in the order in which the application has them."""
    with Store.open(IN_MEMORY) as store:
        described = create_app(Book(store, lambda: AT)).openapi()
    return tuple(
        Address(method.upper(), path, told)
        for path, methods in described["paths"].items()
        for method, told in methods.items()
    )


def page() -> str:
    """The whole page."""
    groups: dict[str, list[Address]] = {}
    for one in addresses():
        groups.setdefault(one.group, []).append(one)
    more = sorted(set(groups) - {*GROUPS.values(), PAGES, OTHER})
    order = [*GROUPS.values(), *more, PAGES, OTHER]
    written = [part for name in order if name in groups for part in _group(name, groups[name])]
    return "\n\n".join([HEAD.strip(), *written]) + "\n"


def _group(name: str, members: list[Address]) -> Iterator[str]:
    yield f"## {name}"
    for one in members:
        yield _section(one)


def _section(one: Address) -> str:
    said = [" ".join(each.split()) for each in one.told.get("description", "").split("\n\n")]
    parts = [f"### `{one.method} {one.path}`", *said]
    rows = [_parameter(each) for each in one.told.get("parameters", ())]
    if rows:
        parts.append(table(("Parameter", "Value", "What it says"), rows))
    if "requestBody" in one.told:
        parts.append(_body(one.told["requestBody"]))
    return "\n\n".join([*parts, _answers(one.told["responses"])])


def _parameter(told: Mapping[str, Any]) -> tuple[str, str, str]:
    place = "" if told["in"] == "query" else f" ({told['in']})"
    needed = "; needed" if told.get("required") and told["in"] != "path" else ""
    said = " ".join((told.get("description") or "").split())
    return f"`{told['name']}`{place}", kind(told["schema"]) + needed, said


def kind(schema: Mapping[str, Any]) -> str:
    """What may stand there, its bounds, and what stands for nothing said.

    >>> kind({"type": "integer", "minimum": 1, "maximum": 84, "default": 28})
    'whole number, 1 to 84; default 28'
    """
    found = next((x for x in schema.get("anyOf", ()) if x.get("type") != "null"), schema)
    bounds = _bounds(found)
    default = schema.get("default")
    left_out = "" if default in (None, "", []) else f"; default {_plain(default)}"
    return _type(found) + bounds + left_out


def _type(schema: Mapping[str, Any]) -> str:
    if "enum" in schema:
        return " or ".join(f"`{each}`" for each in schema["enum"])
    if schema.get("type") == "array":
        return f"{_type(schema['items'])}; may be given again"
    named = {"integer": "whole number", "number": "number", "boolean": "`true` or `false`"}
    formats = {"date": "date", "date-time": "moment"}
    return named.get(schema.get("type", ""), formats.get(schema.get("format", ""), "text"))


def _bounds(schema: Mapping[str, Any]) -> str:
    high = schema.get("maximum")
    if high is None:
        return ""
    above = schema.get("exclusiveMinimum")
    least = _plain(schema.get("minimum", 0) if above is None else above)
    return (
        f", {least} to {_plain(high)}" if above is None else f", above {least}, to {_plain(high)}"
    )


def _plain(value: Any) -> str:
    """A value as a person would write it."""
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:.10g}" if isinstance(value, int | float) else str(value)


def _body(told: Mapping[str, Any]) -> str:
    """Which text it takes, and of which form."""
    kinds = ", ".join(f"`{each}`" for each in told["content"])
    forms = sorted({name for one in told["content"].values() for name in _forms(one["schema"])})
    form = f", the form {_listed(forms)}" if 0 < len(forms) <= MOST_FORMS else ""
    said = " ".join(told.get("description", "").split())
    return f"Takes {kinds}{form}." + (f" {said}" if said else "")


def _listed(names: list[str]) -> str:
    return " or ".join(f"`{name}`" for name in names)


def _forms(schema: Any) -> Iterator[str]:
    """The names of the forms that a schema refers to."""
    if isinstance(schema, Mapping):
        if "$ref" in schema:
            yield schema["$ref"].rpartition("/")[2]
        for below in schema.values():
            yield from _forms(below)
    elif isinstance(schema, list):
        for below in schema:
            yield from _forms(below)


def _answers(told: Mapping[str, Any]) -> str:
    rows = [_answer(code, one) for code, one in told.items() if code not in SAID_ABOVE]
    return "Answers: " + "; ".join(rows) + "."


def _answer(code: str, told: Mapping[str, Any]) -> str:
    """The code, what it means where that is told, and the form."""
    said = " ".join(told.get("description", "").split()).rstrip(".")
    plain = said in ("Successful Response", "Bad Request", "Not Found", "")
    forms = [name for one in told.get("content", {}).values() for name in _forms(one["schema"])]
    form = f" (`{forms[0]}`)" if len(set(forms)) == 1 else ""
    return f"{code}{form}" if plain else f"{code} {said}{form}"


if __name__ == "__main__":
    put(TARGET, page())
