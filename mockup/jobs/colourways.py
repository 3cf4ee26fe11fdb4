"""The guts of ``colourways``: several colourways of a design, a picture, a design and a plan of each, and a sheet."""

from collections.abc import Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from mockup.design.mistakes import read_text
from mockup.design.reading import parse_design
from mockup.jobs.colourway import Colourway, spread_file
from mockup.jobs.handing import hand_over
from mockup.jobs.looks import key_of, look_of
from mockup.jobs.offering import Wish, offered
from mockup.jobs.palettematch import owned_inks
from mockup.jobs.piece import Piece, read_piece
from mockup.jobs.planned import Spreading
from mockup.jobs.progress import Tell, quiet
from mockup.jobs.respreading import respread
from mockup.jobs.slots import Pen, slots_of
from mockup.jobs.spreading import spread_piece
from mockup.jobs.wayfiles import keep, kept_ways, sold_ways, stem_of, write_way
from mockup.jobs.waypictures import Order, draw_all, shared_of
from mockup.rendering.scene import Scene
from mockup.sheets.caption import KeyEntry
from mockup.sheets.cautions import FOR_A_CLIENT
from mockup.sheets.colourways import Shown, Variant, colourway_sheet
from mockup.sheets.files import check_targets, folder, mark, write
from mockup.sheets.formats import as_file
from mockup.units import both_sides

SIDE: Final = 1200
"""Longer side of each picture, pixels."""

SHEET_DPI: Final = 200.0
"""Pixels an inch of the sheet."""


@dataclass(frozen=True, slots=True)
class Steering:
    """Colourways of an earlier run that she kept and dropped: letters or files; whether new plans are made."""

    like: tuple[str, ...] = ()
    unlike: tuple[str, ...] = ()
    respread: bool = False


def make_colourways(
    path: Path,
    target: Path,
    wish: Wish,
    steering: Steering | None = None,
    *,
    page: str = "A4",
    dpi: float = SHEET_DPI,
    force: bool = False,
    tell: Tell = quiet,
    executor: Executor | None = None,
) -> tuple[list[Colourway], list[Path]]:
    """Find colourways of a design file, and write them into a folder.

    Parameters
    ----------
    path, target : Path
        The design file, and the folder.
    wish : Wish
        How many, and where inks may come from.
    steering : Steering, optional
        What she kept and dropped of an earlier run.
    page : str
        A4 or A3: size of the sheet.
    dpi : float
        Pixels an inch of the sheet as a picture.
    force : bool
        Replace files that are not ours, or were changed by hand.
    tell : callable
        Hears how far the job is.
    executor : Executor, optional
        What draws the pictures; left out, the cores of this machine.

    Returns
    -------
    ways : list of Colourway
        Hers first.
    paths : list of Path
        What was written, the sheet first.

    Raises
    ------
    MockupError
        Whatever cannot be followed; what was written before stays, whole.
    """
    steering = steering or Steering()
    tell("reading the design", 0.0)
    text = read_text(path)
    piece = read_piece(parse_design(text, where=path.name, file=path))
    tell("spreading the inks", 0.05)
    spreading = spread_piece(piece)
    tell("finding colourways", 0.3)
    slots = slots_of(spreading)
    owned = owned_inks(wish.box, wish.stock).inks if wish.box else ()
    like, unlike = (kept_ways(some, target, slots, path, owned) for some in (steering.like, steering.unlike))
    dropped = {one.code for one in unlike}
    held = [one for one in sold_ways(spreading, slots, path) if one.code not in dropped]
    like = list({one.code or str(one.file): one for one in (*held, *like)}.values())
    ways = offered(spreading, text, wish, like, unlike)
    ways = respread(ways, spreading, wish, new_plans=steering.respread, tell=tell)
    tell("writing", 0.45)
    return ways, write_colourways(ways, target, page=page, dpi=dpi, force=force, tell=tell, executor=executor)


def write_colourways(
    ways: Sequence[Colourway],
    target: Path,
    *,
    page: str = "A4",
    dpi: float = SHEET_DPI,
    force: bool = False,
    tell: Tell = quiet,
    executor: Executor | None = None,
) -> list[Path]:
    """Write colourways: of each a picture, a plan and a design as soon as they are done, the sheet last.

    Raises
    ------
    FileError
        A file is not ours, was changed by hand, or cannot be written; what was written before stays, whole.
    """
    folder(target)
    first = ways[0].spreading
    made_for = mark(first.piece.name)
    pictures = [target / f"{stem_of(way.code)}.png" for way in ways]
    sheets = [target / "sheet.png", target / "sheet.pdf"]
    check_targets(dict.fromkeys([*pictures, *sheets]), made_for, force=force)
    paths: dict[Path, list[Path]] = {}
    for drawn in _drawn(ways, made_for, executor):
        way, picture = ways[drawn[0]], pictures[drawn[0]]
        write(picture, drawn[1], made_for, force=force)
        paths[picture] = [picture, *write_way(way, target, force=force)]
        tell(f"colourway {way.code}", 0.45 + 0.4 * len(paths) / len(ways))
    tell("drawing the sheet", 0.87)
    scene = sheet_scene(ways, page)
    for sheet in sheets:
        write(sheet, as_file(scene, sheet.suffix, made_for, dpi), made_for, force=force)
    return [*sheets, *(path for picture in pictures for path in paths[picture])]


def _drawn(
    ways: Sequence[Colourway], made_for: str, executor: Executor | None
) -> Iterator[tuple[int, bytes]]:
    """Draw the pictures of one geometry together."""
    first = ways[0].spreading
    size = shown_size(first)
    shared = shared_of(first.piece.tile, look_of(first.piece), size, first.piece.layout.steps)
    orders = [
        Order(
            way.spreading.plan,
            look_of(way.spreading.piece),
            f"{first.piece.design.title or first.piece.name}, {way.code}: {way.name}",
            made_for,
        )
        for way in ways
    ]
    return draw_all(shared, orders, SIDE, executor)


def shown_size(spreading: Spreading) -> tuple[float, float]:
    """Give what a picture shows, mm: what repeats, as often as makes it no slimmer than 2 : 3, or the sheet's field."""
    width, height = spreading.cell
    if spreading.plan.tiles is None:
        return width, height
    across, down = max(1, round(height / width / 1.5)), max(1, round(width / height / 1.5))
    return width * across, height * down


def sheet_scene(ways: Sequence[Colourway], page: str = "A4") -> Scene:
    """Compose the colourway sheet."""
    first = ways[0].spreading
    piece, design = first.piece, first.piece.design
    shown = Shown(piece.tile, first.cell, piece.layout.steps, first.plan.tiles is not None)
    variants = [
        Variant(way.code, way.name, told_of(way), way.spreading.plan, look_of(way.spreading.piece), _key(way))
        for way in ways
    ]
    facts = [
        design.designer,
        f"for {design.client}" if design.client else "",
        design.date.isoformat() if design.date else "",
        _repeat(piece),
    ]
    return colourway_sheet(
        shown,
        variants,
        f"{design.title or piece.name}: {len(ways)} colourways",
        [fact for fact in facts if fact],
        "   ".join(FOR_A_CLIENT),
        page,
    )


def _repeat(piece: Piece) -> str:
    """Say how it repeats, or how large it is."""
    lattice = piece.tile.lattice
    if piece.single:
        return f"one sheet, {both_sides(*piece.field_size)}"
    return f"{piece.layout.repeat} repeat, {both_sides(lattice.width, lattice.height)}"


def told_of(way: Colourway) -> tuple[str, ...]:
    """Say of a colourway what stands under its name: what was done, ground and border."""
    piece = way.spreading.piece
    ground = (
        "bare paper"
        if piece.ground_colour.hex == piece.paper.hex and piece.ground is None
        else piece.ground_name
    )
    border = ""
    if piece.border and piece.border.ink is not None:
        border = f", border {piece.palette.inks[piece.border.ink].name}"
    reason = way.reason if way.kind == "yours" else f"{way.kind}: {way.reason}"
    inks = sum(not ink.paper for ink in piece.palette.inks)
    return reason, f"{inks} ink{'s' * (inks != 1)}, ground {ground}{border}"


def _key(way: Colourway) -> tuple[KeyEntry, ...]:
    """Give the key, with what is to be said of each pen."""
    told = {pen.name: pen.told for pen in way.pens}
    return tuple(
        replace(entry, role=_role(entry, told.get(entry.name, ""))) for entry in key_of(way.spreading)
    )


def _role(entry: KeyEntry, told: str) -> str:
    role = "ground only" if not entry.share and not entry.side else entry.role
    return f"{role} ({told})" if told else role


def in_lines(ways: Sequence[Colourway]) -> list[str]:
    """Tell each colourway in a few lines."""
    lines = []
    for way in ways:
        lines.append(f"{way.code}  {way.name}: {', '.join(told_of(way))}")
        pens = [_pen(pen) for pen in way.pens]
        lines.append(f"   {', '.join(pens)}; inks that meet differ by {way.contrast:.0f} or more (CIEDE2000)")
        lines += [f"   look  {flaw}" for flaw in way.flaws]
    return lines


def _pen(pen: Pen) -> str:
    return f"{pen.name} ({pen.told})" if pen.told else pen.name


def keep_colourways(
    path: Path, told: Sequence[str], target: Path, *, force: bool = False, tell: Tell = quiet
) -> list[Path]:
    """Write colourways of an earlier run into the design, and the plan that they share beside it.

    Raises
    ------
    MockupError
        One is missing, is no colourway of the same plan, or a file cannot be written.
    """
    changed, drawn = keep(path, told, target, spread_file(path, tell=tell))
    return hand_over(drawn, changed, force=force)
