"""A store whose things have names that an address, a page and a drawing may stumble over."""

from __future__ import annotations

import json
from pathlib import Path

from tests.web.made_up import NOW, fresh
from ullage.plan.begin import SYSTEM_DOCUMENT, first_events
from ullage.system.demo import demo_text
from ullage.system.file import parse_system
from ullage.web.book import Book

ODD = {
    "K1": 'Grandma\'s "big" keg',
    "K2": "Käsebier 5/6 <&> 100 %",
    "K3": "A name that goes on until nobody remembers how it all began",
    "left": "links & rechts?",
    "main": "Flasche #2 + Größe",
}
"""The demo's names and those that stand in for them."""


def odd_text() -> str:
    """The demo's system file with odd names."""
    text = demo_text(NOW.date())
    for name, odd in ODD.items():
        for key in ("name", "keg", "cylinder"):
            text = text.replace(
                f'{key} = "{name}"', f"{key} = {json.dumps(odd, ensure_ascii=False)}"
            )
    return text


def with_odd_names(folder: Path) -> Book:
    """A book over a fresh store that begins with that system."""
    book = fresh(folder)
    text = odd_text()
    book.store.put_document(SYSTEM_DOCUMENT, text)
    book.record(*first_events(parse_system(text, "odd"), book.clock()))
    return book
