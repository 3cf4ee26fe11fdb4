"""The guts of ``repeats``: every repeat and frieze group as a picture, drawn from the library's motifs."""

from fractions import Fraction
from pathlib import Path
from typing import Final, NamedTuple

from mockup.jobs.progress import Tell, quiet
from mockup.pattern.arranging import Wish, arrange
from mockup.pattern.frieze import FRIEZES, run
from mockup.pattern.motif_library import library_motif
from mockup.pattern.regions import visible
from mockup.pattern.repeat import Setting
from mockup.rendering.scene import Scene
from mockup.sheets.files import mark, write
from mockup.sheets.formats import as_file, check_ending
from mockup.sheets.repeats import Example, Running, repeats_sheet

_MADE_FOR: Final = "sheet of repeats"
_STRIP: Final = 12.0
_LONG: Final = 158.0


class _Shown(NamedTuple):
    """What one picture shows."""

    name: str
    meaning: str
    wish: Wish
    motifs: tuple[str, ...] = ("wren",)
    scale: float = 0.5


_SET: Final = ("pear", "wren")
_MANY: Final = ("windflower", "wren", "lemon", "bell", "leaflet", "floret", "acorn", "drop")

SHOWN: Final = (
    _Shown("straight", "tile beside tile, tile under tile", Wish("straight"), ("tile-star", "quatrefoil")),
    _Shown("half-drop", "every column half a tile lower", Wish("half-drop"), _SET),
    _Shown(
        "half-drop, drop 1/3",
        "every column a third of a tile lower",
        Wish("half-drop", drop=Fraction(1, 3)),
        _SET,
    ),
    _Shown("brick", "every row half a tile along", Wish("brick"), ("hare", "thistle")),
    _Shown("mirror", "every other tile flipped, across and down", Wish("mirror")),
    _Shown("turned", "every other column upside down", Wish("turned"), ("poppy",)),
    _Shown("ogee", "pointed cells with curved sides", Wish("ogee"), ("tulip", "pear")),
    _Shown("diamond", "cells on their points", Wish("diamond"), ("owl", "heart")),
    _Shown("scallop", "cells like scales", Wish("scallop"), ("fish", "scallop")),
    _Shown("stripe", "each motif in columns of its own, bars between", Wish("stripe"), ("bell", "moth")),
    _Shown(
        "ring",
        "the first in the middle, the others round it",
        Wish("ring", room=(150, 150)),
        ("rosette", "leaflet", "heart", "floret"),
        0.4,
    ),
    _Shown("tossed", "any way up, gaps even", Wish("tossed", count=14), _MANY, 0.6),
    _Shown(
        "tossed, one-way",
        "all upright",
        Wish("tossed", count=12, directions="one-way", coverage=0.45),
        _MANY,
        0.6,
    ),
    _Shown(
        "tossed, two-way",
        "upright and upside down",
        Wish("tossed", count=12, directions="two-way", coverage=0.45),
        _MANY,
        0.6,
    ),
    _Shown(
        "tossed, four-way",
        "four ways up",
        Wish("tossed", count=12, directions="four-way", coverage=0.45),
        _MANY,
        0.6,
    ),
    _Shown("p1", "steps only; drop slants them", Wish("p1", drop=Fraction(1, 3))),
    _Shown("p2", "half turns", Wish("p2")),
    _Shown("pm", "mirrors", Wish("pm")),
    _Shown("pg", "glides", Wish("pg")),
    _Shown("cm", "mirrors, glides between them", Wish("cm")),
    _Shown("p2mm", "mirrors both ways", Wish("p2mm")),
    _Shown("p2mg", "mirrors one way, glides the other", Wish("p2mg")),
    _Shown("p2gg", "glides both ways", Wish("p2gg")),
    _Shown("c2mm", "mirrors both ways, half turns between", Wish("c2mm"), scale=0.4),
    _Shown("p4", "quarter turns", Wish("p4"), scale=0.45),
    _Shown("p4mm", "quarter turns on mirrors", Wish("p4mm"), scale=0.35),
    _Shown("p4gm", "quarter turns beside mirrors", Wish("p4gm"), scale=0.35),
    _Shown("p3", "third turns", Wish("p3"), scale=0.4),
    _Shown("p3m1", "third turns, all on mirrors", Wish("p3m1"), scale=0.35),
    _Shown("p31m", "third turns, some beside mirrors", Wish("p31m"), scale=0.35),
    _Shown("p6", "sixth turns", Wish("p6"), scale=0.35),
    _Shown("p6mm", "sixth turns on mirrors", Wish("p6mm"), scale=0.3),
)
"""Every repeat, in the order in which the help names them."""

RUNNING: Final = {
    "p1": "steps only",
    "p211": "half turns",
    "p1m1": "mirrors across",
    "p11m": "a mirror along",
    "p11g": "a glide along",
    "p2mm": "mirrors across and along",
    "p2mg": "mirrors across, half turns between",
}
"""Every frieze group."""


def repeats_scene(tell: Tell = quiet) -> Scene:
    """Compose the sheet."""
    examples = []
    for number, shown in enumerate(SHOWN):
        tell(f"laying out {shown.name}", number / len(SHOWN))
        layout = arrange([Setting(library_motif(name)) for name in shown.motifs], shown.wish)
        examples.append(Example(shown.name, shown.meaning, layout, visible(layout), shown.scale))
    motif = library_motif("bell")
    running = [
        Running(f"frieze {group}", RUNNING[group], run([motif], _LONG, _STRIP, group)) for group in FRIEZES
    ]
    return repeats_sheet(examples, running, "Repeats, and the frieze groups of a border of motifs")


def write_repeats(target: Path, *, dpi: float = 100.0, force: bool = False, tell: Tell = quiet) -> Path:
    """Write the sheet of repeats, so many pixels an inch of a PNG.

    Raises
    ------
    FileError
        The target cannot be written.
    """
    ending = check_ending(target)
    content = as_file(repeats_scene(tell), ending, mark(_MADE_FOR), dpi)
    return write(target, content, mark(_MADE_FOR), force=force)
