"""The guts of ``stages``: a piece when a quarter, half, three quarters and all of it are inked, as one sheet."""

from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from mockup.colour.palette import Palette
from mockup.colouring.order_of_work import done_at
from mockup.errors import DesignError, SpreadError, UnknownNameError
from mockup.geometry import shapes
from mockup.geometry.affine import scaling, translation
from mockup.geometry.nearest import STEP, nearest, rounded
from mockup.geometry.shapes import EMPTY, Shape
from mockup.jobs.handwork import Handwork, handwork
from mockup.jobs.looks import frame_of, key_of, look_of
from mockup.jobs.piece import Piece
from mockup.jobs.planned import Spreading
from mockup.jobs.preview import draw_design
from mockup.jobs.progress import Tell, quiet
from mockup.jobs.targets import beside, suffix
from mockup.rendering.look import InkLook
from mockup.rendering.scene import Scene
from mockup.sheets.files import mark
from mockup.sheets.formats import as_file
from mockup.sheets.stages import Course, Shown, Stage, stages_sheet

SHARES: Final = (0.25, 0.5, 0.75, 1.0)
"""Shares of the inked area at which the piece is shown."""

HELD_SHARES: Final = (0.25, 0.5, 1.0)
"""The same where one ink is held back; between them the piece is shown complete but for it."""

QUIET: Final = "Half-way a piece often looks wrong: judge it when all inks are in."

_ROUND: Final = 0.2
"""By how much, in mean spacings of the shapes, the edge of half inked ground is rounded."""


def stages_design(
    path: Path,
    target: Path | None = None,
    *,
    last: str | None = None,
    dpi: float = 300.0,
    way: str | None = None,
    force: bool = False,
    tell: Tell = quiet,
) -> Path:
    """Draw a design at its stages and write that; left out, the target is NAME-stages.png beside the design.

    ``last`` names an ink that is held back to the end. All else is as for ``preview_design``.

    Raises
    ------
    MockupError
        Whatever of the design cannot be followed, an unknown ink, or a target that cannot be written.
    """

    def refuse(piece: Piece) -> None:
        if last is not None and way is None:
            ink_held(piece.palette, last)

    def composed(spreading: Spreading, ending: str) -> bytes:
        return as_file(stages_scene(spreading, last), ending, mark(spreading.piece.name), dpi)

    target = target or beside(path, f"{suffix(way)}-stages.png")
    return draw_design(path, target, composed, refuse, way=way, force=force, tell=tell)


def ink_held(palette: Palette, last: str) -> int:
    """Give the number of the ink that is held back.

    Raises
    ------
    UnknownNameError
        No ink has that name; the nearest is told.
    DesignError
        It is bare paper.
    """
    try:
        held = palette.number(last)
    except UnknownNameError as error:
        raise UnknownNameError(error.what, where="--last", remedy=error.remedy) from None
    ink = palette.every[held]
    if ink.paper:
        raise DesignError(
            f"{ink.name!r} is bare paper, which is never inked", where="--last", remedy="name another ink"
        )
    return held


def stages_scene(spreading: Spreading, last: str | None = None) -> Scene:
    """Compose the sheet of a piece whose inks are spread.

    Parameters
    ----------
    spreading : Spreading
        The piece; as one colourway or another.
    last : str, optional
        Ink that a second row holds back to the end.

    Raises
    ------
    UnknownNameError, DesignError
        As ``ink_held`` raises.
    SpreadError
        Neither a shape nor the ground takes that ink.
    """
    piece = spreading.piece
    plain = handwork(spreading)
    courses = [Course("", _stages(plain, [(share, "") for share in SHARES]))]
    if last is not None:
        held = ink_held(piece.palette, last)
        courses = [replace(courses[0], title="All inks, patch by patch"), _held_course(spreading, held)]
    start = piece.design.colouring.start
    begins = "from the centre outward" if start == "centre" else f"from the {start.replace('-', ' ')} corner"
    told = [
        f"Inked {begins} in {_counted(plain.order.patches, 'patch', 'patches')}, light before dark in each."
    ]
    if plain.ground:
        follows = "follows the shapes of each patch" if piece.layout.steps else "comes last"
        told.append(f"The ground, {piece.ground_name}, {follows}.")
    shown = Shown(piece.tile, frame_of(piece), piece.layout.steps, look_of(piece))
    return stages_sheet(
        shown, courses, piece.design.title or piece.name, [" ".join(told)], key_of(spreading), [QUIET]
    )


def _held_course(spreading: Spreading, held: int) -> Course:
    """Show the piece with one ink held back, and the last but one picture without any of it."""
    name = spreading.piece.palette.every[held].name
    work = handwork(spreading, held)
    if held not in work.work.ink and not (work.ground and spreading.piece.ground == held):
        raise SpreadError(
            f"nothing on the sheet takes {name!r}", where="--last", remedy="name an ink that shows"
        )
    total = max(float(work.area.sum()), 1e-9)
    without = float(work.area[: work.but_held].sum()) / total
    shares = [(share, "") for share in HELD_SHARES] + [(without, f"All but {name}")]
    return Course(f"Held back to the end: {name}", _stages(work, sorted(shares)))


def _stages(work: Handwork, shares: list[tuple[float, str]]) -> tuple[Stage, ...]:
    """Give the piece at shares of its inked area; a name takes the place of the share in its caption."""
    count, area = len(work.nodes), work.area
    grounds = _grounds(work) if work.ground and work.spreading.piece.ground != work.held else ()
    found = []
    for share, name in shares:
        done = work.but_held if name else done_at(area, share)
        title, percent = name or f"{share:.0%} inked".replace("%", " %"), f"{share:.0%}".replace("%", " %")
        about = f"{done} of {_counted(count, 'shape', 'shapes')}"
        if name:
            about = f"{percent} inked, {about}"
        finished = done == count and not name
        found.append(
            _finished(work, title, about) if finished else _unfinished(work, done, title, about, grounds)
        )
    return tuple(found)


def _finished(work: Handwork, title: str, about: str) -> Stage:
    return Stage(title, about, work.spreading.plan, look_of(work.spreading.piece))


def _unfinished(work: Handwork, done: int, title: str, about: str, grounds: tuple[Shape, ...]) -> Stage:
    """Show what is inked; bare are the other shapes, the border, and coats that her design puts last."""
    piece = work.spreading.piece
    look = look_of(piece)
    inks = look.inks
    if piece.design.shading.when == "last":
        inks = tuple(replace(ink, coats=()) for ink in inks)
    bare = len(inks)
    own = replace(look, inks=(*inks, InkLook("bare paper", look.paper)), border=None)
    ground = _inked_ground(work, done, grounds)
    return Stage(title, about, work.plan_at(done, bare), own, ground, bare)


def _inked_ground(work: Handwork, done: int, grounds: tuple[Shape, ...]) -> Shape | None:
    """Give what of the ground is inked, mm on the sheet: that of each finished patch; None: all of it."""
    finished = work.patches_done(done).tolist()
    if grounds and len(finished) == len(grounds):
        return None
    if not (grounds and finished and work.spreading.piece.layout.steps):
        return EMPTY
    by = _ROUND * _spacing(work) * work.spreading.piece.design.sheet.scale
    return rounded([grounds[patch] for patch in finished], by)


def _grounds(work: Handwork) -> tuple[Shape, ...]:
    """Part the ground between the patches, each having what is nearest to its shapes; mm on the sheet."""
    if not work.nodes:
        return ()
    piece = work.spreading.piece
    width, height = piece.field_size
    over = 4 * _ROUND * _spacing(work)
    field = (-over, -over, width + over, height + over)
    scale, seen = piece.design.sheet.scale, [node.seen for node in work.nodes]
    parts = nearest(seen, work.order.patch, work.order.patches, field, STEP / scale)
    onto = translation(*piece.field[:2]) @ scaling(scale)
    return tuple(shapes.moved(part, onto) for part in parts)


def _spacing(work: Handwork) -> float:
    """Mean spacing of the shapes, true mm."""
    width, height = work.work.size
    return float(np.sqrt(width * height / max(len(work.nodes), 1)))


def _counted(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"
