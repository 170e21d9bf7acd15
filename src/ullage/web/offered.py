"""What a page offers: a form that its reader may not send is left out, whoever wrote the page."""

from __future__ import annotations

import re
from html import unescape
from typing import Final
from urllib.parse import unquote, urlsplit

from ullage.cellar.accounts import Role
from ullage.web.may import may

_POSTED: Final = re.compile(r'<form\b(?=[^>]*\bmethod="post")([^>]*)>.*?</form>\n?', re.DOTALL)
_ACTION: Final = re.compile(r'\baction="([^"]*)"')


def offered(page: str, role: Role, base: str) -> str:
    """A page of ours without the forms that the role may not send; `base` as their addresses have
    it.

    >>> offered('<p>Hi</p><form method="post" action="/system"><button>Save</button></form>',
    ...         "guest", "")
    '<p>Hi</p>'
    """

    def kept(form: re.Match[str]) -> str:
        action = _ACTION.search(form[1])
        path = unquote(urlsplit(unescape(action[1] if action else "")).path)
        return form[0] if may(role, "POST", path.removeprefix(base)) else ""

    return _POSTED.sub(kept, page)
