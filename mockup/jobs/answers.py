"""What she answers when a design is begun: read as she writes it, refused at once where it cannot be followed."""

import os
import re
import shlex
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

from mockup.colour.conversion import read_colour
from mockup.errors import DesignError, FileError, UnknownNameError
from mockup.pattern.motif_library import drawing_file, library_motif
from mockup.units import millimetres, paper_names, paper_size

GROUNDS: Final = ("light", "dark", "paper")
_INK_REMEDY: Final = "write it as: clay #b5532a"
_SIZE_REMEDY: Final = "write A4, A4 landscape, letter, 180x240 (mm) or 7x10in"
_SIDES: Final = re.compile(r"([0-9.]+)\s*([a-z]*)\s*[x×]\s*([0-9.]+)\s*([a-z]*)")
_SHORTEST, _LONGEST = 10.0, 2000.0


@dataclass(frozen=True, slots=True)
class Answers:
    """What she said.

    Attributes
    ----------
    title : str
        Title of the piece.
    drawing : str
        SVG file of her own drawing; empty for motifs.
    motifs : tuple of str
        Names of the library's motifs, or SVG files.
    cloth : bool
        Cloth, whose colours repeat; else one sheet inked by hand.
    paper : str
        Colour of the paper.
    ground : str
        light, dark, paper or an ink's name.
    inks : tuple of (str, str)
        Name and colour of each ink.
    size : str
        Paper by name, or width and height.
    day : date
        Printed on sheets.
    """

    title: str
    drawing: str
    motifs: tuple[str, ...]
    cloth: bool
    paper: str
    ground: str
    inks: tuple[tuple[str, str], ...]
    size: str
    day: date


def read_inks(texts: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """Read several inks, each as ``read_ink`` does.

    Raises
    ------
    DesignError
        A text without a colour, or two inks of one name.
    """
    inks = tuple(read_ink(text, number) for number, text in enumerate(texts, 1))
    for name, count in Counter(name.casefold() for name, _ in inks).items():
        if count > 1:
            raise DesignError(f"{count} inks are named {name!r}", remedy="give each a name of its own")
    return inks


def read_ink(text: str, number: int = 1) -> tuple[str, str]:
    """Read name and colour of an ink.

    Written as "clay #b5532a", "sea green #2e8b57", "clay=#b5532a" or "#b5532a clay"; a colour alone is named by its
    number, or by itself where it is a word.

    Raises
    ------
    DesignError
        A text without a colour.
    """
    words = text.replace("=", " = ").split()
    if "=" in words:
        at = words.index("=")
        name, colour = " ".join(words[:at]), " ".join(words[at + 1 :])
        if name and _is_colour(colour):
            return name, colour
    elif _is_colour(" ".join(words)):
        colour = " ".join(words)
        return (colour if colour.isalpha() else f"ink-{number}"), colour
    else:
        for at in range(1, len(words)):
            head, tail = " ".join(words[:at]), " ".join(words[at:])
            if _is_colour(tail):
                return head, tail
        for at in range(len(words) - 1, 0, -1):
            head, tail = " ".join(words[:at]), " ".join(words[at:])
            if _is_colour(head):
                return tail, head
    raise DesignError(f"ink {number}, {text.strip()!r}, has no colour that can be read", remedy=_INK_REMEDY)


def read_paper(text: str) -> str:
    """Read the paper's colour.

    Raises
    ------
    DesignError
        It is none.
    """
    try:
        read_colour(text)
    except ValueError as error:
        raise DesignError(str(error), where="paper") from None
    return text.strip()


def read_ground(text: str, inks: Sequence[str] = ()) -> str:
    """Read the ground: a word, or the name of one of the inks.

    Raises
    ------
    UnknownNameError
        It is neither.
    """
    known = {name.casefold(): name for name in (*inks, *GROUNDS)}
    ground = known.get(text.strip().casefold())
    if ground is None:
        raise UnknownNameError(
            f"no ground {text.strip()!r}", remedy=f"write one of {', '.join((*GROUNDS, *inks))}"
        )
    return ground


def read_size(text: str) -> tuple[str | None, tuple[float, float] | None]:
    """Read the sheet's size: a paper's name, or width and height in mm; one of the two is None.

    Raises
    ------
    DesignError
        It is neither, or cannot be drawn.
    """
    tidy = " ".join(text.lower().split())
    sides = _SIDES.fullmatch(tidy)
    if sides:
        wide, high = (_side(sides[1], sides[2] or sides[4]), _side(sides[3], sides[4] or sides[2]))
        return None, (wide, high)
    words = [word for word in tidy.split() if word not in {"landscape", "portrait", "upright"}]
    size = paper_size(" ".join(words))
    if size is None:
        raise DesignError(f"no size {text.strip()!r}", remedy=_SIZE_REMEDY)
    if "landscape" in tidy:
        return None, (size[1], size[0])
    return next(name for name in paper_names() if name.lower() == " ".join(words)), None


def read_motifs(texts: Sequence[str], folder: Path) -> tuple[str, ...]:
    """Read motifs: names of the library and SVG files, one a text or several with commas between.

    Files are found from where she is, or from the design's ``folder``, from which they are named in the result.

    Raises
    ------
    MockupError
        A name that the library does not have, a file that cannot be read.
    """
    pieces = [piece.strip() for text in texts for piece in _split(text)]
    return tuple(_motif(piece, folder) for piece in pieces if piece)


def read_drawing(text: str, folder: Path) -> str:
    """Read the name of her drawing; give it as seen from the design's ``folder``.

    Raises
    ------
    MockupError
        The file is missing or cannot be read.
    """
    return _file(text, folder)


def read_picture(text: str, folder: Path) -> tuple[str, tuple[str, ...]]:
    """Read the answer to what is drawn: one SVG file is her drawing; else names, with spaces or commas between.

    Raises
    ------
    MockupError
        As for ``read_drawing`` and ``read_motifs``.
    """
    bare = text.strip().strip("'\"")
    if bare.lower().endswith(".svg") and (Path(bare).expanduser().exists() or (folder / bare).exists()):
        return read_drawing(bare, folder), ()
    try:
        names = shlex.split(text.replace(",", " "))
    except ValueError:
        names = text.replace(",", " ").split()
    if len(names) == 1 and names[0].lower().endswith(".svg"):
        return read_drawing(names[0], folder), ()
    if not names:
        raise DesignError("no motif is named", remedy="write names as `mockup motifs list` has them")
    return "", read_motifs(names, folder)


def _is_colour(text: str) -> bool:
    try:
        read_colour(text)
    except ValueError:
        return text.strip().lower() == "paper"
    return True


def _side(number: str, unit: str) -> float:
    """Read one side of a sheet, mm."""
    try:
        side = millimetres(f"{number}{unit}")
    except ValueError as error:
        raise DesignError(str(error), where="size") from None
    if not _SHORTEST <= side <= _LONGEST:
        raise DesignError(f"a side of {side:g} mm", where="size", remedy="a sheet's sides are 10 to 2000 mm")
    return round(side, 3)


def _split(text: str) -> list[str]:
    """Split at commas, unless the whole is the name of a file."""
    return [text] if text.lower().endswith(".svg") and Path(text).exists() else text.split(",")


def _motif(name: str, folder: Path) -> str:
    if name.lower().endswith(".svg"):
        return _file(name, folder)
    library_motif(name)
    return name


def _file(text: str, folder: Path) -> str:
    """Find a drawing from where she is, else from the folder, read it, and name it as seen from the folder."""
    path = Path(text.strip()).expanduser()
    if not path.exists() and (folder / path).exists():
        path = folder / path
    drawing_file(path)
    if not text.strip().lower().endswith(".svg"):
        raise FileError("the name of a drawing ends in .svg", where=str(path), remedy="save it as SVG")
    if path.is_absolute():
        return path.as_posix()
    return Path(os.path.relpath(path, folder)).as_posix()
