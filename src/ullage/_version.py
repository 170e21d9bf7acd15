"""The version, in one place, cheap to import."""

__version__ = "0.1.0"
