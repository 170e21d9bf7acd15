"""Options that several commands have."""

from __future__ import annotations

from typing import Annotated

import typer

Json = Annotated[bool, typer.Option("--json", help="Print the answer as JSON, SI units.")]
Units = Annotated[str | None, typer.Option(help="us or metric; default: the file's.")]
StoreAddress = Annotated[
    str | None,
    typer.Option(
        "--store",
        envvar="ULLAGE_STORE",
        show_envvar=False,
        help="Where the log is kept: a file or a PostgreSQL URL. Default: ULLAGE_STORE, or your "
        "data folder.",
    ),
]
Cellar = Annotated[
    str | None,
    typer.Option(
        "--cellar",
        envvar="ULLAGE_CELLAR",
        show_envvar=False,
        help="Which household's, where the store keeps several. Default: ULLAGE_CELLAR, or home.",
    ),
]
Moment = Annotated[
    str | None,
    typer.Option("--at", help="When, as 2026-11-25T18:00, or 18:00 for today. Default: now."),
]
