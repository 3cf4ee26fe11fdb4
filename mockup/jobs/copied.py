"""A plan read off a coloured copy: a picture of her drawing, inked or tinted, each region in the nearest ink."""

from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.colour.conversion import read_colour
from mockup.colour.matching import matched, misses
from mockup.colour.photo import read_photo
from mockup.drawing.tints import Tints, read_tints
from mockup.errors import DesignError, MockupError
from mockup.geometry import shapes
from mockup.jobs.piece import Piece
from mockup.sheets.planfile import FoundNode, FoundPlan, read_plan
from mockup.sheets.planhead import FoundHead

PICTURES: Final = (".png", ".jpg", ".jpeg")
"""Endings of a plan that is a picture."""

_FAR: Final = 10.0


def read_any_plan(piece: Piece, path: Path, name: str) -> tuple[Piece, FoundPlan]:
    """Read a plan file, or a coloured copy; give the piece with what is to be said of it among its notes.

    Parameters
    ----------
    piece : Piece
        What the plan is of.
    path : Path
        GeoJSON, PNG or JPEG.
    name : str
        What messages call it.

    Raises
    ------
    MockupError
        It cannot be read, or does not show the piece.
    """
    if path.suffix.lower() not in PICTURES:
        return piece, read_plan(path, name)
    if not piece.layout.drawn:
        raise DesignError(
            "a picture can be the plan of a drawing of your own only",
            where=name,
            remedy="give a plan that `mockup plan` wrote",
        )
    photo = read_photo(path)
    nodes = piece.tile.nodes
    page = piece.tile.lattice.size(1, 1)
    frame = shapes.rectangle(0.0, 0.0, *page)
    try:
        tints = read_tints(
            photo.pixels, photo.seen, [shapes.intersection(node.seen, frame) for node in nodes], page
        )
    except MockupError as error:
        raise DesignError(error.what, where=name, remedy=error.remedy) from None
    inks, notes = _inks(piece, tints, name)
    found = tuple(
        FoundNode(node.label, node.side, inks[number], node.seen, number) for number, node in enumerate(nodes)
    )
    layout = replace(piece.layout, notes=(*piece.layout.notes, *notes))
    return replace(piece, layout=layout), FoundPlan(
        name, FoundHead(colour_repeat=None if piece.single else (1, 1)), found
    )


def _inks(piece: Piece, tints: Tints, name: str) -> tuple[list[str], list[str]]:
    """Name the ink of each node, and say which tint was taken for which ink."""
    own = [number for number, node in enumerate(piece.tile.nodes) if not node.side]
    inks = [""] * len(piece.tile.nodes)
    told = []
    for side in ("", *(one.name for one in piece.palette.side)):
        rows = own if not side else [n for n, node in enumerate(piece.tile.nodes) if node.side == side]
        if not rows:
            continue
        offered = [
            ink for ink, of in zip(piece.palette.every, piece.palette.sides, strict=True) if of == side
        ]
        used = sorted(set(tints.tint[rows].tolist()))
        wanted = [read_colour(tints.paper if tint < 0 else tints.colours[tint]) for tint in used]
        far = misses(wanted, [piece.shown(ink) for ink in offered])
        taken = _taken(far)
        for row in rows:
            inks[row] = offered[taken[used.index(int(tints.tint[row]))]].name
        told += [
            f"{name}: {_said(tint, tints)} is read as {offered[ink].name}, {far[place, ink]:.0f} off (CIEDE2000)"
            for place, (tint, ink) in enumerate(zip(used, taken, strict=True))
            if far[place, ink] > _FAR
        ]
    if unsure := len(tints.doubtful):
        told.append(f"{name}: the colour of {unsure} region{'s' * (unsure != 1)} is unsure")
    return inks, told


def _taken(far: NDArray[np.float64]) -> list[int]:
    """Give each colour an ink: one of its own where there are enough, else the nearest."""
    if far.shape[0] <= far.shape[1]:
        return [int(ink) for ink in matched(far)]
    return [int(ink) for ink in far.argmin(axis=1)]


def _said(tint: int, tints: Tints) -> str:
    return "bare paper" if tint < 0 else f"{tints.names[tint]} ({tints.colours[tint]})"
