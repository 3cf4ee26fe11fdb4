"""Palettes as they are offered: told in lines, drawn as a sheet, written into a design."""

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from mockup.colour.ink import Ink
from mockup.colour.palette import Palette
from mockup.colour.roles import with_roles
from mockup.design.palettefile import write_palette_csv, write_palette_toml
from mockup.design.reading import parse_design
from mockup.design.records import Design, InkSpec
from mockup.design.repaletting import with_palette
from mockup.errors import DesignError
from mockup.jobs.handing import Changed, source
from mockup.jobs.inks import as_written, sheet_of
from mockup.sheets.caption import letters

_ORDER = ("dominant", "dark", "light", "accent", "")


class Line(NamedTuple):
    """One line for a reader, and the colour of the swatch before it ("#rrggbb"); empty where there is none."""

    text: str
    swatch: str = ""


@dataclass(frozen=True, slots=True)
class Offer:
    """A palette that may be taken: what kind it is, why it is as it is, and the box its inks are in."""

    palette: Palette
    kind: str = ""
    reasons: tuple[str, ...] = ()
    box: Path | None = None


def in_order(palette: Palette) -> Palette:
    """Put the inks in the order of their roles: dominant, dark, light, accents."""
    inks = sorted(palette.inks, key=lambda ink: _ORDER.index(ink.role))
    return Palette(tuple(inks), palette.side)


def ink_lines(inks: Sequence[Ink]) -> list[Line]:
    """Tell inks, one a line: letter, colour as shown, role, name, lightness and chroma."""
    wide = max(len(ink.name) for ink in inks)
    return [
        Line(
            f"{letter}  {ink.colour.hex}  {ink.role:<8}  {ink.name:<{wide}}  "
            f"L* {ink.colour.lightness:3.0f}  chroma {ink.colour.chroma:3.0f}{_loss(ink)}",
            ink.colour.hex,
        )
        for letter, ink in zip(letters(len(inks)), inks, strict=True)
    ]


def _loss(ink: Ink) -> str:
    loss = ink.colour.loss
    return f"  (a screen shows it {loss:.0f} off)" if loss >= 1 else ""


def spec_of(ink: Ink, *, owned: bool = False) -> InkSpec:
    """Give an ink as a design file writes it; of one in the box its name is enough."""
    if owned:
        return InkSpec(ink.name, role=ink.role or None, share=ink.share, shades=ink.shades or None)
    colour = "paper" if ink.paper else ink.colour.written.strip()
    coats = tuple(coat.written.strip() for coat in ink.coats)
    shades = ink.shades or None
    return InkSpec(ink.name, colour, ink.role or None, ink.share, coats, ink.tip, ink.bleed, shades)


def places(old: Palette, new: Palette) -> tuple[list[Ink], list[int | None]]:
    """Give the new inks and the place of the old ink that each takes over from: its role's, accents in order.

    An ink that finds none of its role takes what is left, in order; None for one that comes to them.
    """
    left = list(range(len(old.inks)))
    found: dict[int, int | None] = {}
    for number, ink in enumerate(new.inks):
        match = next((place for place in left if old.inks[place].role == ink.role), None)
        if match is not None:
            left.remove(match)
            found[number] = match
    for number in range(len(new.inks)):
        if number not in found:
            found[number] = left.pop(0) if left else None
    order = sorted(found, key=lambda number: (found[number] is None, found[number] or 0, number))
    return [new.inks[number] for number in order], [found[number] for number in order]


def changed_design(target: Path, offer: Offer) -> Changed:
    """Put a palette into a design file, each ink in the place of the one whose role it has; nothing is written yet.

    Raises
    ------
    MockupError
        The file cannot be read or written, follows a plan, or names an ink that nothing takes the place of.
    """
    before = source(target)
    design = parse_design(before, where=target.name, file=target)
    _refuse_plan(design, target)
    old = with_roles(as_written(design, sheet_of(design)))
    inks, taken = places(old, offer.palette)
    box = named_beside(offer.box, target) if offer.box else None
    specs = [spec_of(ink, owned=offer.box is not None and not ink.paper) for ink in inks]
    after = with_palette(before, specs, taken, box=box, where=target.name)
    changed = parse_design(after, where=target.name, file=target)
    as_written(changed, sheet_of(changed))
    return Changed(target, before, after)


def palette_file(target: Path, offer: Offer) -> bytes:
    """Write a palette by itself, in the form that the target's ending (.toml or .csv) asks for."""
    if target.suffix.lower() == ".csv":
        return write_palette_csv([spec_of(ink) for ink in offer.palette.inks]).encode()
    box = named_beside(offer.box, target) if offer.box else None
    owned = offer.box is not None
    specs = [spec_of(ink, owned=owned and not ink.paper) for ink in offer.palette.inks]
    return write_palette_toml(specs, box).encode()


def _refuse_plan(design: Design, target: Path) -> None:
    if design.colouring.plan:
        raise DesignError(
            f"follows the plan {design.colouring.plan}, which names its inks",
            where=f"{target.name}, [colouring] plan",
            remedy="take the plan out of the design first",
        )


def named_beside(box: Path, target: Path) -> str:
    """Give a box as the design names it: from the design's folder where it can be."""
    return Path(os.path.relpath(box.resolve(), target.resolve().parent)).as_posix()
