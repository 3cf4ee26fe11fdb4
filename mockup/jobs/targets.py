"""Where a job's output goes: beside the design file, named after it, where she names no file."""

from pathlib import Path

from mockup.errors import FileError


def beside(design: Path, ending: str) -> Path:
    """Give the design file's own name with another ending.

    Raises
    ------
    FileError
        What is to be the design file has no name of its own, as "." has none.
    """
    if not design.name:
        raise FileError("is a folder", where=str(design), remedy="name the design file in it")
    return design.with_name(design.stem + ending)


def suffix(way: str | None) -> str:
    """Give what a colourway's code adds to the name of a file."""
    return f"-{way.lower()}" if way else ""
