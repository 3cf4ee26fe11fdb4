"""Where the data that ships with the package lies: ``motifs`` and ``gallery``."""

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from mockup.errors import SetupError


def data(name: str) -> Traversable:
    """Give the folder ``name``, wherever this copy of the package was put.

    In a wheel the folder lies inside the package; in a checkout or an editable install beside it.
    """
    inside = files("mockup") / name
    if inside.is_dir():
        return inside
    beside = Path(__file__).resolve().parent.parent / name
    if beside.is_dir():
        return beside
    raise SetupError(f"the folder {name!r} of this installation is missing", remedy="install mockup again")
