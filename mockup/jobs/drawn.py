"""A drawing of her own made ready: regions of its lines, ground left out, tints and sides read, seams joined."""

import difflib
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from mockup.colour.photo import read_photo
from mockup.design.forms import point_of
from mockup.design.records import Design
from mockup.drawing.lineart import LineArt, regions_of
from mockup.drawing.tints import Tints, read_tints
from mockup.drawing.tracing import GAP
from mockup.errors import DesignError, DrawingError, MockupError, UnknownNameError
from mockup.geometry import shapes
from mockup.geometry.arrangement import share_along
from mockup.geometry.narrow import uncovered
from mockup.geometry.shapes import Shape
from mockup.jobs.inks import place
from mockup.pattern.motif import Element, LineWork, Motif, Part
from mockup.pattern.motif_library import drawing_file
from mockup.pattern.repeat import Layout, lattice_of, lay_drawing
from mockup.pattern.seams import join_seams

_WHOLE: Final = 0.97
"""Share of the page that the lowest part covers if it is the ground."""

_ALONG: Final = 0.15
_MOST: Final = 0.5

_SPARSE: Final = 0.25
"""Fills that cover a smaller share of what the lines close in are details of a line drawing."""


def layout_of_drawing(design: Design) -> Layout:
    """Lay out the drawing of a design.

    Raises
    ------
    MockupError
        It cannot be read, or what the design says of it cannot be followed.
    """
    wish = design.drawing
    assert wish is not None
    motif = drawing_file(design.beside(wish.file), stroke_parts=wish.strokes == "parts")
    scale = wish.width / motif.width if wish.width else 1.0
    motif, notes = _with_regions(motif, design, scale)
    motif = _without_ground(motif, design, scale)
    if wish.groups:
        motif, told = _tinted(motif, design, wish.groups)
        notes += told
    if wish.side:
        motif = _with_sides(motif, design, scale)
    runs: tuple[tuple[str, tuple[tuple[int, int], ...]], ...] = ()
    if wish.repeat != "none":
        joined = join_seams(motif, lattice_of(wish.repeat, (motif.width, motif.height), wish.drop))
        notes += [*joined.notes, *joined.lines(scale)]
        motif = joined.motif if wish.ground == "none" else joined.bare
        runs = tuple((f"{motif.name}-1/{stripe.part.group}", stripe.steps) for stripe in joined.stripes)
    if not motif.parts:
        raise DrawingError(
            "all of it would be left for the ground", where=wish.file, remedy='write ground = "none"'
        )
    layout = lay_drawing(motif, wish.repeat, scale=scale, drop=wish.drop, notes=tuple(notes), runs=runs)
    return replace(layout, lined=_lined(motif))


def _lined(motif: Motif) -> bool:
    """Tell whether most of the outlines of its parts are drawn as lines, too."""
    works = [one for one in motif.elements if isinstance(one, LineWork)]
    lines = [
        np.vstack((line, line[:1])) if shut else line
        for work in works
        for line, shut in zip(work.lines, work.closed, strict=True)
    ]
    return (
        share_along([ring for part in motif.parts for ring in shapes.rings(part.shape)], lines, _ALONG)
        > _MOST
    )


def _with_regions(motif: Motif, design: Design, scale: float) -> tuple[Motif, list[str]]:
    """Let what lines close in be regions, beneath what is drawn, where that is asked or the drawing is one of lines."""
    wish = design.drawing
    assert wish is not None
    lines = [one for one in motif.elements if isinstance(one, LineWork)]
    if wish.strokes not in (None, "regions") or not lines:
        return motif, []
    gap = GAP if wish.gap is None else wish.gap
    drawn = [
        (line, shut, work.width) for work in lines for line, shut in zip(work.lines, work.closed, strict=True)
    ]
    found = regions_of(drawn, (motif.width, motif.height), gap / scale, unit=wish.repeat != "none")
    inked = _left_as_told(found, design, scale)
    filled = sum(shapes.area(part.shape) for part in motif.parts)
    if wish.strokes is None and motif.parts and filled > _SPARSE * sum(map(shapes.area, inked)):
        return motif, []
    if not inked and not motif.parts:
        raise DrawingError(
            "its lines close in no region",
            where=wish.file,
            remedy="close the outlines, or let wider gaps be closed: gap = 1",
        )
    taken = set(motif.groups)
    names = (f"region-{number}" for number in range(1, len(inked) + len(taken) + 1))
    free = (name for name in names if name not in taken)
    parts: list[Element] = [Part(name, name, shape, "", "") for name, shape in zip(free, inked, strict=False)]
    return replace(motif, elements=(*parts, *motif.elements)), _closed(found, gap, scale)


def _closed(found: LineArt, gap: float, scale: float) -> list[str]:
    """Say which gaps were closed, and which may have been meant so."""
    told = []
    if many := len(found.closings):
        told.append(f"{many} gap{'s' * (many != 1)} of up to {gap:g} mm in its lines closed")
    if many := len(found.leaks):
        places = ", ".join(f"{x * scale:.0f},{y * scale:.0f}" for x, y in found.leaks[:6].tolist())
        told.append(f"{many} wider gap{'s' * (many != 1)} left open, at mm {places}" + " ..." * (many > 6))
    return told


def _left_as_told(found: LineArt, design: Design, scale: float) -> list[Shape]:
    """Give the areas that take ink; of those that look like ground only what lies outside is left for sure."""
    wish = design.drawing
    assert wish is not None
    if wish.ground == "auto":
        return list(found.inked)
    told = () if wish.ground == "none" else wish.ground
    spots = [spot for spot in map(point_of, told) if spot]
    every = shapes.in_reading_order([*found.inked, *found.large])
    return [
        one for one in every if not any(shapes.covers_point(one, s.x / scale, s.y / scale) for s in spots)
    ]


def _without_ground(motif: Motif, design: Design, scale: float) -> Motif:
    """Leave out the parts that are the ground: as told, else a lowest part that covers the page."""
    wish = design.drawing
    assert wish is not None
    if wish.ground == "none" or not motif.parts:
        return motif
    if wish.ground == "auto":
        lowest = motif.parts[0]
        page = shapes.rectangle(0.0, 0.0, motif.width, motif.height)
        whole = shapes.area(shapes.intersection(lowest.shape, page)) >= _WHOLE * shapes.area(page)
        gone = [lowest] if whole and len(motif.parts) > 1 else []
    else:
        gone = _parts_at(motif, wish.ground, scale, place(design, "[drawing] ground"), lenient=True)
    return replace(
        motif, elements=tuple(one for one in motif.elements if not any(one is own for own in gone))
    )


def _with_sides(motif: Motif, design: Design, scale: float) -> Motif:
    """Give parts to the side palettes that the design names."""
    wish = design.drawing
    assert wish is not None
    sides: dict[int, str] = {}
    for side, names in wish.side.items():
        for part in _parts_at(motif, names, scale, place(design, "[drawing] side")):
            sides[id(part)] = side
    return replace(
        motif,
        elements=tuple(
            replace(one, side=sides[id(one)]) if isinstance(one, Part) and id(one) in sides else one
            for one in motif.elements
        ),
    )


def _parts_at(
    motif: Motif, places: Sequence[str], scale: float, where: str, *, lenient: bool = False
) -> list[Part]:
    """Find parts by name, group or point, the topmost at each point.

    Raises
    ------
    UnknownNameError
        No part is meant; with ``lenient`` a point may lie on none.
    """
    found: list[Part] = []
    for text in places:
        spot = point_of(text)
        if spot:
            at = spot.x / scale, spot.y / scale
            own = [part for part in motif.parts if shapes.covers_point(part.shape, *at)][-1:]
        else:
            own = [part for part in motif.parts if text in (part.name, part.group)]
        if not own and not (lenient and spot):
            known = sorted({name for part in motif.parts for name in (part.name, part.group)})
            near = difflib.get_close_matches(text, known, 1, 0.5)
            remedy = (
                f"did you mean {near[0]!r}?"
                if near
                else "`mockup motifs check` names the parts, or give a point"
            )
            raise UnknownNameError(f"the drawing has no part {text!r}", where=where, remedy=remedy)
        found += own
    return found


def tints_of(motif: Motif, design: Design, file: str, where: str) -> Tints:
    """Read the tints of a drawing's parts, (n,) in their order, off a picture of it.

    Raises
    ------
    MockupError
        The picture cannot be read, or does not show the drawing.
    """
    photo = read_photo(design.beside(file))
    seen = uncovered([part.shape for part in motif.parts])
    try:
        return read_tints(photo.pixels, photo.seen, seen, (motif.width, motif.height))
    except MockupError as error:
        raise DesignError(f"{file}: {error.what}", where=where, remedy=error.remedy) from None


def _tinted(motif: Motif, design: Design, file: str) -> tuple[Motif, list[str]]:
    """Let the parts of one tint take one ink together, and name them by it."""
    tints = tints_of(motif, design, file, place(design, "[drawing] groups"))
    tint = iter(tints.tint.tolist())
    taken = set(motif.groups)
    names = [name.replace(" ", "-") for name in tints.names]
    names = [name if name not in taken else f"{name}-tint" for name in names]
    elements: list[Element] = []
    for one in motif.elements:
        number = next(tint) if isinstance(one, Part) else -1
        elements.append(
            replace(one, name=names[number], group=names[number])
            if number >= 0 and isinstance(one, Part)
            else one
        )
    told = [f"{file}: {len(names)} tints group its regions: {', '.join(names)}"]
    if alone := int((tints.tint < 0).sum()):
        told.append(f"{file}: {alone} region{'s' * (alone != 1)} untinted, each by itself")
    if unsure := len(tints.doubtful):
        told.append(f"{file}: the tint of {unsure} region{'s' * (unsure != 1)} is unsure")
    return replace(motif, elements=tuple(elements)), told
