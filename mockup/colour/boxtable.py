"""Swatches as rows of a table: what a column means, whichever file the table stands in.

A colour is CSS text, or CIELAB as an instrument tells it, in columns L, a and b under D50 (or D65, if the column
illuminant says so). Columns of other names are hers, and are kept.
"""

import datetime
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from difflib import get_close_matches
from typing import Final

from mockup.colour.conversion import Colour, from_lab, read_colour
from mockup.colour.ink import Ink
from mockup.colour.inkbox import BARE, Swatch
from mockup.errors import DesignError, MockupError

LAB: Final = ("L", "a", "b")
COLUMNS: Final = ("name", "colour", *LAB, "illuminant", "paper", "date", "tip", "bleed")
LAST: Final = ("uncertainty", "note")
_SAME: Final = {"nib": "tip", "l*": "L", "a*": "a", "b*": "b", "color": "colour", "remark": "note"}
_COAT: Final = re.compile(r"coat[ _-]*([2-9])", re.IGNORECASE)
_NUMBER: Final = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?")

Row = Mapping[str, str]
"""Column by its right name, to what stands in it; only what is not empty."""


@contextmanager
def placed(where: str, line: int = 0) -> Iterator[None]:
    """Let what is refused inside be told with its file and line."""
    try:
        yield
    except MockupError as error:
        place = ", ".join(part for part in (where, f"line {line}" if line else "") if part)
        raise type(error)(error.what, where=place, remedy=error.remedy) from None


def column(heading: str) -> str:
    """Give the right name of a column; a column of hers keeps its own.

    Raises
    ------
    DesignError
        It looks like a slip of the pen.
    """
    plain = " ".join(heading.split())
    coat = _COAT.fullmatch(plain)
    if coat:
        return f"coat {coat[1]}"
    known = {name.casefold(): name for name in (*COLUMNS, *LAST)} | _SAME
    if plain.casefold() in known:
        return known[plain.casefold()]
    near = get_close_matches(plain.casefold(), [name for name in known if len(name) > 2], n=1, cutoff=0.8)
    if near:
        raise DesignError(f"unknown column {plain!r}", remedy=f"did you mean {known[near[0]]}?")
    return plain


def swatch_of(row: Row, comma: bool = False) -> Swatch:
    """Make a swatch of a row.

    Parameters
    ----------
    row : mapping
        Its columns.
    comma : bool
        Whether numbers may have decimal commas.

    Raises
    ------
    DesignError
        What is wrong with it, without the place.
    """
    name = row.get("name", "")
    if not name:
        raise DesignError("there is no name", remedy="give the ink one")
    if len(name) > 60 or not name.isprintable():
        raise DesignError(f"{name[:30]!r} is no name for an ink", remedy="write up to 60 signs on one line")
    bare = name.casefold() == BARE
    if name.casefold() in {"none", "light", "dark"}:
        raise DesignError(f"{name!r} has a meaning of its own", remedy="give the ink another name")
    ink = Ink(
        BARE if bare else name,
        _colour(row, comma),
        coats=_coats(row),
        tip=_number(row, "tip", comma),
        bleed=_number(row, "bleed", comma),
        paper=bare,
        uncertainty=_number(row, "uncertainty", comma),
    )
    known = {*COLUMNS, *LAST, *(key for key in row if _COAT.fullmatch(key))}
    more = tuple((key, value) for key, value in row.items() if key not in known)
    return Swatch(ink, row.get("paper", ""), _day(row), row.get("note", ""), more)


def row_of(swatch: Swatch) -> dict[str, str]:
    """Give the columns of a swatch: what ``swatch_of`` makes the same swatch of."""
    ink = swatch.ink
    coats = {f"coat {number}": colour.written.strip() for number, colour in enumerate(ink.coats, 2)}
    row = {
        "name": ink.name,
        "colour": ink.colour.written.strip(),
        "paper": swatch.stock,
        "date": swatch.day.isoformat() if swatch.day else "",
        "tip": _plain(ink.tip),
        "bleed": _plain(ink.bleed),
        **coats,
        "uncertainty": _plain(ink.uncertainty),
        "note": swatch.note,
        **dict(swatch.more),
    }
    return {key: value for key, value in row.items() if value}


def headings(rows: Sequence[Row]) -> list[str]:
    """Give the columns that rows need, in order: the known ones, coats, then hers."""
    used = dict.fromkeys(key for row in rows for key in row)
    coats = sorted(key for key in used if _COAT.fullmatch(key))
    known = [*COLUMNS, *coats, *LAST]
    return [key for key in known if key in used or key in {"name", "colour"}] + [
        key for key in used if key not in known
    ]


def _plain(number: float | None) -> str:
    return "" if number is None else repr(float(number)).removesuffix(".0")


def _colour(row: Row, comma: bool) -> Colour:
    lab = [key for key in LAB if key in row]
    if "colour" in row and lab:
        raise DesignError("it has a colour, and CIELAB beside it", remedy="leave one of them out")
    if "colour" in row:
        if row["colour"].casefold() == BARE:
            raise DesignError('"paper" is no colour here', remedy="write the colour of the bare paper")
        return read(row["colour"], "colour")
    if not lab:
        raise DesignError("there is no colour", remedy="write such as #b5532a, or columns L, a and b")
    if len(lab) < 3:
        raise DesignError(
            f"{', '.join(k for k in LAB if k not in lab)} is missing", remedy="write L, a and b"
        )
    values = [_number(row, key, comma) or 0.0 for key in LAB]
    light = row.get("illuminant", "D50").upper().split("/")[0]
    if light not in {"D50", "D65"}:
        raise DesignError(f"illuminant {row['illuminant']!r} is not known", remedy="measure under D50 or D65")
    if not 0 <= values[0] <= 100:
        raise DesignError(f"L = {values[0]:g} is out of its range", remedy="L* runs from 0 to 100")
    if light == "D50":
        return read(f"lab({' '.join(_plain(value) for value in values)})", "L, a, b")
    try:
        return read_colour(from_lab(values).written)
    except ValueError as error:
        raise DesignError(f"L, a, b: {error}") from None


def read(text: str, key: str) -> Colour:
    """Read a colour, telling the column if it is none."""
    try:
        return read_colour(text)
    except ValueError as error:
        raise DesignError(f"{key}: {error}") from None


def _coats(row: Row) -> tuple[Colour, ...]:
    numbers = sorted(int(found[1]) for key in row if (found := _COAT.fullmatch(key)))
    if numbers != list(range(2, 2 + len(numbers))):
        raise DesignError(
            f"coat {numbers[-1]} is given, but not the one before", remedy="write the coats one after another"
        )
    return tuple(read(row[f"coat {number}"], f"coat {number}") for number in numbers)


def _number(row: Row, key: str, comma: bool) -> float | None:
    if key not in row:
        return None
    text = row[key].removesuffix("mm").strip()
    if comma and text.count(",") == 1 and "." not in text:
        text = text.replace(",", ".")
    if not _NUMBER.fullmatch(text):
        raise DesignError(f"{key} is no number: {row[key][:20]!r}", remedy="write such as 0.8")
    return float(text)


def _day(row: Row) -> datetime.date | None:
    if "date" not in row:
        return None
    try:
        return datetime.date.fromisoformat(row["date"])
    except ValueError:
        raise DesignError(
            f"{row['date'][:20]!r} is no date", remedy="write year-month-day: 2026-11-02"
        ) from None
