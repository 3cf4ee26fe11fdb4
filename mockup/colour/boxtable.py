"""Swatches as rows of a table: what a column means, whichever file the table stands in.

A colour is CSS text, or CIELAB as an instrument tells it, in columns L, a and b under D50 (or D65, if the column
illuminant says so). Columns of other names are hers, and are kept.
"""

import datetime
import graphlib
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from difflib import get_close_matches
from itertools import pairwise
from typing import Final

from mockup.colour.conversion import Colour, from_lab, read_colour
from mockup.colour.ink import Ink
from mockup.colour.inkbox import BARE, InkBox, Swatch, plain
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
        It is empty, or looks like a slip of the pen.
    """
    name = tidy(heading)
    if not name:
        raise DesignError("a column has no name", remedy="give it one")
    coat = _COAT.fullmatch(name)
    if coat:
        return f"coat {coat[1]}"
    known = {one.casefold(): one for one in (*COLUMNS, *LAST)} | _SAME
    if name.casefold() in known:
        return known[name.casefold()]
    near = get_close_matches(name.casefold(), [one for one in known if len(one) > 2], n=1, cutoff=0.8)
    if near:
        raise DesignError(f"unknown column {name!r}", remedy=f"did you mean {known[near[0]]}?")
    return name


def tidy(text: str) -> str:
    """Take line breaks and blanks that say nothing out of a text."""
    return " ".join(text.split())


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
    row = {key: tidied for key, value in row.items() if (tidied := tidy(value))}
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


def boxed(swatches: Sequence[tuple[int, Swatch]], where: str) -> InkBox:
    """Put swatches into a box, each with its line; two of one name on one paper are told with theirs."""
    first: dict[tuple[str, str], int] = {}
    for line, swatch in swatches:
        key = plain(swatch.ink.name), plain(swatch.stock)
        if key in first:
            on = f" on {swatch.stock}" if swatch.stock else ""
            with placed(where, line):
                raise DesignError(
                    f"{swatch.ink.name!r}{on} stands in line {first[key]} already",
                    remedy="keep the newest, or name the other paper",
                )
        first[key] = line
    with placed(where):
        return InkBox(tuple(swatch for _, swatch in swatches))


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
    """Give the columns that rows need, in order: the known ones, coats, then hers as the rows have them."""
    used = _joined(rows)
    coats = sorted(key for key in used if _COAT.fullmatch(key))
    known = [*COLUMNS, *coats, *LAST]
    return [key for key in known if key in used or key in {"name", "colour"}] + [
        key for key in used if key not in known
    ]


def alike(swatches: Sequence[Swatch]) -> tuple[Swatch, ...]:
    """Give swatches with her own columns in one order, as in a table."""
    order = {key: place for place, key in enumerate(_joined([dict(one.more) for one in swatches]))}
    return tuple(
        replace(one, more=tuple(sorted(one.more, key=lambda column: order[column[0]]))) for one in swatches
    )


def _joined(rows: Sequence[Row]) -> list[str]:
    """Give the columns of all rows in an order that each of them has; of first mention where there is none."""
    before: dict[str, dict[str, None]] = {key: {} for row in rows for key in row}
    for row in rows:
        for one, other in pairwise(row):
            before[other][one] = None
    try:
        return list(graphlib.TopologicalSorter(before).static_order())
    except graphlib.CycleError:
        return list(before)


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
    light = row.get("illuminant", "D50").upper().split("/")[0].strip()
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
    pointed = text.replace(",", ".", 1)
    if not _NUMBER.fullmatch(pointed if comma else text):
        remedy = f"write a point: {pointed[:20]}" if _NUMBER.fullmatch(pointed) else "write such as 0.8"
        raise DesignError(f"{key} is no number: {row[key][:20]!r}", remedy=remedy)
    return float(pointed)


def _day(row: Row) -> datetime.date | None:
    if "date" not in row:
        return None
    try:
        return datetime.date.fromisoformat(row["date"])
    except ValueError:
        raise DesignError(
            f"{row['date'][:20]!r} is no date", remedy="write year-month-day: 2026-11-02"
        ) from None
