"""What ``check`` tells of side palettes, apart from the shares: how many shapes, in which inks, beside what."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from mockup.colour.difference import differences
from mockup.colouring.sides import beside
from mockup.jobs.planned import Spreading


@dataclass(frozen=True, slots=True)
class SideFigures:
    """Figures of one side palette.

    ``count`` shapes in all, ``shapes`` of each of its inks (name, how many are based on it); ``contrast`` is the
    smallest CIEDE2000 to a shape that faces one, ``nearest`` the ink of that shape; None and empty where none does.
    """

    name: str
    one: bool
    count: int
    shapes: tuple[tuple[str, int], ...]
    contrast: float | None
    nearest: str


def side_figures(spreading: Spreading) -> tuple[SideFigures, ...]:
    """Count and measure the shapes of each side palette."""
    piece, skin = spreading.piece, spreading.skin
    palette = piece.palette
    if not palette.side:
        return ()
    every = palette.every
    apart = differences([piece.shown(ink) for ink in every])
    row, side, _ = beside(spreading.whole, spreading.problem.count)
    one, other = spreading.inks[row], skin[side]
    kinds = np.array(palette.sides)
    found = []
    for own in palette.side:
        numbers = np.flatnonzero(kinds == own.name).tolist()
        count = tuple((every[number].name, int((skin == number).sum())) for number in numbers)
        meets = kinds[other] == own.name
        gaps = apart[one[meets], other[meets]]
        least = int(gaps.argmin()) if len(gaps) else -1
        found.append(
            SideFigures(
                own.name,
                own.one,
                sum(shapes for _, shapes in count),
                count,
                float(gaps[least]) if len(gaps) else None,
                every[int(one[meets][least])].name if len(gaps) else "",
            )
        )
    return tuple(found)


def side_lines(spreading: Spreading) -> list[str]:
    """Say it in plain words, a heading of ten signs before the first line of each side."""
    lines = []
    for own in side_figures(spreading):
        shapes = "1 shape" if own.count == 1 else f"{own.count} shapes"
        told = ", ".join(f"{name} {count}" for name, count in own.shapes if count)
        lines.append(f"{own.name:<9} {shapes}, apart from the shares: {told}")
        idle = [name for name, count in own.shapes if not count]
        if idle and not own.one:
            lines.append(f"{'':<9} {', '.join(idle)} on none: there are too few figures, or too few are free")
        if own.contrast is not None:
            lines.append(
                f"{'':<9} weakest beside {own.nearest}, {own.contrast:.0f} between the two (CIEDE2000)"
            )
    unsided = spreading.piece.unsided
    return lines + [
        f"{name:<9} takes the palette's inks: no [[palette.side]] has that name" for name in unsided
    ]


def side_data(spreading: Spreading) -> list[dict[str, Any]]:
    """Give it as plain data for JSON."""
    return [
        {
            "name": own.name,
            "per": "piece" if own.one else "figure",
            "shapes": own.count,
            "inks": [{"name": name, "shapes": count} for name, count in own.shapes],
            "contrast_low": None if own.contrast is None else round(own.contrast, 2),
            "nearest": own.nearest or None,
        }
        for own in side_figures(spreading)
    ]
