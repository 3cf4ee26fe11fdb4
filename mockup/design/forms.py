"""Values with a form of their own: a scale, a drop, a date, a place in the pattern."""

import datetime
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from mockup.design.values import WrongValueError, wrong

_NAMED: Final = re.compile(r"(?P<motif>[^/]+?)-(?P<number>[1-9]\d{0,5})(?:@(?P<tile>[^/]*))?/(?P<group>.+)")
_TILE: Final = re.compile(r"([1-9]\d{0,2}),\s*([1-9]\d{0,2})")
_COORDINATE: Final = r"\s*(\d{1,5}(?:\.\d{1,6})?)\s*"
_POINT: Final = re.compile(rf"at\s{_COORDINATE},{_COORDINATE}")


@dataclass(frozen=True, slots=True)
class NamedPlace:
    """A group of a placed motif: "pear-3/body", or in one further tile "pear-3@2,1/body"."""

    motif: str
    number: int
    """Which of that motif's placements in the tile, from 1."""
    group: str
    tile: tuple[int, int] | None = None
    """Column and row of the tile in the colour repeat, from 1; None: every copy."""

    def __str__(self) -> str:
        """Write it as a plan does."""
        tile = f"@{self.tile[0]},{self.tile[1]}" if self.tile else ""
        return f"{self.motif}-{self.number}{tile}/{self.group}"


@dataclass(frozen=True, slots=True)
class PointedPlace:
    """A point of the plan, mm from the cell's top left: "at 32,41"."""

    x: float
    y: float

    def __str__(self) -> str:
        """Write it as in a design file."""
        return f"at {self.x:.10g},{self.y:.10g}"


def point_of(text: str) -> PointedPlace | None:
    """Read a point, "at 32,41"; None for anything else."""
    found = _POINT.fullmatch(text.strip())
    return PointedPlace(float(found[1]), float(found[2])) if found else None


def read_place(text: str) -> NamedPlace | PointedPlace:
    """Read a place as ``fixed`` names it.

    Raises
    ------
    WrongValueError
        Neither a name nor a point.
    """
    if point := point_of(text):
        return point
    named = _NAMED.fullmatch(text.strip())
    if named is None:
        if re.match(r"at\b", text.strip()) and "/" not in text:
            comma = text.count(",") > 1
            remedy = "a decimal comma is written as a point: at 32.5,41" if comma else "write at 32,41 (mm)"
            raise WrongValueError("is no point", remedy)
        raise WrongValueError("is no place", "write pear-3/body, or at 32,41 (mm)")
    if named["tile"] is None:
        return NamedPlace(named["motif"], int(named["number"]), named["group"])
    tile = _TILE.fullmatch(named["tile"])
    if tile is None:
        raise WrongValueError("names no tile", "write column and row from 1: pear-3@2,1/body")
    return NamedPlace(named["motif"], int(named["number"]), named["group"], (int(tile[1]), int(tile[2])))


def place(value: object) -> str:
    """Read a place of ``fixed`` and give it as it is written in plans."""
    if not isinstance(value, str) or not value.isprintable():
        raise wrong("a place", value)
    if len(value) > 200:
        raise WrongValueError("is longer than 200 signs", "shorten it")
    return str(read_place(value))


def ratio(value: object) -> tuple[float, str]:
    """Read a scale such as "1:4"; give 0.25 and the text."""
    text = value if isinstance(value, str) else ""
    found = re.fullmatch(r"\s*(\d{1,4}(?:\.\d{1,4})?)\s*[:/]\s*(\d{1,4}(?:\.\d{1,4})?)\s*", text)
    if not found or "/" in text:
        remedy = (
            f'write {{key}} = "{found[1]}:{found[2]}"'
            if found
            else 'write {key} = "1:4", or "1:1" for true size'
        )
        raise wrong("a scale in quotes", value, remedy)
    drawn, true = float(found[1]), float(found[2])
    if not (drawn and true and 0.01 <= drawn / true <= 10):
        raise wrong("a scale from 1:100 to 10:1", value)
    return drawn / true, f"{found[1]}:{found[2]}"


def drop(value: object) -> Fraction:
    """Read a fraction such as "1/2": above 0, below 1, and in lowest terms twelfths at most."""
    if isinstance(value, float) and 0 < value < 1:
        near = Fraction(value).limit_denominator(12)
        raise wrong("a fraction in quotes", value, f'write {{key}} = "{near}"' if 0 < near < 1 else "")
    found = re.fullmatch(r"\s*(\d{1,6})\s*/\s*(\d{1,6})\s*", value) if isinstance(value, str) else None
    if not found or not int(found[2]):
        raise wrong('a fraction such as "1/2"', value)
    part = Fraction(int(found[1]), int(found[2]))
    if not 0 < part < 1:
        raise wrong("a fraction above 0 and below 1", value, 'for no drop write repeat = "straight"')
    if part.denominator > 12:
        raise wrong(
            "a fraction of halves to twelfths", value, f'write {{key}} = "{part.limit_denominator(12)}"'
        )
    return part


def date(value: object) -> datetime.date:
    """Read a date without a time."""
    if isinstance(value, datetime.datetime):
        raise wrong("a date without a time", value, f"write {{key}} = {value.date()}")
    if isinstance(value, datetime.date):
        return value
    bare = isinstance(value, str) and re.fullmatch(r"\s*\d{4}-\d\d-\d\d\s*", value)
    remedy = f"write {{key}} = {str(value).strip()}, without quotes" if bare else ""
    raise wrong("a date", value, remedy)
