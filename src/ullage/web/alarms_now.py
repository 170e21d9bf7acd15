"""The alarms of this minute, worked out once for all that ask in it."""

from __future__ import annotations

from ullage.plan.alarms_answer import Alarm, AlarmsAnswer
from ullage.plan.alarms_now import alarms_answer, alarms_now
from ullage.units import UnitSystem
from ullage.web.book import Present
from ullage.web.site import Site


def found(site: Site, present: Present, units: UnitSystem) -> tuple[Alarm, ...]:
    """What holds, the most pressing first."""

    def made() -> tuple[Alarm, ...]:
        store = site.book.store
        return alarms_now(store, present.described, present.at, units, present.status, present.log)

    return present.kept(("alarms", units), made)


def answer(site: Site, present: Present, units: UnitSystem) -> AlarmsAnswer:
    """The same with what was seen and told: whoever says "seen" is answered at once."""

    def made() -> AlarmsAnswer:
        here = found(site, present, units)
        return alarms_answer(site.book.store, here, present.status, units)

    return present.kept(("alarms heard", units), made)
