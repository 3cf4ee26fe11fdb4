"""Four ways to have mockup: a wheel, a wheel from the sdist, an editable install, a plain checkout. All are alike.

Each install has an environment of its own that sees the libraries of this one, but not its mockup; nothing is
downloaded.
"""

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
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest

import mockup

ROOT = Path(__file__).resolve().parent.parent
WAYS = ("wheel", "sdist", "editable", "checkout")
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "mockup", "motifs", "tests", "gallery"}


def run(*command: str | Path, cwd: Path) -> str:
    """Run a command to its good end, without this environment's own settings, and give what it printed."""
    kept = {
        key: value for key, value in os.environ.items() if not key.startswith(("PYTHON", "COV", "PYTEST"))
    }
    done = subprocess.run(
        [str(word) for word in command], cwd=cwd, env=kept, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def tracked() -> list[str]:
    """List the files of the checkout as git has them."""
    if not ((ROOT / ".git").exists() and shutil.which("git")):
        if os.environ.get("CI"):
            pytest.fail("this is no git checkout, or git is missing")
        pytest.skip("needs a git checkout and git")
    listed = run("git", "-c", f"safe.directory={ROOT}", "ls-files", "-z", cwd=ROOT)
    return [name for name in listed.split("\0") if name and (ROOT / name).exists()]


def build(target: str, source: Path, folder: Path) -> Path:
    """Build a distribution ("wheel" or "sdist") of a source tree with the build back end."""
    run(sys.executable, "-m", "hatchling", "build", "-t", target, "-d", folder, cwd=source)
    (made,) = folder.iterdir()
    return made


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build("wheel", ROOT, tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def sdist(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build("sdist", ROOT, tmp_path_factory.mktemp("sdist"))


@pytest.fixture(scope="module")
def sdist_wheel(sdist: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    unpacked = tmp_path_factory.mktemp("unpacked")
    run("tar", "-xzf", sdist, cwd=unpacked)
    (tree,) = unpacked.iterdir()
    return build("wheel", tree, tmp_path_factory.mktemp("sdist-wheel"))


@dataclass(frozen=True)
class Installed:
    """One way to have mockup: the words that start it, and where."""

    command: tuple[str | Path, ...]
    cwd: Path

    def __call__(self, *arguments: str | Path) -> str:
        """Run mockup and give what it printed."""
        return run(*self.command, *arguments, cwd=self.cwd)


def libraries(folder: Path) -> Path:
    """Link every library of this environment into a folder, but not mockup itself."""
    folder.mkdir()
    for place in {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}:
        for entry in Path(place).iterdir():
            if not re.match(r"_*(editable_+)?mockup", entry.name) and not (folder / entry.name).exists():
                (folder / entry.name).symlink_to(entry)
    return folder


def install(way: str, package: Path | None, folder: Path) -> Installed:
    """Make an environment with mockup in it, as one of the WAYS."""
    venv.create(folder / "env", with_pip=False, symlinks=True)
    python = folder / "env" / "bin" / "python"
    place = Path(
        run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=folder).strip()
    )
    (place / "libraries.pth").write_text(f"{libraries(folder / 'libraries')}\n", encoding="utf-8")
    elsewhere = folder / "elsewhere"
    elsewhere.mkdir()
    if way == "checkout":
        return Installed((python, "-m", "mockup"), ROOT)
    what = ("-e", ROOT) if package is None else (package,)
    options = ("--quiet", "--no-deps", "--no-index", "--no-build-isolation", "--disable-pip-version-check")
    run(python, "-m", "pip", "install", *options, *what, cwd=elsewhere)
    return Installed((folder / "env" / "bin" / "mockup",), elsewhere)


@pytest.fixture(scope="module")
def installed(
    wheel: Path, sdist_wheel: Path, tmp_path_factory: pytest.TempPathFactory
) -> Mapping[str, Installed]:
    packages = {"wheel": wheel, "sdist": sdist_wheel}
    return {way: install(way, packages.get(way), tmp_path_factory.mktemp(way)) for way in WAYS}


@pytest.fixture(scope="module")
def demos(
    installed: Mapping[str, Installed], tmp_path_factory: pytest.TempPathFactory
) -> Mapping[str, dict[str, bytes]]:
    """Draw the demo from the checkout and from a wheel: name and content of each file."""
    made = {}
    for way in ("checkout", "wheel"):
        start = installed[way]
        folder = tmp_path_factory.mktemp("demo") / "demo"
        start("demo", "-o", folder)
        made[way] = {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*.*")}
    return made


@pytest.mark.slow
@pytest.mark.parametrize("way", WAYS)
def test_it_is_that_install_that_runs(way: str, installed: Mapping[str, Installed]) -> None:
    start = installed[way]
    python = start.command[0] if way == "checkout" else Path(start.command[0]).parent / "python"
    home = Path(
        run(python, "-c", "import mockup; print(mockup.__file__)", cwd=start.cwd).strip()
    ).parent.parent
    assert (home == ROOT) == (way in {"editable", "checkout"})
    assert home.parent.parent.parent.name == "env" or home == ROOT
    assert start("--version") == f"mockup {mockup.__version__}\n"


@pytest.mark.slow
def test_every_way_has_the_same_motifs(installed: Mapping[str, Installed]) -> None:
    listed = {way: start("motifs", "list") for way, start in installed.items()}
    assert listed == dict.fromkeys(WAYS, listed["checkout"])
    stems = {path.stem for path in (ROOT / "motifs").glob("*.svg")}
    assert stems
    assert stems <= set(re.findall(r"[\w-]+", listed["checkout"]))


@pytest.mark.slow
def test_a_wheel_draws_the_same_demo_as_the_checkout(demos: Mapping[str, dict[str, bytes]]) -> None:
    wheel, checkout = demos["wheel"], demos["checkout"]
    assert {"index.html", "larder.png", "larder.pdf", "larder.toml"} <= set(wheel)
    assert set(wheel) == set(checkout)
    assert [name for name, content in wheel.items() if content != checkout[name]] == []


@pytest.mark.slow
@pytest.mark.parametrize("way", [way for way in WAYS if way != "checkout"])
def test_every_way_draws_the_same_motifs(
    way: str, installed: Mapping[str, Installed], tmp_path: Path
) -> None:
    for name in (way, "checkout"):
        installed[name]("motifs", "sheet", "-o", tmp_path / f"{name}.svg")
    assert (tmp_path / f"{way}.svg").read_bytes() == (tmp_path / "checkout.svg").read_bytes()


@pytest.mark.slow
def test_wheels_hold_the_package_and_its_data(wheel: Path, sdist_wheel: Path) -> None:
    held = {path: set(zipfile.ZipFile(path).namelist()) for path in (wheel, sdist_wheel)}
    assert held[wheel] == held[sdist_wheel]
    with zipfile.ZipFile(wheel) as one, zipfile.ZipFile(sdist_wheel) as other:
        alike = [name for name in one.namelist() if ".dist-info/" not in name]
        assert all(one.read(name) == other.read(name) for name in alike)
    files = {name for name in held[wheel] if ".dist-info/" not in name}
    moved = {re.sub(r"^(motifs|gallery)/", r"mockup/\1/", name) for name in tracked()}
    assert {name for name in moved if name.startswith("mockup/")} <= files
    assert {name.split("/")[0] for name in files} == {"mockup"}
    assert not [name for name in files if "__pycache__" in name]


@pytest.mark.slow
def test_the_sdist_is_complete(sdist: Path) -> None:
    with tarfile.open(sdist) as archive:
        held = {name.split("/", 1)[1] for name in archive.getnames()}
    assert set(tracked()) - held == set()
    assert {name.split("/")[0] for name in held} <= TOP_LEVEL | {"PKG-INFO", ".gitignore", ".ci", ".setup"}


def test_the_version_is_written_once() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert "version" not in project
    assert project["dynamic"] == ["version"]
    assert re.fullmatch(r"\d+\.\d+\.\d+", mockup.__version__)


def test_the_top_level_is_tidy() -> None:
    top = {name.split("/")[0] for name in tracked()}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL
