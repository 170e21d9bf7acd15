"""Scenes for alarms: a keg on gas at 11 psi in a fridge at 4 degC, what sensors said of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from ullage.cellar.samples import Bucket, Sample
from ullage.everyday_units import PSI
from ullage.plan.alarms import alarms
from ullage.plan.alarms_answer import Alarm
from ullage.plan.alarms_log import AlarmsLog, CylinderLog, KegLog, Kept
from ullage.plan.alarms_scene import Scene, Sensed
from ullage.plan.answers import Band
from ullage.plan.status_answer import CylinderStatus, KegStatus, StatusAnswer
from ullage.system.sensor import Sensor

NOW = datetime(2026, 5, 20, 12, tzinfo=UTC)
LONG_AGO = NOW - timedelta(days=60)
SET_PA = 11.0 * PSI
RATING_PA = 60.0 * PSI
KEPT_K = 277.15
RATED_KG = 4.536


def before(**ago: float) -> datetime:
    """So long before now."""
    return NOW - timedelta(**ago)


def keg(**other: Any) -> KegStatus:
    """K1, half full of a pale ale, on gas at 11 psi in the fridge."""
    usual = KegStatus(
        keg="K1",
        keg_kind="ball-lock-5gal",
        place="fridge",
        batch="Pale",
        style="",
        tap=None,
        filled_at=LONG_AGO,
        beer_left_m3=Band(0.0095, 0.009, 0.010),
        level_vol=Band(2.4, 2.3, 2.5),
        target_vol=2.4,
        tolerance_vol=0.2,
        temperature_k=KEPT_K,
        gauge_pressure_pa=Band(SET_PA, SET_PA, SET_PA),
        supply_gauge_pa=SET_PA,
        comes_to_vol=2.4,
        keeps_gauge_pa=SET_PA,
        oxygen_fraction=0.0,
        drawn_kg=0.0,
        carbonated=True,
    )
    return replace(usual, **other)


def cylinder(contents_kg: float = 3.0) -> CylinderStatus:
    """A 10 lb cylinder."""
    band = Band(contents_kg, contents_kg, contents_kg)
    return CylinderStatus("main", "10 lb", band, RATED_KG, LONG_AGO)


def scene(*sensed: Sensed, at: datetime = NOW, **other: Any) -> Scene:
    """The keg and the cylinder in the fridge, all as it should be unless told."""
    kegs = (other.pop("keg", keg()),)
    cylinders = (other.pop("cylinder", cylinder()),)
    steps = other.pop("steps", ())
    log = AlarmsLog(
        {"K1": other.pop("keg_log", KegLog("ball-lock-5gal", LONG_AGO, LONG_AGO, None, LONG_AGO))},
        {"main": other.pop("cylinder_log", CylinderLog("10 lb", LONG_AGO))},
        {"fridge": other.pop("kept", Kept(KEPT_K, LONG_AGO))},
        other.pop("gauges", {}),
    )
    status = StatusAnswer(at, "metric", kegs, cylinders, steps, (), ())
    return Scene(at, "metric", status, log, {}, {"K1": RATING_PA}, sensed, **other)


def sensor(of: str, measures: str, unit: str, name: str = "probe") -> Sensor:
    """A sensor of the system file."""
    return Sensor.model_validate({"name": name, "of": of, "measures": measures, "unit": unit})


PRESSURE = sensor("keg:K1", "pressure", "psi", "gauge")
FRIDGE = sensor("place:fridge", "temperature", "degC", "thermometer")
KEG_PROBE = sensor("keg:K1", "temperature", "degC", "keg probe")
SCALE = sensor("cylinder:main", "weight", "kg", "scale")
CYLINDER_GAUGE = sensor("cylinder:main", "pressure", "bar", "high gauge")

Course = Callable[[timedelta], float]
"""What a sensor reads so long before now (negative)."""


def said(
    one: Sensor, course: Course, hours: float = 12.0, at: datetime = NOW, every_s: float = 60.0
) -> Sensed:
    """A sensor that spoke each minute for some hours up to `at`, in stretches of ten minutes."""
    count = round(hours * 3600.0 / every_s)
    moments = [at - timedelta(seconds=every_s) * back for back in range(count, -1, -1)]
    return heard(one, [(moment, course(moment - at)) for moment in moments], every_s)


def heard(one: Sensor, told: Iterable[tuple[datetime, float]], every_s: float = 60.0) -> Sensed:
    """A sensor that said these values."""
    values = list(told)
    found: dict[datetime, list[float]] = {}
    for at, value in values:
        found.setdefault(at - timedelta(minutes=at.minute % 10, seconds=at.second), []).append(
            value
        )
    buckets = tuple(Bucket(at, min(some), max(some), len(some)) for at, some in found.items())
    at, value = values[-1]
    return Sensed(one, Sample(one.name, one.measures, one.of, at, value), buckets, every_s)


def step_at(hours: float, low: float, high: float) -> Course:
    """One value up to so many hours before now, another since."""
    return lambda ago: high if ago >= timedelta(hours=-hours) else low


def keys(one: Scene) -> list[str]:
    """The keys of the alarms that hold."""
    return [alarm.key for alarm in alarms(one)]


def only(one: Scene) -> Alarm:
    """The one alarm that holds."""
    (alarm,) = alarms(one)
    return alarm
