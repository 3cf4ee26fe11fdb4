"""The guts of ``scan``: a scanned line drawing as an SVG drawing of regions and lines, and a picture of it."""

from pathlib import Path
from typing import Final

import numpy as np

from mockup.colour.photo import ByteArray, Photo, read_photo
from mockup.drawing.framed import to_frame
from mockup.drawing.tracing import GAP, Traced, trace
from mockup.drawing.written import written_drawing
from mockup.errors import DrawingError, FileError
from mockup.jobs.progress import Tell, quiet
from mockup.sheets.changeable import write_changeable
from mockup.sheets.files import check_targets, mark, write
from mockup.sheets.formats import as_file, check_ending
from mockup.sheets.scan import scan_sheet

_DPI: Final = 150
_LEAST: Final = 100.0
_MOST: Final = 2400.0
_LARGEST: Final = 1500.0
_TOLD: Final = 6


def scan_drawing(
    scan: Path,
    target: Path | None = None,
    *,
    picture: Path | None = None,
    width: float | None = None,
    dpi: float | None = None,
    gap: float = GAP,
    unit: bool = False,
    large: bool = False,
    frame: bool = False,
    force: bool = False,
    tell: Tell = quiet,
) -> tuple[list[str], list[Path]]:
    """Read a scanned or photographed line drawing, and write what was found.

    Parameters
    ----------
    scan : Path
        PNG or JPEG.
    target : Path, optional
        The SVG drawing; left out: NAME.svg beside the scan.
    picture : Path, optional
        The picture of what was found; left out: NAME-found.png beside the drawing.
    width : float, optional
        True width of what the whole picture shows, mm.
    dpi : float, optional
        Pixels an inch; without either as the file says.
    gap : float
        Widest gap in a line that is closed, mm.
    unit : bool
        The picture is a repeat unit.
    large : bool
        Very large areas take ink, too.
    frame : bool
        Cut the picture to the frame that is drawn in it, straightened; ``width`` is then that of the frame.
    force : bool
        Replace whatever is there.
    tell : callable
        Hears how far the job is.

    Returns
    -------
    lines : list of str
        What was found, in plain words.
    paths : list of Path
        The drawing and the picture.

    Raises
    ------
    FileError
        The scan cannot be read, does not say its size, or the files not be written.
    DrawingError
        No line drawing can be read from it.
    """
    drawing = scan.with_suffix(".svg") if target is None else target
    if drawing.suffix.lower() != ".svg":
        remedy = f"name it {drawing.stem or 'drawing'}.svg"
        raise FileError("a drawing is written as SVG", where=str(drawing), remedy=remedy)
    shown = drawing.with_name(f"{drawing.stem}-found.png") if picture is None else picture
    ending, made_for = check_ending(shown), mark(f"scan {scan.name}")
    check_targets({shown: None}, made_for, force=force)
    tell("reading the scan", 0.0)
    photo = read_photo(scan)
    pixels, fine = _on_white(photo), _fineness(photo, scan, width, dpi)
    tell("finding lines and regions", 0.15)
    try:
        if frame:
            pixels, fine = to_frame(pixels, fine)
            fine = pixels.shape[1] / width * 25.4 if width else fine
        found = trace(pixels, fine, gap, unit=unit, large=large)
    except DrawingError as error:
        raise DrawingError(error.what, where=scan.name, remedy=error.remedy) from None
    tell("writing", 0.8)
    paths = [write_changeable(drawing, written_drawing(found, scan.stem), "scan", force=force)]
    lines = told(found)
    scene = scan_sheet(found, scan.name, lines)
    paths.append(write(shown, as_file(scene, ending, made_for, _DPI), made_for, force=force))
    return [f"{scan.name}: {line}" for line in (*lines, *photo.notes)], paths


def _on_white(photo: Photo) -> ByteArray:
    """Give the pixels, what is see-through white."""
    if photo.seen.all():
        return photo.pixels
    return np.where(photo.seen[..., np.newaxis], photo.pixels, np.uint8(255))


def _fineness(photo: Photo, scan: Path, width: float | None, dpi: float | None) -> float:
    """Settle the pixels an inch: from the true width, else as told, else as a scanner wrote into the file."""
    columns = photo.pixels.shape[1]
    found = columns / width * 25.4 if width else dpi or photo.dpi
    if found is None or (not width and not dpi and found < _LEAST):
        raise FileError(
            "does not say how large the drawing is",
            where=scan.name,
            remedy="give --width, the mm that the picture is wide",
        )
    size = max(photo.pixels.shape[:2]) / found * 25.4
    if found > _MOST or found < _LEAST / 2 or size > _LARGEST:
        raise FileError(
            f"would be {size:.0f} mm long with {found:.0f} pixels an inch",
            where=scan.name,
            remedy="50 to 2400 pixels an inch and up to 1500 mm are read: look at --width or --dpi",
        )
    return found


def told(found: Traced) -> list[str]:
    """Say what was found."""
    wide = np.array([line.width for line in found.lines])
    lines = [
        f"{found.width:.1f} x {found.height:.1f} mm",
        f"{_many(len(found.regions), 'region')}, {_many(len(found.grounds), 'area')} left for the ground, "
        f"{_many(len(found.lines), 'line')} of {np.median(wide):.2f} mm",
    ]
    if found.solid:
        lines.append(f"{_many(len(found.solid), 'place')} inked solid: parts named solid, which take one ink")
    if len(found.closings):
        longest = float(np.hypot(*(found.closings[:, 1] - found.closings[:, 0]).T).max())
        lines.append(f"{_many(len(found.closings), 'gap')} closed, the longest bridge {longest:.1f} mm")
    if len(found.leaks):
        places = "  ".join(f"{x:.0f},{y:.0f}" for x, y in found.leaks[:_TOLD])
        more = f" and {len(found.leaks) - _TOLD} more" if len(found.leaks) > _TOLD else ""
        lines.append(
            f"{_many(len(found.leaks), 'wider gap')} left open, at mm {places}{more}: close by hand, or with --gap"
        )
    if found.specks:
        lines.append(f"{_many(found.specks, 'speck')} left out")
    return lines


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'s' * (count != 1)}"
