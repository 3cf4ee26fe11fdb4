"""The guts of ``motifs``: the library as a table and as a sheet."""

from pathlib import Path

from mockup.pattern.motif_library import entries, library_motif
from mockup.sheets.files import mark, write
from mockup.sheets.formats import as_file, check_ending
from mockup.sheets.motifs import Shown, motif_sheet, sizes_sheet

_MADE_FOR = "motif library"


def motif_table() -> list[str]:
    """Give the library as lines: name, family, size class, size in mm, groups."""
    rows = [("name", "family", "size", "mm", "takes one ink together")]
    for entry in entries():
        motif = library_motif(entry.name)
        rows.append(
            (
                entry.name,
                entry.family,
                entry.size,
                f"{motif.width:.0f} x {motif.height:.0f}",
                ", ".join(motif.groups),
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(4)]
    return [
        "  ".join([*(cell.ljust(width) for cell, width in zip(row[:4], widths, strict=True)), row[4]])
        for row in rows
    ]


def write_motif_sheet(target: Path, *, sizes: bool = False, force: bool = False) -> Path:
    """Write the library as a sheet, natural size by family, or each motif at several sizes.

    Raises
    ------
    FileError
        The target cannot be written.
    """
    ending = check_ending(target)
    shown = [Shown(library_motif(e.name), e.size, e.family) for e in entries()]
    if sizes:
        scene = sizes_sheet(shown, heading="Motif library, the longer side 12, 25 and 60 mm")
    else:
        scene = motif_sheet(shown, heading="Motif library, natural size")
    return write(target, as_file(scene, ending, mark(_MADE_FOR), 200), mark(_MADE_FOR), force=force)
