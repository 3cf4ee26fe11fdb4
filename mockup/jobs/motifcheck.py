"""The guts of ``motifs check``: one motif's drawing is read, and what came of it told and drawn."""

from pathlib import Path
from typing import Final

from mockup.errors import FileError
from mockup.pattern.inkable import PEN, Finding, SeenGroup, inspect
from mockup.pattern.motif import LineWork, Motif
from mockup.pattern.motif_library import drawing_file
from mockup.sheets.caption import letters
from mockup.sheets.files import check_targets, mark, write
from mockup.sheets.formats import as_file, check_ending
from mockup.sheets.motifcheck import check_sheet, lettered, named, square_mm

_DPI: Final = 200


def check_motif(
    drawing: Path,
    target: Path | None = None,
    *,
    pen: float = PEN,
    stroke_parts: bool = False,
    force: bool = False,
) -> tuple[list[str], Path]:
    """Read one motif's drawing, and tell and draw what came of it.

    Parameters
    ----------
    drawing : Path
        An SVG file.
    target : Path, optional
        Where to draw it; left out: NAME-check.png beside the drawing.
    pen : float
        Width of the pen that is to ink it, mm.
    stroke_parts : bool
        Strokes without fill are read as parts.
    force : bool
        Replace whatever is there.

    Returns
    -------
    lines : list of str
        What was read, what was left out, what cannot be inked well.
    path : Path
        The picture.

    Raises
    ------
    DrawingError
        The drawing holds nothing that can be inked, or is no sound SVG.
    FileError
        It cannot be read, or the picture not be written.
    """
    picture = _picture(drawing, target)
    made_for = mark(f"motif check {drawing.name}")
    motif = drawing_file(drawing, stroke_parts=stroke_parts)
    check_targets({picture: None}, made_for, force=force)
    groups, found = inspect(motif, pen)
    scene = check_sheet(motif, groups, found, _read(motif), pen)
    path = write(picture, as_file(scene, check_ending(picture), made_for, _DPI), made_for, force=force)
    return _told(drawing, motif, groups, found, pen), path


def _picture(drawing: Path, target: Path | None) -> Path:
    """Settle where the picture goes."""
    picture = drawing.with_name(f"{drawing.stem}-check.png") if target is None else target
    check_ending(picture)
    if picture.exists() and drawing.exists() and picture.samefile(drawing):
        raise FileError("is the drawing itself", where=str(picture), remedy="name another file")
    return picture


def _read(motif: Motif) -> list[str]:
    """Say in a line or two what was read."""
    parts, groups = len(motif.parts), len(motif.groups)
    size = f"{motif.width:.1f} x {motif.height:.1f} mm"
    counted = f"{_plural(parts, 'part')} in {_plural(groups, 'group')}" if parts else "no parts"
    return [f"{size}, {counted}, {_line_work(motif)}"]


def _line_work(motif: Motif) -> str:
    work = [element for element in motif.elements if isinstance(element, LineWork)]
    if not work:
        return "no line work"
    widths = sorted({f"{one.width:.2g}" for one in work}, key=float)
    count = sum(len(one.lines) for one in work)
    shown = widths if len(widths) <= 4 else [widths[0], "...", widths[-1]]
    return f"{_plural(count, 'line')} of line work, {', '.join(shown)} mm wide"


def _plural(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _told(
    drawing: Path, motif: Motif, groups: tuple[SeenGroup, ...], found: tuple[Finding, ...], pen: float
) -> list[str]:
    lines = [f"{drawing.name}: {line}" for line in _read(motif)]
    rows = [
        (
            letter,
            group.label,
            square_mm(group.area),
            named(group),
            f"side {group.side}" * bool(group.side),
        )
        for letter, group in zip(letters(len(groups)), groups, strict=True)
    ]
    widths = [max((len(row[column]) for row in rows), default=0) for column in range(4)]
    for letter, label, size, names, side in rows:
        line = f"  {letter:<{widths[0]}}  {label:<{widths[1]}}  {size:>{widths[2]}}  {names:<{widths[3]}}  {side}"
        lines.append(line.rstrip())
    lines += [f"left out: {line}" for line in motif.left_out] or ["left out: nothing"]
    lines.append(f"not well inked by a pen of {pen:g} mm:" + ("" if found else " nothing"))
    signs = [sign for sign, _ in lettered(found)]
    wide = max(map(len, signs), default=0)
    for sign, one in zip(signs, found, strict=True):
        lines.append(f"  {sign:<{wide}}  at {one.x:.1f},{one.y:.1f} mm: {one.text}")
    return lines
