"""Palettes as a sheet: inks on the ground, in grey, as dichromats see, and one over another."""

from collections.abc import Sequence
from pathlib import Path

from mockup.colour.conversion import Colour
from mockup.colour.ink import Ink
from mockup.colour.layering import GUESS, coats, overlaid
from mockup.colour.palette import Palette
from mockup.colour.vision import DEFICIENCIES, grey, seen
from mockup.jobs.handing import Drawn
from mockup.jobs.offers import Offer, palette_file
from mockup.jobs.palettecheck import PaletteReport
from mockup.sheets.caption import letters
from mockup.sheets.cautions import PAPER, SCREEN
from mockup.sheets.files import mark
from mockup.sheets.formats import as_file, check_ending
from mockup.sheets.palette import Block, Column, Row, palette_sheet

DPI = 150.0
"""Pixels an inch: flat swatches need no more."""

PALETTE_ENDINGS = (".toml", ".csv")

PALE = 80.0
"""L* from which a light is shown as the ground."""

GUESS_NOTE = f"Coats and layers that were not measured are {GUESS}."


def report_picture(report: PaletteReport, target: Path) -> Drawn:
    """Draw a checked palette with its views, layers and findings; nothing is written yet.

    Raises
    ------
    FileError
        The target's ending is of no picture.
    """
    paper = report.paper
    ground = report.ground.colour if report.ground else paper
    lines = [f"{finding.topic}: {finding.line}" for finding in report.findings if not finding.good]
    rows = [*_views(report.palette), *_layers(report.palette, paper)]
    told = f"on {report.ground.name}" if report.ground else "on bare paper"
    block = Block(
        f"{len(report.palette.inks)} inks {told}",
        ground.hex,
        "on the ground" if report.ground else "on paper",
        _columns(report.palette.inks),
        tuple(rows),
        tuple(lines or ["Every check finds it good."]),
    )
    name = Path(report.name).stem
    return _drawn([block], f"Palette of {name}", target, name, [GUESS_NOTE])


def offers_picture(
    offers: Sequence[Offer], paper: Colour, heading: str, target: Path, taken: Offer | None = None
) -> Drawn:
    """Draw palettes one under another, each with its kind and reasons; nothing is written yet.

    Parameters
    ----------
    offers : sequence of Offer
    paper : Colour
    heading : str
        Title of the sheet.
    target : Path
        PNG, SVG or PDF; TOML or CSV for the palette that is ``taken``, by itself.
    taken : Offer, optional

    Raises
    ------
    FileError
        The target has another ending.
    """
    if taken and target.suffix.lower() in PALETTE_ENDINGS:
        return Drawn(target, palette_file(target, taken), mark(heading))
    blocks = [
        Block(
            f"{letter}  {offer.kind}" if len(offers) > 1 else f"{len(offer.palette.inks)} inks",
            *_ground(offer.palette, paper),
            _columns(offer.palette.inks),
            tuple(_views(offer.palette)),
            offer.reasons,
        )
        for letter, offer in zip(letters(len(offers)), offers, strict=True)
    ]
    return _drawn(blocks, heading, target, heading)


def _ground(palette: Palette, paper: Colour) -> tuple[str, str]:
    """Give what the inks are shown on, and its name: the light of the palette where it is pale, else the paper."""
    light = palette.light
    if light and not light.paper and light.colour.lightness >= PALE:
        return light.colour.hex, "on the light"
    return paper.hex, "on paper"


def _drawn(
    blocks: Sequence[Block], heading: str, target: Path, name: str, notes: Sequence[str] = ()
) -> Drawn:
    ending = check_ending(target)
    scene = palette_sheet(blocks, heading, [*notes, SCREEN, PAPER])
    return Drawn(target, as_file(scene, ending, mark(name), DPI), mark(name))


def _columns(inks: Sequence[Ink]) -> tuple[Column, ...]:
    return tuple(
        Column(
            letter,
            ink.name,
            ink.role,
            ink.colour.hex,
            (f"L* {ink.colour.lightness:.0f}  chroma {ink.colour.chroma:.0f}", ink.colour.hex),
        )
        for letter, ink in zip(letters(len(inks)), inks, strict=True)
    )


def _views(palette: Palette) -> list[Row]:
    colours = [ink.colour for ink in palette.inks]
    return [
        Row("in grey", tuple(grey(colour).hex for colour in colours)),
        *(Row(kind, tuple(colour.hex for colour in seen(colours, kind))) for kind in DEFICIENCIES),
    ]


def _layers(palette: Palette, paper: Colour) -> list[Row]:
    """Give second and third coats, and each ink over every other."""
    inks, rows = palette.inks, []
    first = next((ink for ink in inks if not ink.paper), None)
    for number, label in ((2, "two coats"), (3, "three coats")):
        layers = [coats(ink, number, paper) for ink in inks]
        guess = ", guess" if any(layer.guessed for layer in layers) else ""
        rows.append(Row(label + guess, tuple(layer.colour.hex for layer in layers), number == 2))
    for letter, upper in zip(letters(len(inks)), inks, strict=True):
        if not upper.paper:
            rows.append(
                Row(
                    f"{letter} over each, guess",
                    tuple(overlaid(upper, lower, paper).colour.hex for lower in inks),
                    upper is first,
                )
            )
    return rows
