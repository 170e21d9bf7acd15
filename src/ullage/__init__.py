"""Ullage: one physical model of a home brewer's keg system."""

from ullage._version import __version__

__all__ = ["__version__"]
