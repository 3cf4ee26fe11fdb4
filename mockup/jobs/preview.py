"""The guts of ``preview``: one mock-up sheet from a design."""

from collections.abc import Callable
from pathlib import Path

from mockup.jobs.colourway import spread_file
from mockup.jobs.looks import frame_of, key_of, look_of, notes_of
from mockup.jobs.piece import Piece
from mockup.jobs.planned import Spreading
from mockup.jobs.progress import Say, Tell, quiet, silent
from mockup.jobs.targets import beside, suffix
from mockup.rendering.canvas_text import missing_glyphs
from mockup.rendering.scene import Scene, Text
from mockup.sheets.files import mark, write
from mockup.sheets.formats import as_file, check_ending
from mockup.sheets.preview import preview

Composed = Callable[[Spreading, str], bytes]
"""Makes a file's content of a piece whose inks are spread, and of the ending of the file's name."""


def draw_design(
    path: Path,
    target: Path,
    composed: Composed,
    refuse: Callable[[Piece], None] | None = None,
    *,
    way: str | None = None,
    force: bool = False,
    tell: Tell = quiet,
) -> Path:
    """Read a design file, spread its inks, and write what is made of that.

    Parameters
    ----------
    path, target : Path
        The design file; PNG, SVG or PDF.
    composed : callable
        Makes the content.
    refuse : callable, optional
        Raises where this cannot be made of the piece.
    way : str, optional
        Code of one of the design's colourways.
    force : bool
        Replace a file that is not ours.
    tell : callable
        Hears how far the job is.

    Raises
    ------
    MockupError
        Whatever of the design cannot be followed, or a target that cannot be written.
    """
    ending = check_ending(target)
    spreading = spread_file(path, way, refuse, tell)
    tell("drawing", 0.6)
    content = composed(spreading, ending)
    tell("writing", 0.95)
    return write(target, content, mark(spreading.piece.name), force=force)


def preview_design(
    path: Path,
    target: Path | None = None,
    *,
    dpi: float = 300.0,
    names: bool = False,
    way: str | None = None,
    force: bool = False,
    tell: Tell = quiet,
    say: Say = silent,
) -> Path:
    """Draw the mock-up of a design file and write it; left out, the target is a PNG beside the design.

    ``way`` is the code of one of its colourways; ``dpi`` are pixels an inch of a PNG; ``names`` prints the placed
    motifs' names and a grid of mm; ``say`` hears what of the design does not show. All else is as for `draw_design`.
    """

    def composed(spreading: Spreading, ending: str) -> bytes:
        piece, grain = spreading.piece, spreading.piece.design.sheet.grain
        scene = preview_scene(spreading, names=names, dpi=dpi if ending == ".png" else None)
        if grain and ending != ".png":
            say(f"the grain of the paper shows in a PNG, not in {ending[1:].upper()}")
        said = "".join(item.text for item in scene.items if isinstance(item, Text))
        if ending != ".svg" and (lacking := missing_glyphs(said)):
            say(f"the typeface has no sign for {' '.join(lacking)}: a question mark stands for each")
        return as_file(scene, ending, mark(piece.name), dpi, grain=grain)

    return draw_design(
        path, target or beside(path, f"{suffix(way)}.png"), composed, way=way, force=force, tell=tell
    )


def preview_scene(spreading: Spreading, *, names: bool = False, dpi: float | None = None) -> Scene:
    """Compose the mock-up sheet of a piece whose inks are spread; for a picture say its pixels an inch."""
    piece: Piece = spreading.piece
    return preview(
        piece.tile,
        spreading.plan,
        look_of(piece),
        frame_of(piece),
        title=piece.design.title or piece.name,
        key=key_of(spreading),
        notes=notes_of(piece),
        names=names,
        repeats=piece.layout.steps,
        dpi=dpi,
    )
