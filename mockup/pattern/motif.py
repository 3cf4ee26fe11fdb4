"""A motif as it was drawn: parts that take ink and line work, in stacking order, in mm at natural size."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

from mockup.geometry.affine import Points
from mockup.geometry.shapes import Box, Shape, box_of, strokes


@dataclass(frozen=True, eq=False, slots=True)
class Part:
    """One closed area that takes ink.

    ``name`` is its part name, ``group`` the label of the parts that take one ink together, ``side`` the side
    palette it belongs to ("skin") or empty. ``fill`` is the fill as it was written, empty where none was: it
    says what goes together, never the ink. ``figure`` tells the parts of a side apart by the drawn figure that
    they belong to: its name, unique in the drawing; empty for a part without side.
    """

    name: str
    group: str
    shape: Shape
    side: str
    fill: str
    figure: str = ""


@dataclass(frozen=True, eq=False, slots=True)
class LineWork:
    """Lines drawn with one pen: (n, 2) points in mm each, a closed one running on to its first point.

    ``width`` is the pen's in mm, ``stroke`` its paint as it was written.
    """

    lines: tuple[Points, ...]
    closed: tuple[bool, ...]
    width: float
    stroke: str


Element: TypeAlias = Part | LineWork


@dataclass(frozen=True, eq=False, slots=True)
class Motif:
    """One drawn figure: its page (mm), what it draws, later on top, and what was left out and why."""

    name: str
    width: float
    height: float
    elements: tuple[Element, ...]
    left_out: tuple[str, ...]

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts, in stacking order."""
        return tuple(element for element in self.elements if isinstance(element, Part))

    @property
    def groups(self) -> tuple[str, ...]:
        """Labels of the groups, in the order in which they are first drawn."""
        return _first_seen(part.group for part in self.parts)

    @property
    def box(self) -> Box:
        """Smallest upright box (x0, y0, x1, y1), mm, around the parts; around the lines if there is none."""
        parts = self.parts
        if parts:
            return box_of(part.shape for part in parts)
        return box_of(strokes(e.lines, e.closed) for e in self.elements if isinstance(e, LineWork))


def _first_seen(names: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))
