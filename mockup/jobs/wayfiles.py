"""Colourways as files: each a design of its own with its plan beside it; and read back by letter or file."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from mockup.colour.ink import Ink
from mockup.colour.inkbox import BARE
from mockup.design.colourwaying import kept_by_itself, with_colourways
from mockup.design.reading import parse_design, read_design
from mockup.errors import DesignError, FileError
from mockup.jobs.colourway import FIRST, LONGEST, Colourway, pens_of, spec_of, spread_file, titled
from mockup.jobs.handing import Changed, Drawn, source
from mockup.jobs.inks import palette_of, sheet_of
from mockup.jobs.offering import Kept
from mockup.jobs.piece import ground_of
from mockup.jobs.plan import plan_bytes
from mockup.jobs.planned import Spreading
from mockup.jobs.slots import Pen, Slots, slots_of
from mockup.sheets.changeable import write_changeable
from mockup.sheets.files import mark, write

KIND = "colourway"


def stem_of(code: str) -> str:
    """Give the name of a colourway's files without ending."""
    return code.lower()


def write_way(way: Colourway, folder: Path, *, force: bool = False) -> list[Path]:
    """Write a colourway's plan and design into a folder.

    Raises
    ------
    FileError
        One of them is not ours, was changed by hand, or cannot be written.
    """
    piece, stem = way.spreading.piece, stem_of(way.code)
    name, plan = mark(piece.name), folder / f"{stem}.geojson"
    design = piece.design
    start = design.file.parent if design.file else Path()
    title = design.title if way.code == FIRST else titled(design, way.code, way.name)
    text = kept_by_itself(
        way.text,
        plan=plan.name,
        title=title,
        start=start,
        folder=folder,
        where=design.file.name if design.file else "",
    )
    written = write(plan, plan_bytes(way.spreading, name), name, force=force)
    text += "" if text.endswith("\n") else "\n"
    target = folder / f"{stem}.toml"
    return [write_changeable(target, text, KIND, force=force, signs=("# ", "")), written]


def kept_ways(
    told: Sequence[str], folder: Path, slots: Slots, first: Path, owned: Sequence[Ink] = ()
) -> list[Kept]:
    """Read colourways of an earlier run.

    Parameters
    ----------
    told : sequence of str
        Letters, or design files.
    folder : Path
        Where the letters' files lie.
    slots : Slots
        The positions of the design.
    first : Path
        The design that they belong to.
    owned : sequence of Ink
        Pens that she has besides.

    Raises
    ------
    MockupError
        A file is missing or has other positions.
    """
    found = []
    for one in told:
        path = folder / f"{stem_of(one)}.toml" if len(one) == 1 and one.isalpha() else Path(one)
        if not path.is_file():
            there = sorted(p.stem.upper() for p in folder.glob("?.toml")) if folder.is_dir() else []
            remedy = f"there are {', '.join(there)}" if there else "run `mockup colourways` without it first"
            raise FileError("there is no such colourway", where=str(path), remedy=remedy)
        code = path.stem.upper() if len(path.stem) == 1 and path.stem.isalpha() else ""
        if code == FIRST:
            raise DesignError(
                f"{first.name} itself is always there", where=one, remedy="name another colourway"
            )
        found.append(_kept(path, code, slots, owned))
    return found


def sold_ways(spreading: Spreading, slots: Slots, path: Path) -> list[Kept]:
    """Give the colourways that the design holds, each with its code.

    Raises
    ------
    MockupError
        One of them cannot be.
    """
    return [
        Kept(way.code, pens_of(way, spreading, slots), way.name, path)
        for way in spreading.piece.design.colourways
    ]


def _kept(path: Path, code: str, slots: Slots, owned: Sequence[Ink]) -> Kept:
    """Read one; its inks in order are the positions, and after them that of a ground apart."""
    design = read_design(path)
    palette = palette_of(design, sheet_of(design))
    ground = ground_of(design.colouring.ground, palette, path.name)
    pens = [Pen(spec, ink) for spec, ink in zip(design.palette.inks, palette.inks, strict=True)]
    positions = slots.count - slots.apart
    fits = ground == slots.ground and len(pens) == slots.count
    if slots.apart and len(pens) == positions and ground is None:
        pens.append(slots.pens[-1])
        fits = True
    if not fits:
        raise DesignError(
            f"has {len(pens)} inks and its ground elsewhere; it is no colourway of the same plan",
            where=path.name,
            remedy="name one that `mockup colourways` wrote for this design",
        )
    known = {(ink.name, ink.colour.hex) for ink in (*(pen.ink for pen in slots.pens), *owned)}
    told = tuple(
        replace(pen, wished=pen.spec.colour not in {None, BARE} and (pen.name, pen.colour.hex) not in known)
        for pen in pens
    )
    return Kept(code, told, design.title.rpartition(": ")[2][:LONGEST].strip(), path)


def _refuse_other_plan(kept: Kept, spreading: Spreading) -> None:
    """Refuse a respread, which has a plan of its own."""
    own = spread_file(kept.file)
    if own.tiles != spreading.tiles or not np.array_equal(own.inks, spreading.inks):
        raise DesignError(
            "has a plan of its own, and a colourway of a design has the design's",
            where=str(kept.file),
            remedy="use that file as a design by itself",
        )


def keep(path: Path, told: Sequence[str], folder: Path, spreading: Spreading) -> tuple[Changed, Drawn | None]:
    """Write colourways of an earlier run into the design, with the plan that they share; nothing is written yet.

    Returns
    -------
    changed : Changed
        The design.
    drawn : Drawn or None
        The plan's file, where the design followed none so far.

    Raises
    ------
    MockupError
        One is missing, is no colourway of the same plan, or the design cannot be changed.
    """
    before = source(path)
    slots = slots_of(spreading)
    design = spreading.piece.design
    taken = {way.code.upper() for way in design.colourways}
    free = (chr(code) for code in range(ord("B"), ord("Z") + 1) if chr(code) not in taken)
    specs = []
    for own in kept_ways(told, folder, slots, path):
        _refuse_other_plan(own, spreading)
        code = own.code or next(free)
        boxed = design.palette.box is not None
        specs.append(spec_of(own.pens, slots, code, own.name or f"colourway {code}", boxed))
    drawn = None
    if not design.colouring.plan:
        made_for = mark(spreading.piece.name)
        drawn = Drawn(path.with_name(f"{path.stem}.geojson"), plan_bytes(spreading, made_for), made_for)
    after = with_colourways(before, specs, drawn.file.name if drawn else None, path.name)
    parse_design(after, where=path.name, file=path)
    return Changed(path, before, after), drawn
