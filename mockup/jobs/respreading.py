"""Respreads: other inks with a plan of their own, on request or where there are more or fewer inks."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from mockup.colour.palette import Palette
from mockup.colour.roles import with_roles
from mockup.design.amending import Table, amended
from mockup.design.reading import parse_design
from mockup.design.repaletting import with_palette
from mockup.errors import DesignError
from mockup.jobs.candidates import fits
from mockup.jobs.colourway import FIRST, Colourway
from mockup.jobs.inks import palette_of, place, sheet_of
from mockup.jobs.offering import Wish, checked, palette_pens
from mockup.jobs.offers import places
from mockup.jobs.piece import ground_of, recoloured
from mockup.jobs.planned import Spreading
from mockup.jobs.progress import Tell
from mockup.jobs.slots import Pen, slots_of
from mockup.jobs.spreading import spread_piece


def respread(
    ways: Sequence[Colourway], spreading: Spreading, wish: Wish, *, new_plans: bool, tell: Tell
) -> list[Colourway]:
    """Add a respread for each listed palette of another number of inks; on request give all but hers new plans.

    Raises
    ------
    MockupError
        A palette cannot take the place of hers: something names an ink that goes.
    """
    slots, found = slots_of(spreading), list(ways)
    if new_plans:
        found = [found[0], *(_anew(way, number, tell) for number, way in enumerate(found[1:], 2))]
    for palette in wish.palettes:
        pens = palette_pens(palette)
        if not fits(slots, len(pens)):
            tell(f"spreading {palette.name}", 0.4)
            found.append(_of_palette(pens, palette.name, spreading, ways[0].text, _free(found)))
    return sorted(found, key=lambda way: way.code)


def _free(ways: Sequence[Colourway]) -> str:
    taken = {way.code for way in ways}
    return next(chr(code) for code in range(ord(FIRST), ord("Z") + 1) if chr(code) not in taken)


def _anew(way: Colourway, variant: int, tell: Tell) -> Colourway:
    """Spread the inks of a colourway anew; where that gives the same plan, there is no other as good, and it stays."""
    tell(f"spreading {way.code} anew", 0.4)
    piece = way.spreading.piece
    where = piece.design.file.name if piece.design.file else ""
    wanted = piece.design.colouring.variant + variant - 1

    def change(whole: Table, new_table: Callable[[bool], Table]) -> None:
        colouring = whole.setdefault("colouring", new_table(False))
        colouring.pop("plan", None)
        colouring["variant"] = wanted

    text = amended(way.text, change, where)
    design = parse_design(text, where=where, file=piece.design.file)
    made = spread_piece(replace(piece, design=design))
    if made.tiles == way.spreading.tiles and (made.plan.inks == way.spreading.plan.inks).all():
        return way
    return replace(way, kind="respread", reason=f"{way.reason}, a new plan", spreading=made, text=text)


def _of_palette(pens: Sequence[Pen], name: str, spreading: Spreading, text: str, code: str) -> Colourway:
    """Spread a palette of another number of inks, each in the place of the one whose role it has."""
    piece = spreading.piece
    where = piece.design.file.name if piece.design.file else ""
    new = with_roles(Palette(tuple(replace(pen.ink, share=None) for pen in pens)))
    inks, taken = places(piece.palette, new)
    own = {pen.name: pen.spec for pen in pens}

    def change(whole: Table, _: Callable[[bool], Table]) -> None:
        whole.get("colouring", {}).pop("plan", None)
        whole.pop("colourway", None)

    if piece.design.colouring.balance == "own":
        raise DesignError(
            f"has {len(pens)} inks, and the shares of [[palette.ink]] are for {len(piece.palette.inks)}",
            where=name,
            remedy='write balance = "even" or "led", or list a palette of as many inks',
        )
    specs = [replace(own[ink.name], role=ink.role or None) for ink in inks]
    after = amended(with_palette(text, specs, taken, where=where), change, where)
    design = parse_design(after, where=where, file=piece.design.file)
    palette = palette_of(design, sheet_of(design))
    ground = ground_of(design.colouring.ground, palette, place(design, "[colouring] ground"))
    made = spread_piece(recoloured(replace(piece, design=design), palette, ground))
    flaws, contrast = checked(made)
    told = f"{palette.dominant.name if palette.dominant else inks[0].name} on {made.piece.ground_name}"
    reason = f"the palette {name}, a new plan"
    return Colourway(code, told, tuple(pens), reason, "respread", flaws, contrast, made, after)
