"""Amounts in sentences that are written once and read in any household: in both unit systems."""

from __future__ import annotations

from ullage.units import Kind, format_quantity


def volume(volume_m3: float) -> str:
    """A volume of beer, from m³.

    >>> volume(0.00833), volume(0.0004)
    ('8.3 L (2.2 gal)', '400 mL (13.5 fl oz)')
    """
    return _both(volume_m3, Kind.VOLUME)


def mass(mass_kg: float) -> str:
    """A mass, from kg.

    >>> mass(4.536), mass(0.1)
    ('4.54 kg (10 lb)', '100 g (3.5 oz)')
    """
    return _both(mass_kg, Kind.MASS)


def gauge(pressure_pa: float) -> str:
    """A pressure, from Pa.

    >>> gauge(9.0e5)
    '9 bar (130.5 psi)'
    """
    return _both(pressure_pa, Kind.PRESSURE)


def warmth(temperature_k: float) -> str:
    """A temperature, from kelvin.

    >>> warmth(293.15)
    '20 °C (68 °F)'
    """
    return _both(temperature_k, Kind.TEMPERATURE)


def _both(value: float, kind: Kind) -> str:
    return f"{format_quantity(value, kind, 'metric')} ({format_quantity(value, kind, 'us')})"
