"""The guts of ``motifs grow``: a motif that grows from a few numbers, as an SVG file of her own."""

from pathlib import Path

from mockup.errors import FileError
from mockup.pattern.grown import Growth, grown_svg
from mockup.sheets.changeable import write_changeable


def grow_motif(growth: Growth, target: Path, *, force: bool = False) -> Path:
    """Write a grown motif as a plain SVG file.

    A file that was written so is replaced, unless somebody has changed it since.

    Raises
    ------
    FileError
        The target does not end in .svg, holds anything else, or cannot be written.
    """
    if target.suffix.lower() != ".svg":
        stem = target.stem or growth.name
        raise FileError("a motif is written as SVG", where=str(target), remedy=f"name it {stem}.svg")
    return write_changeable(target, grown_svg(growth), "grown", force=force)
