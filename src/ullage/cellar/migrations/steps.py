"""Which forms of the store there are, and the way from one to the next."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from ullage.cellar.tables import REVISION

if TYPE_CHECKING:
    from alembic.config import Config
    from sqlalchemy import Connection

_HERE: Final = Path(__file__).parent


def is_newer(form: str) -> bool:
    """Tell whether a form is later than any that this program knows: they are numbered in order.

    >>> is_newer("0001"), is_newer("9999")
    (False, True)
    """
    return form > REVISION


def forms() -> tuple[str, ...]:
    """Every form that this program knows, the oldest first."""
    from alembic.script import ScriptDirectory  # noqa: PLC0415 (as below)

    steps = ScriptDirectory.from_config(_config(None)).walk_revisions()
    return tuple(reversed([one.revision for one in steps]))


def upgrade(connection: Connection, to: str = REVISION) -> None:
    """Take every step that a store lacks up to a form, in the caller's transaction.

    Either database takes back a step that was begun when the transaction is not finished.
    """
    from alembic import command  # noqa: PLC0415 (a store that is up to date need not wait for it)

    command.upgrade(_config(connection), to)


def _config(connection: Connection | None) -> Config:
    from alembic.config import Config  # noqa: PLC0415 (as above)

    config = Config(attributes={"connection": connection})
    config.set_main_option("script_location", str(_HERE).replace("%", "%%"))
    return config
