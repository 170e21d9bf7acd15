"""From a view model to a page."""

from __future__ import annotations

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined

from ullage.web.offered import offered
from ullage.web.views import Page
from ullage.web.wording import co2, named


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
    environment.filters["named"] = named
    return environment


def rendered(template: str, view: object) -> str:
    """Print a template with its view model, without what its reader may not do."""
    text = _templates().get_template(template).render(view=view)
    page = getattr(view, "page", None)
    return offered(text, page.role, page.base) if isinstance(page, Page) and page.role else text
