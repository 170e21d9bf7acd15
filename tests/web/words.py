"""A page's words and forms, as a reader and a browser without a script see them."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass, field
from html.parser import HTMLParser


def plain(page: str) -> str:
    """The page's words, without its tags."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", "", page)).split())


@dataclass
class Form:
    """A form: where it goes and what it would send as it stands."""

    action: str
    method: str
    values: dict[str, str] = field(default_factory=dict)


class _Forms(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[Form] = []
        self._select = ""
        self._area = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {key: value or "" for key, value in attrs}
        name = given.get("name", "")
        if tag == "form":
            self.found.append(Form(given.get("action", ""), given.get("method", "get")))
        elif not self.found:
            return
        elif tag == "input" and name and (given.get("type") != "checkbox" or "checked" in given):
            self.found[-1].values[name] = given.get("value", "")
        elif tag == "select":
            self._select = name
        elif tag == "option" and self._select:
            if "selected" in given or self._select not in self.found[-1].values:
                self.found[-1].values[self._select] = given.get("value", "")
        elif tag == "textarea":
            self._area = name
            self.found[-1].values[name] = ""

    def handle_data(self, data: str) -> None:
        if self._area:
            self.found[-1].values[self._area] += data.removeprefix("\n")

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""
        if tag == "textarea":
            self._area = ""


def forms(page: str) -> list[Form]:
    """All forms of a page."""
    return _Forms(page).found


def form_to(page: str, action: str) -> Form:
    """The form of a page that goes to an address."""
    return next(one for one in forms(page) if one.action == action)


def errors(page: str) -> list[str]:
    """The sentences of what is wrong."""
    return [plain(one) for one in re.findall(r'<p class="error".*?</p>', page, re.DOTALL)]
