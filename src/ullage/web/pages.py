"""From a view model to a page."""

from __future__ import annotations

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined

from ullage.web.views import MessageView, SheetView
from ullage.web.wording import co2


@cache
def _templates() -> Environment:
    environment = Environment(
        loader=PackageLoader("ullage.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["co2"] = co2
    return environment


def sheet_page(view: SheetView) -> str:
    """Print the whole sheet."""
    return _templates().get_template("sheet.html").render(view=view)


def message_page(view: MessageView) -> str:
    """Print a page that says one thing."""
    return _templates().get_template("message.html").render(view=view)
