"""What holds for every test: how hypothesis searches; the demo, drawn once."""

import os
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile("here", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("ci", settings.get_profile("here"), derandomize=True, print_blob=True)
settings.register_profile("long", settings.get_profile("here"), max_examples=500)
settings.load_profile(os.environ.get("SEARCH") or ("ci" if os.environ.get("CI") else "here"))


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with the tour, the longest of all, so that it never runs alone at the end."""
    items.sort(key=lambda item: "toured" not in getattr(item, "fixturenames", ()))


class Ran(NamedTuple):
    """What commands did: the folder in which they wrote, and what was said."""

    folder: Path
    out: str
    err: str


@pytest.fixture(scope="session")
def whole_demo(tmp_path_factory: pytest.TempPathFactory) -> Ran:
    """Draw the demo into a new folder; nobody may write there."""
    folder = tmp_path_factory.mktemp("demo") / "new" / "demo"
    words = [sys.executable, "-m", "mockup", "demo", "-o", str(folder)]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    return Ran(folder, done.stdout, done.stderr)
