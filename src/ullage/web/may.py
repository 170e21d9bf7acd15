"""What each role and each token may do, by method and path: what is not listed is a keeper's."""

from __future__ import annotations

import re
from typing import Final

from ullage.cellar.accounts import Role
from ullage.cellar.tokens import Scope
from ullage.web.headers import SAFE

OPEN: Final = re.compile(
    r"/(healthz|login|first-account|manifest\.webmanifest|favicon\.ico|icon-\d+\.png)"
    r"|/static/.+"
    r"|/calendar/[^/]+\.ics"
)
"""Asked for without a login: what a login page needs, and the calendar at its secret address."""
SAMPLES: Final = "/api/v1/samples"
"""Where programs send readings to with a token, which the address itself looks at."""
FOR_PROGRAMS: Final = re.compile(r"/api/v1/.+|/openapi\.json")
"""Where a token leads at all."""
KEEPERS_ONLY: Final = re.compile(
    r"/(accounts|data|readings/tokens)(/.*)?|/api/v1/[^/]*\.jsonl/?", re.DOTALL
)
"""Pages that show or hand out more than the cellar as it stands: the whole log, who has access."""
EVERYBODYS: Final = re.compile(r"/logout|/own-password|/look")
"""Changes that touch nobody else: one's own session, password and theme."""
HELPERS: Final = re.compile(
    r"/record/.+"
    r"|/(undo|again|done)/[^/]+"
    r"|/kegs/.+/(fill|done)"
    r"|/brew/brewed"
    r"|/upkeep/(done|begin|tick|drop)"
    r"|/alarms/(seen|unseen)"
    r"|/api/v1/events(/[^/]+/undo)?"
    r"|/api/v1/steps/[^/]+/done"
)
"""What happened, written down or taken back; plans and settings are a keeper's."""
NO_PATH: Final = re.compile(r"[\x00-\x1f\x7f]")
"""What no address of ours has. A line's end behind one would lead to the same page and by another
rule: `$` matches before it, and routes are matched so."""


def is_open(method: str, path: str) -> bool:
    """Whether it is answered without a login."""
    if path == SAMPLES:
        return method == "POST"
    return OPEN.fullmatch(path) is not None


def may(role: Role, method: str, path: str) -> bool:
    """Whether an account of that role may do it.

    >>> may("guest", "GET", "/kegs"), may("guest", "POST", "/record/keg/K1")
    (True, False)
    >>> may("helper", "POST", "/record/keg/K1"), may("helper", "POST", "/system")
    (True, False)
    """
    if role == "keeper":
        return True
    if method in SAFE:
        return KEEPERS_ONLY.fullmatch(path) is None
    if EVERYBODYS.fullmatch(path):
        return True
    return role == "helper" and HELPERS.fullmatch(path) is not None


def token_may(scope: Scope, method: str, path: str) -> bool:
    """Whether a program with a token of that scope may do it; readings are sent past this.

    >>> token_may("read", "GET", "/api/v1/status"), token_may("read", "POST", "/api/v1/events")
    (True, False)
    >>> token_may("record", "POST", "/api/v1/events"), token_may("record", "GET", "/kegs")
    (True, False)
    """
    if scope == "samples" or FOR_PROGRAMS.fullmatch(path) is None:
        return False
    return may("guest" if scope == "read" else "helper", method, path)
