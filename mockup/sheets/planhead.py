"""The head of a plan file as it is read: whatever it says is checked, whatever it does not say stays open."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, NoReturn

_LONGEST: Final = 300
_MOST: Final = 1e5
_TILES: Final = 10_000


class WrongHeadError(Exception):
    """The head says something that cannot be read."""


@dataclass(frozen=True, slots=True)
class FoundHead:
    """What the head of a plan says; None and empty where it says nothing.

    ``version`` is told, not judged: a plan of another version is followed where it fits. ``cell`` and ``tile`` are
    width and height in mm; ``colour_repeat`` tiles across and down, (0, 0) for a single sheet; ``drop`` is written
    as a fraction.
    """

    version: int = 1
    cell: tuple[float, float] | None = None
    wraps: bool | None = None
    ground: str = ""
    inks: tuple[str, ...] = ()
    repeat: str = ""
    tile: tuple[float, float] | None = None
    drop: str = ""
    colour_repeat: tuple[int, int] | None = None


def read_head(told: object) -> FoundHead:
    """Read the head.

    Raises
    ------
    WrongHeadError
        Says what is wrong.
    """
    if not isinstance(told, dict):
        _wrong('"mockup" is no object')
    version = told.get("version", 1)
    if type(version) is not int or version < 1:
        _wrong('"version" is no whole number')
    if told.get("unit", "mm") != "mm":
        _wrong('"unit" is not "mm"')
    wraps = told.get("wraps")
    if wraps is not None and not isinstance(wraps, bool):
        _wrong('"wraps" is neither true nor false')
    return FoundHead(
        version=version,
        cell=_sides(told, "cell"),
        wraps=wraps,
        ground=_text(told, "ground"),
        inks=_inks(told.get("inks", [])),
        repeat=_text(told, "repeat"),
        tile=_sides(told, "tile"),
        drop=_text(told, "drop"),
        colour_repeat=_colour_repeat(told.get("colour_repeat")),
    )


def _wrong(what: str) -> NoReturn:
    raise WrongHeadError(what)


def _text(told: Mapping[str, object], key: str) -> str:
    value = told.get(key, "")
    if not isinstance(value, str) or not value.isprintable() or len(value) > _LONGEST:
        _wrong(f'"{key}" is no line of text')
    return value


def _sides(told: Mapping[str, object], key: str) -> tuple[float, float] | None:
    """Read width and height, mm."""
    value = told.get(key)
    if value is None:
        return None
    if not isinstance(value, list) or len(value) != 2:
        _wrong(f'"{key}" is not width and height')
    for side in value:
        if type(side) not in {int, float} or not 0 < side <= _MOST or not math.isfinite(side):
            _wrong(f'"{key}" is not width and height in mm')
    return float(value[0]), float(value[1])


def _inks(told: object) -> tuple[str, ...]:
    if not isinstance(told, list):
        _wrong('"inks" is no list')
    names = []
    for number, ink in enumerate(told, 1):
        name = ink.get("name") if isinstance(ink, dict) else None
        if not isinstance(name, str) or not name or len(name) > _LONGEST:
            _wrong(f"ink {number} has no name")
        if name in names:
            _wrong(f"two inks are named {name!r}")
        names.append(name)
    return tuple(names)


def _colour_repeat(told: object) -> tuple[int, int] | None:
    if told is None:
        return None
    if told == "none":
        return 0, 0
    if (
        not isinstance(told, list)
        or len(told) != 2
        or not all(type(count) is int and 0 < count <= _TILES for count in told)
    ):
        _wrong('"colour_repeat" is neither "none" nor tiles [across, down]')
    return told[0], told[1]
