"""How the site is built from the Markdown that also reads well on a code host: `make docs`.

The pages are plain Markdown. What a site needs beside it is made here: the order of its pages is
that of the links in `index.md` and in the `index.md` of each folder, so that no page bears a list
that only a generator understands.

Sphinx, because it takes a broken link or a page nobody leads to for an error; MyST, because it
reads plain Markdown; the theme furo, because it reads well on a phone, knows light and dark, has a
variable for every colour, and fetches nothing from another host.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from sphinx.application import Sphinx

ROOT: Final = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "src"))

from ullage._version import __version__  # noqa: E402  (after the path to it)

project = "Ullage"
author = "The Ullage developers"
project_copyright = author
release = version = __version__

extensions = ["myst_parser"]
root_doc = "docs/index"
include_patterns = ["README.md", "CHANGELOG.md", "docs/**.md"]
exclude_patterns = [".*", "build", "dist", "frontend", "src", "tests", "scripts", "benchmarks"]
myst_heading_anchors = 4
nitpicky = True

html_theme = "furo"
html_title = f"Ullage {release}"
html_static_path = ["site/static"]
html_css_files = ["ullage.css"]
html_extra_path = ["site/root"]
html_copy_source = False
html_use_index = False
html_show_sphinx = False
html_show_sourcelink = False
WORDS: Final = 'B612, "Segoe UI", system-ui, sans-serif'
FIGURES: Final = '"B612 Mono", ui-monospace, "DejaVu Sans Mono", monospace'


def inks(paper: str, desk: str, ink: str, quiet: str, hair: str, accent: str) -> dict[str, str]:
    """The colours of the program's own pages, by the names that the theme has for them."""
    return {
        "color-background-primary": paper,
        "color-background-secondary": desk,
        "color-background-border": hair,
        "color-code-background": desk,
        "color-code-foreground": ink,
        "color-foreground-primary": ink,
        "color-foreground-muted": quiet,
        "color-brand-primary": accent,
        "color-brand-content": accent,
        "color-brand-visited": accent,
        "font-stack": WORDS,
        "font-stack--monospace": FIGURES,
    }


html_theme_options: dict[str, Any] = {
    "top_of_page_buttons": [],
    "light_css_variables": inks("#fbfaf5", "#ebe9e0", "#17222d", "#4d5965", "#a9b0b5", "#0a5a9c"),
    "dark_css_variables": inks("#10304f", "#0a2036", "#eaf2f9", "#b9ccdd", "#557a9e", "#86d3ff"),
}
pygments_style = "bw"
pygments_dark_style = "native"

HEADING: Final = re.compile(r"^## (.*)$", re.MULTILINE)
LINK: Final = re.compile(r"\[([^\]]+)\]\(([^)\s:#]+\.md)\)")


def toctrees(source: str) -> str:
    """The pages that a page links to, heading by heading, as hidden lists for the generator.

    >>> print(toctrees("# A\\n\\n## B\\n\\n[c](c.md) and [d](e/d.md)\\n"))
    <BLANKLINE>
    ```{toctree}
    :hidden:
    :caption: B
    <BLANKLINE>
    c <c.md>
    d <e/d.md>
    ```
    <BLANKLINE>
    """
    _, *parts = HEADING.split(source)
    written = "\n"
    for heading, text in zip(parts[::2], parts[1::2], strict=True):
        listed = "\n".join(f"{name} <{page}>" for name, page in LINK.findall(text))
        if listed:
            written += f"```{{toctree}}\n:hidden:\n:caption: {heading}\n\n{listed}\n```\n"
    return written


def add_toctrees(_app: Sphinx, name: str, source: list[str]) -> None:
    """Let each `index.md` list the pages it links to."""
    if name.endswith("/index"):
        source[0] += toctrees(source[0])


def setup(app: Sphinx) -> None:
    """Hook it in."""
    app.connect("source-read", add_toctrees)
