"""Ullage from the keg outward: what is owned, in types and in a file."""
