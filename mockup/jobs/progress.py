"""How a job tells how far it is; who listens decides what is shown."""

from collections.abc import Callable

Tell = Callable[[str, float], None]
"""Called with what is being done and the share that is done, 0 to 1."""

Say = Callable[[str], None]
"""Called with a line that she should read."""


def quiet(what: str, done: float) -> None:
    """Tell nobody."""


def silent(line: str) -> None:
    """Say it to nobody."""
