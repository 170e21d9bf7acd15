"""View models for writing down what happened to a part."""

from __future__ import annotations

from dataclasses import dataclass

from ullage.web.fields import FieldView
from ullage.web.views import Fact, Link, Page


@dataclass(frozen=True, slots=True)
class Saying:
    """One thing that can be said: with one tap (`one_tap`), or by a form that its address opens."""

    title: str
    address: str
    one_tap: bool
    caution: str = ""


@dataclass(frozen=True, slots=True)
class PartView:
    """A part of the system and what can be said of it now."""

    page: Page
    heading: str
    sentence: str
    facts: tuple[Fact, ...]
    back: str
    taps: tuple[Saying, ...]
    forms: tuple[Saying, ...]
    links: tuple[Link, ...]
    title_block: tuple[Fact, ...]
    error: str = ""


@dataclass(frozen=True, slots=True)
class FormView:
    """A verb's form."""

    page: Page
    heading: str
    part: str
    action: str
    back: str
    leave: str
    does: str
    fields: tuple[FieldView, ...]
    when: FieldView
    remark: FieldView
    caution: str
    error: str
    title_block: tuple[Fact, ...]
