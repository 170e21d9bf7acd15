"""Guests at the taps: how busy these are in the first hour, and how long one waits."""

from __future__ import annotations

import math
from typing import Final

from ullage.plan.party_answer import HOUR_S, Queue

HAND_S: Final = 8.0
"""Between two glasses at one tap: put the next under it. Common practice, no source."""


def queue(guests: int, first_hour: float, glasses_s: tuple[float, ...]) -> Queue | None:
    """The taps in the first hour; `glasses_s`: how long each takes for a drink. `None`: no tap.

    Guests come at random (Poisson), each takes the first tap that is free, and a glass takes
    nearly the same time: the wait is half that of the M/M/c queue (A. K. Erlang's formula C, with
    A. O. Allen and R. Cunneen's correction for a service of constant length).
    """
    if not glasses_s:
        return None
    taps = len(glasses_s)
    served = sum(1.0 / (seconds + HAND_S) for seconds in glasses_s)
    asked = guests * first_hour / HOUR_S
    busy = asked / served
    wait = None
    if busy < 1.0:
        wait = 0.5 * waiting_share(taps, busy) / (served - asked)
    return Queue(
        taps=taps,
        glass_s=sum(glasses_s) / taps,
        asked_per_s=asked,
        drawn_per_s=served,
        busy=busy,
        wait_s=wait,
        grows=max(asked - served, 0.0) * HOUR_S,
    )


def waiting_share(servers: int, busy: float) -> float:
    """The share of those who have to wait where so many serve (Erlang C).

    servers: 1 or more; busy: the share of the time that they serve, from 0 to below 1.

    >>> round(waiting_share(1, 0.5), 3), round(waiting_share(2, 0.5), 3)
    (0.5, 0.333)
    """
    load = servers * busy
    terms = [load**n / math.factorial(n) for n in range(servers)]
    last = load**servers / math.factorial(servers) / (1.0 - busy)
    return last / (sum(terms) + last)
