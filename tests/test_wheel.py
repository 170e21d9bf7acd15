"""The wheel: the same bytes wherever it is built, whole by itself, and serving without Node."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import sysconfig
import tarfile
import tomllib
import venv
import zipfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from email import message_from_string
from pathlib import Path
from typing import Any, Final
from urllib.request import urlopen

import pytest
from hatch_build import ASSETS, STAMP, VENDOR, is_filled

from tests.cellar import old_stores
from ullage import __version__
from ullage.cellar.tables import REVISION

ROOT: Final = Path(__file__).resolve().parent.parent
NOT_OURS: Final = shutil.ignore_patterns(
    ".git", ".venv", "build", "dist", "node_modules", "__pycache__", ".*_cache", ".hypothesis",
    "*.tmp",
)  # fmt: skip
LONG_AGO: Final = 981_173_106


@dataclass(frozen=True)
class Built:
    """What a tree was made into."""

    wheel: Path
    sdist: Path


@dataclass(frozen=True)
class Installed:
    """An environment with the wheel in it, and no Node on its path."""

    folder: Path
    env: Mapping[str, str]

    def run(self, *words: str, code: int = 0) -> str:
        """What a command of its `bin` says."""
        command = [str(self.folder / "bin" / words[0]), *words[1:]]
        done = subprocess.run(
            command, env=self.env, cwd=self.folder, capture_output=True, text=True, check=False
        )
        assert done.returncode == code, done.stderr
        return done.stdout


def bare(folder: Path) -> dict[str, str]:
    """An environment whose path leads to nothing: no Node, no npm, no compiler."""
    empty = folder / "empty"
    empty.mkdir(parents=True, exist_ok=True)
    return {"PATH": str(empty), "HOME": str(folder), "ULLAGE_STORE": str(folder / "log.db")}


def hatch(tree: Path, to: Path, *, umask: int, **more: str) -> Built:
    """Build both, as `make dist` does."""
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-d", str(to)],
        cwd=tree, env={**bare(to.parent), **more}, umask=umask, check=True, capture_output=True,
    )  # fmt: skip
    (wheel,), (sdist,) = to.glob("*.whl"), to.glob("*.tar.gz")
    return Built(wheel, sdist)


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What is to be built, copied, so that nothing of it changes meanwhile."""
    copy = tmp_path_factory.mktemp("one") / "tree"
    shutil.copytree(ROOT, copy, ignore=NOT_OURS)
    assert is_filled(copy / VENDOR, copy / "frontend" / STAMP), "run make setup first"
    return copy


@pytest.fixture(scope="module")
def built(tree: Path) -> Built:
    return hatch(tree, tree.parent / "dist", umask=0o022)


def test_two_builds_of_one_tree_are_the_same_to_the_byte(
    tree: Path, built: Built, tmp_path: Path
) -> None:
    other = tmp_path / "another" / "place"
    shutil.copytree(tree, other, copy_function=shutil.copyfile)
    for one in other.rglob("*"):
        os.utime(one, (LONG_AGO, LONG_AGO))
        if one.is_file():
            one.chmod(0o600)
    again = hatch(other, tmp_path / "dist", umask=0o077, TZ="Pacific/Auckland", LC_ALL="C")
    assert again.wheel.read_bytes() == built.wheel.read_bytes()
    assert again.sdist.read_bytes() == built.sdist.read_bytes()


def test_a_change_of_the_tree_is_a_change_of_the_wheel(
    tree: Path, built: Built, tmp_path: Path
) -> None:
    other = tmp_path / "tree"
    shutil.copytree(tree, other)
    with (other / "src" / "ullage" / "units.txt").open("a") as file:
        file.write("\n")
    again = hatch(other, tmp_path / "dist", umask=0o022)
    assert again.wheel.read_bytes() != built.wheel.read_bytes()


def test_the_source_archive_makes_the_same_wheel(tree: Path, built: Built, tmp_path: Path) -> None:
    with tarfile.open(built.sdist) as archive:
        archive.extractall(tmp_path, filter="data")
    (unpacked,) = tmp_path.glob("ullage-*")
    assert not (unpacked / VENDOR).exists()
    lock = unpacked / "frontend" / STAMP
    assert lock.read_bytes() == (tree / "frontend" / STAMP).read_bytes()
    # what the hook fetches by that lock where there is a network
    shutil.copytree(tree / VENDOR, unpacked / VENDOR)
    again = hatch(unpacked, tmp_path / "dist", umask=0o022)
    assert again.wheel.read_bytes() == built.wheel.read_bytes()


def test_the_folder_of_assets_is_made_anew_unless_it_is_what_the_lock_says(
    tree: Path, tmp_path: Path
) -> None:
    lock, vendor = tree / "frontend" / STAMP, tmp_path / "vendor"
    shutil.copytree(tree / VENDOR, vendor)
    assert is_filled(vendor, lock)
    (vendor / "left-over.js").touch()
    assert not is_filled(vendor, lock)
    (vendor / "left-over.js").unlink()
    (vendor / "htmx.min.js").rename(tmp_path / "htmx.min.js")
    assert not is_filled(vendor, lock)
    (tmp_path / "htmx.min.js").rename(vendor / "htmx.min.js")
    (vendor / STAMP).write_text("{}")
    assert not is_filled(vendor, lock)
    assert not is_filled(tmp_path / "nowhere", lock)


def test_the_wheel_holds_the_whole_package_and_nothing_else(tree: Path, built: Built) -> None:
    source = tree / "src"
    ours = {str(one.relative_to(source)) for one in source.rglob("*") if one.is_file()}
    with zipfile.ZipFile(built.wheel) as wheel:
        held = {one for one in wheel.namelist() if ".dist-info/" not in one}
    assert held == ours
    parts = ("web/templates/base.html", "cellar/migrations/env.py", "system/catalogue/kegs.toml")
    vendor = {f"web/static/vendor/{name}" for name in ASSETS}
    assert {f"ullage/{one}" for one in (*parts, *vendor, "units.txt", "py.typed")} <= held


def test_it_asks_for_what_the_project_says_and_not_for_node(tree: Path, built: Built) -> None:
    with zipfile.ZipFile(built.wheel) as wheel:
        (name,) = (one for one in wheel.namelist() if one.endswith("/METADATA"))
        told = message_from_string(wheel.read(name).decode())
    project = tomllib.loads((tree / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [one for one in told.get_all("Requires-Dist", []) if "extra ==" not in one]
    names = {re.split(r"[^\w.-]", one)[0].lower() for one in asked}
    assert names == {re.split(r"[^\w.-]", one)[0].lower() for one in project["dependencies"]}
    assert not any("node" in one for one in names)
    assert told["Version"] == __version__


@pytest.fixture(scope="module")
def installed(built: Built, tmp_path_factory: pytest.TempPathFactory) -> Installed:
    """The wheel by itself; its libraries are lent by the environment that runs the tests."""
    folder = tmp_path_factory.mktemp("installed")
    venv.create(folder, with_pip=False)
    python = folder / "bin" / "python"
    env = bare(folder)
    subprocess.run(
        [sys.executable, "-m", "pip", "--python", str(python), "install", "--quiet", "--no-deps",
         "--no-index", "--no-compile", "--disable-pip-version-check", str(built.wheel)],
        env=env, check=True, capture_output=True,
    )  # fmt: skip
    paths = sysconfig.get_paths("venv", {"base": str(folder), "platbase": str(folder)})
    lent = sorted({sysconfig.get_path("purelib"), sysconfig.get_path("platlib")})
    (Path(paths["purelib"]) / "lent.pth").write_text("\n".join(lent) + "\n")
    return Installed(folder, env)


def test_it_is_the_wheels_own_package_that_runs(installed: Installed) -> None:
    where = installed.run("python", "-c", "import ullage; print(ullage.__file__)").strip()
    assert Path(where).is_relative_to(installed.folder)
    for name in ("node", "npm"):
        assert shutil.which(name, path=installed.env["PATH"]) is None


def test_an_installed_wheel_answers(installed: Installed) -> None:
    assert installed.run("ullage", "--version") == f"ullage {__version__}\n"
    assert "demo system" in installed.run("ullage", "demo", "--help")
    said: dict[str, Any] = json.loads(
        installed.run("ullage", "plan", str(ROOT / "examples" / "one-tap.toml"), "--json")
    )
    assert said["carbonation"]


def test_it_brings_an_old_store_up_to_date(installed: Installed) -> None:
    file = installed.folder / "old.db"
    old_stores.make(str(file), "0001")
    installed.run("ullage", "log", "--store", str(file))
    assert old_stores.held(str(file))["ullage_schema"] == [(REVISION,)]


@pytest.fixture(scope="module")
def served(installed: Installed) -> Iterator[str]:
    """The address at which the installed program serves."""
    command = [str(installed.folder / "bin" / "ullage"), "serve", "--port", "0"]
    with subprocess.Popen(
        command, env=installed.env, cwd=installed.folder, stdout=subprocess.PIPE, text=True
    ) as running:
        assert running.stdout is not None
        said = running.stdout.readline()
        try:
            found = re.search(r"http://127\.0\.0\.1:\d+", said)
            assert found is not None, said
            yield found[0]
        finally:
            running.terminate()


@pytest.mark.parametrize("path", ["/", "/carbonate", "/safety", "/healthz"])
def test_it_serves_pages(served: str, path: str) -> None:
    with urlopen(served + path, timeout=60) as answer:
        assert answer.status == 200
        assert answer.read()


def test_every_asset_that_a_page_names_is_served(served: str) -> None:
    with urlopen(f"{served}/carbonate", timeout=60) as answer:
        page = answer.read().decode()
    named = set(re.findall(r'(?:src|href)="(/static/[^"?]+)', page))
    assert {"/static/vendor/htmx.min.js", "/static/sheet.css"} <= named
    for one in sorted(named):
        with urlopen(served + one, timeout=60) as answer:
            assert answer.read()


def test_the_fonts_and_the_script_are_those_of_the_build(served: str, tree: Path) -> None:
    for name in ASSETS:
        with urlopen(f"{served}/static/vendor/{name}", timeout=60) as answer:
            assert answer.read() == (tree / VENDOR / name).read_bytes()
