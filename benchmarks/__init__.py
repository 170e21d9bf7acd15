"""Speeds of Ullage as ratios within one run, held to bars: `make bench`."""
