"""SVG path data: a strict door, then svg.path, then records of our own.

The door reads the grammar to the letter, keeps what stands before the first fault and hands it on in one
plain spelling: every command with its own letter, every number as a float, radii without a sign. What the
commands mean (relative coordinates, shorthands, reflections, where a closed subpath goes on, an arc's centre
and corrected radii) is svg.path's work.

References
----------
SVG 2, chapter 9: 9.3.9 (grammar), 9.5.4 (error handling); implementation notes B.2 (arcs).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, NamedTuple, TypeAlias

from svg.path import Arc as ArcSegment
from svg.path import Close, CubicBezier, Move, QuadraticBezier, parse_path
from svg.path import Line as LineSegment

from mockup.errors import DrawingError

Point: TypeAlias = tuple[float, float]

MOST_COMMANDS: Final = 100_000
LARGEST: Final = 1e6
"""Every coordinate is smaller than this."""

_SMALLEST: Final = 1e-12
_NUMBER: Final = r"([+-]?(?>[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?>[eE][+-]?[0-9]+)?)"
_TOKEN: Final = {"n": _NUMBER, "f": r"([01])"}
_SPACE: Final = r"[ \t\n\f\r]*+"
_COMMA: Final = rf"{_SPACE},?{_SPACE}"
_KINDS: Final = {
    **{"M": "nn", "L": "nn", "H": "n", "V": "n", "T": "nn"},
    **{"C": "nnnnnn", "S": "nnnn", "Q": "nnnn", "A": "nnnffnn", "Z": ""},
}
_ARGUMENTS: Final = {key: _COMMA.join(_TOKEN[kind] for kind in kinds) for key, kinds in _KINDS.items()}
_FIRST: Final = {key: re.compile(_SPACE + arguments) for key, arguments in _ARGUMENTS.items()}
_FURTHER: Final = {key: re.compile(_COMMA + arguments) for key, arguments in _ARGUMENTS.items()}
_GAP: Final = re.compile(_SPACE)
_ONE: Final = {kind: re.compile(_COMMA + token) for kind, token in _TOKEN.items()}


class Line(NamedTuple):
    """A straight line to ``end``."""

    end: Point


class Quadratic(NamedTuple):
    """A quadratic Bezier curve to ``end``."""

    control: Point
    end: Point


class Cubic(NamedTuple):
    """A cubic Bezier curve to ``end``."""

    first: Point
    second: Point
    end: Point


class Arc(NamedTuple):
    """An arc of an ellipse to ``end``, angles in degrees.

    ``radii`` are as written, without sign. The rest follows from them (implementation notes B.2.4 and B.2.5):
    the ellipse of ``axes`` about ``middle``, its first axis turned by ``turn``, runs through the start at the
    angle ``begin`` of its own parameter and through the end ``span`` further on.
    """

    radii: Point
    turn: float
    large: bool
    sweep: bool
    end: Point
    middle: Point
    axes: Point
    begin: float
    span: float


Segment: TypeAlias = Line | Quadratic | Cubic | Arc


@dataclass(frozen=True, slots=True)
class Subpath:
    """One run of the pen in absolute coordinates; where it is not ``closed``, filling closes it."""

    start: Point
    segments: tuple[Segment, ...]
    closed: bool


@dataclass(frozen=True, slots=True)
class Path:
    """What path data draws up to its first fault; ``fault`` is empty or says what is wrong and where."""

    subpaths: tuple[Subpath, ...]
    fault: str


def read_path(d: str) -> Path:
    """Read path data as the specification says, error handling included.

    Parameters
    ----------
    d : str
        The ``d`` attribute.

    Raises
    ------
    DrawingError
        More than ``MOST_COMMANDS`` commands, or a coordinate that is not below ``LARGEST``.
    """
    commands: list[str] = []
    fault = ""
    for command, wrong in _commands(d):
        if wrong:
            fault = wrong
        else:
            commands.append(command)
            if len(commands) > MOST_COMMANDS:
                raise DrawingError(f"a path has more than {MOST_COMMANDS} commands")
    return Path(tuple(_subpaths(" ".join(commands))), fault)


def _commands(d: str) -> Iterator[tuple[str, str]]:
    """Give each command in the plain spelling, and at a fault, as the last thing, what is wrong."""
    at = _skip(d, 0)
    if at < len(d) and d[at] not in "Mm":
        yield "", f"path data begins with {d[at]!r} at character {at + 1} where a moveto (M) is due"
        return
    while at < len(d):
        letter = d[at]
        key = letter.upper()
        if key not in _KINDS or not letter.isascii():
            yield "", f"path data has {letter!r} at character {at + 1} where a command is due"
            return
        found = _FIRST[key].match(d, at + 1)
        if not found:
            yield "", _misfit(d, at + 1, letter)
            return
        while found:
            yield _plain(letter, found.groups()), ""
            at = found.end()
            letter = {"M": "L", "m": "l"}.get(letter, letter)
            found = _FURTHER[letter.upper()].match(d, at) if _KINDS[key] else None
        at = _skip(d, at)
        if at < len(d) and not d[at].isalpha():
            yield "", _misfit(d, at, letter)
            return


def _skip(d: str, at: int) -> int:
    gap = _GAP.match(d, at)
    return gap.end() if gap else at


def _misfit(d: str, at: int, letter: str) -> str:
    """Say where the arguments of a command go wrong."""
    for kind in _KINDS[letter.upper()]:
        found = _ONE[kind].match(d, at)
        if not found:
            at = _skip(d, at)
            due = "number" if kind == "n" else "flag (0 or 1)"
            what = repr(d[at]) if at < len(d) else "the end"
            return f"path data has {what} at character {at + 1} where a {due} of {letter!r} is due"
        at = found.end()
    return f"path data has {d[_skip(d, at)]!r} at character {_skip(d, at) + 1} where a command is due"


def _plain(letter: str, words: tuple[str, ...]) -> str:
    """Write a command so that every reader agrees on it."""
    numbers = [float(word) for word in words]
    for word, number in zip(words, numbers, strict=True):
        if not abs(number) < LARGEST:
            raise DrawingError(f"a path has the coordinate {word[:20]}, which is too large")
    numbers = [number if number > _SMALLEST or number < -_SMALLEST else 0.0 for number in numbers]
    if letter in "Aa":
        numbers[:2] = map(abs, numbers[:2])
        numbers[3:5] = map(int, numbers[3:5])
    return letter + " ".join(map(repr, numbers))


def _subpaths(text: str) -> Iterator[Subpath]:
    """Turn what svg.path reads into subpaths; a command after a closed one goes on at its start."""
    start: Point | None = None
    at: Point = (0.0, 0.0)
    segments: list[Segment] = []
    for step in parse_path(text):
        end = _point(step.end)
        if isinstance(step, Move):
            if start is not None:
                yield Subpath(start, tuple(segments), closed=False)
            start, segments = end, []
        else:
            start = at if start is None else start
            if isinstance(step, Close):
                yield Subpath(start, tuple(segments), closed=True)
                start, segments = None, []
            else:
                segments += _segment(step)
        at = end
    if start is not None:
        yield Subpath(start, tuple(segments), closed=False)


def _segment(step: object) -> list[Segment]:
    """Give our own segment: none for an arc that ends where it began, a line for one without a radius."""
    match step:
        case LineSegment():
            return [Line(_point(step.end))]
        case QuadraticBezier():
            return [Quadratic(_point(step.control), _point(step.end))]
        case CubicBezier():
            return [Cubic(_point(step.control1), _point(step.control2), _point(step.end))]
        case ArcSegment():
            if step.start == step.end:
                return []
            if not (step.radius.real and step.radius.imag):
                return [Line(_point(step.end))]
            radii, grown = (step.radius.real, step.radius.imag), step.radius_scale
            return [
                Arc(
                    radii,
                    step.rotation,
                    step.arc,
                    step.sweep,
                    _point(step.end),
                    (step.center.real, step.center.imag),
                    (radii[0] * grown, radii[1] * grown),
                    step.theta,
                    step.delta,
                )
            ]
    raise AssertionError(step)


def _point(number: complex) -> Point:
    if not (abs(number.real) < LARGEST and abs(number.imag) < LARGEST):
        raise DrawingError("a path runs to coordinates that are too large")
    return number.real, number.imag
