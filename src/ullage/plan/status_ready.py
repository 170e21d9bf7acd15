"""When kegs that lack gas come to their level, as they stand and by the steps that wait."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Final

from ullage.cellar.standing import Standing
from ullage.plan.followed import followed_on
from ullage.plan.look_ahead import ready_of
from ullage.plan.status_answer import StatusAnswer

HORIZON: Final = timedelta(days=28)


def with_ready(answer: StatusAnswer, standing: Standing) -> StatusAnswer:
    """The same, each keg that lacks gas with the day it is ready; `standing`: what it is of."""
    ahead = followed_on(standing, HORIZON)
    kegs = tuple(
        replace(keg, ready=ready_of(ahead, keg.keg)[0]) if keg.lacks_gas else keg
        for keg in answer.kegs
    )
    return replace(answer, kegs=kegs)
