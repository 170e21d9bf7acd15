"""The way in: `ullage` and `python -m ullage`. The version needs nothing else to be loaded."""

from __future__ import annotations

import sys

from ullage._version import __version__


def main() -> None:
    """Print the version, or hand over to the command line."""
    if sys.argv[1:] == ["--version"]:
        print(f"ullage {__version__}")
        return
    from ullage import cli  # noqa: PLC0415  (slow to load)

    cli.main()


if __name__ == "__main__":
    main()
