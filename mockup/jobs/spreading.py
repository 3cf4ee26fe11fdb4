"""From a piece to its plan: a plan that is kept, one sheet, a colour repeat that she set, or the smallest that does."""

import math
from dataclasses import replace

from mockup.jobs.asking import rectangle_cell, sheet_cell, tiled_of
from mockup.jobs.followed import Chosen, chosen_by, inks_of, rectangle_of
from mockup.jobs.piece import Piece
from mockup.jobs.planned import Spreading, planned, solved
from mockup.jobs.rectangles import wished
from mockup.jobs.smallest import smallest


def spread_piece(piece: Piece) -> Spreading:
    """Spread the inks over a piece.

    Raises
    ------
    MockupError
        A wish that cannot be followed.
    """
    piece, chosen = chosen_by(piece)
    if chosen:
        return follow_plan(piece, chosen)
    if piece.single:
        return solved(sheet_cell(piece))
    tiled = tiled_of(piece)
    wish = wished(piece)
    if piece.design.colouring.copies == "alike":
        # every tile is inked alike, so that no larger rectangle can do better
        wish = wish or piece.tile.lattice.multiples
    if wish:
        return solved(rectangle_cell(tiled, *wish))
    return smallest(tiled)


def follow_plan(piece: Piece, chosen: Chosen) -> Spreading:
    """Give a piece the inks of a plan, as they are.

    Raises
    ------
    DesignError
        The plan does not fit the piece: what changed.
    """
    tiles = rectangle_of(piece, chosen)
    asked = rectangle_cell(tiled_of(piece), *tiles) if tiles else sheet_cell(piece)
    return planned(asked, inks_of(asked, chosen), math.nan)


def replan(spreading: Spreading, piece: Piece) -> Spreading:
    """Take the same plan to a piece that differs in its inks only."""
    return replace(spreading, piece=piece)
