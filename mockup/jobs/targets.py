"""Where a job's output goes: beside the design file, named after it, where she names no file."""

from pathlib import Path


def beside(design: Path, ending: str) -> Path:
    """Give the design file's own name with another ending."""
    return design.with_name(design.stem + ending)
