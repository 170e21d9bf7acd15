"""All of the API below `/api/v1`."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter

from ullage.web.api import (
    alarms,
    brewing,
    files,
    gas_ahead,
    leak,
    learn,
    log,
    plan,
    samples,
    share,
    system,
    upkeep,
)
from ullage.web.site import Site

ROOT: Final = "/api/v1"


def routes(site: Site) -> APIRouter:
    """Everything the API answers."""
    router = APIRouter(prefix=ROOT)
    for part in (
        plan,
        alarms,
        brewing,
        gas_ahead,
        leak,
        learn,
        log,
        system,
        files,
        samples,
        share,
        upkeep,
    ):
        router.include_router(part.routes(site))
    return router
