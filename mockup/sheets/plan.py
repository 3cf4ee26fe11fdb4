"""The plan file: GeoJSON with every visible region of one rectangle over which everything repeats.

References
----------
RFC 7946, The GeoJSON Format (2016): FeatureCollection, Polygon; coordinates here are mm on the sheet, y down.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from mockup.geometry import shapes
from mockup.geometry.shapes import Shape

VERSION = 1


@dataclass(frozen=True, slots=True)
class PlanInk:
    """An ink in the head of the plan: name, colour as "#rrggbb", role, target share."""

    name: str
    srgb: str
    role: str
    target_share: float


@dataclass(frozen=True, slots=True)
class PlanSide:
    """A side palette in the head of the plan: its name, and name and colour ("#rrggbb") of each ink."""

    name: str
    inks: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class PlanHead:
    """Head of a plan.

    ``cell`` (mm), whether it ``wraps``, the ``reach`` (mm), the ``ground``, the ``inks``, the mark; how the tile
    steps: name of the ``repeat``, ``tile`` (mm), ``drop`` as a fraction; and the ``colour_repeat`` in tiles (across,
    down), None on a single sheet; and the ``side`` palettes.
    """

    cell: tuple[float, float]
    wraps: bool
    reach: float
    ground: str
    inks: tuple[PlanInk, ...]
    made_for: str
    repeat: str = ""
    tile: tuple[float, float] | None = None
    drop: str = "0"
    colour_repeat: tuple[int, int] | None = None
    side: tuple[PlanSide, ...] = ()


@dataclass(frozen=True, eq=False, slots=True)
class PlanNode:
    """One node with the ink it takes; ``seen`` in mm from the cell's top left, ``side`` its side palette or empty."""

    label: str
    motif: str
    part: str
    ink: str
    pinned: bool
    seen: Shape
    side: str = ""


def plan_file(head: PlanHead, nodes: Sequence[PlanNode]) -> bytes:
    """Write a plan as GeoJSON, one feature a region, in UTF-8."""
    lines = [json.dumps(feature, ensure_ascii=False, separators=(",", ":")) for feature in _features(nodes)]
    top = json.dumps(_head(head), ensure_ascii=False)
    body = ",\n".join(lines)
    return f'{{"type": "FeatureCollection",\n"mockup": {top},\n"features": [\n{body}\n]}}\n'.encode()


def _head(head: PlanHead) -> dict[str, Any]:
    return {
        "version": VERSION,
        "unit": "mm",
        "cell": [round(side, 6) for side in head.cell],
        "wraps": head.wraps,
        "reach_mm": round(head.reach, 4),
        "ground": head.ground,
        "inks": [
            {"name": ink.name, "srgb": ink.srgb, "role": ink.role, "target_share": round(ink.target_share, 6)}
            for ink in head.inks
        ],
        **_sides(head),
        **_steps(head),
        "made": head.made_for,
    }


def _sides(head: PlanHead) -> dict[str, Any]:
    """Inks that stand apart from the palette."""
    if not head.side:
        return {}
    return {
        "side": [
            {"name": own.name, "inks": [{"name": name, "srgb": colour} for name, colour in own.inks]}
            for own in head.side
        ]
    }


def _steps(head: PlanHead) -> dict[str, Any]:
    """How the tile steps, so that a design can be told from another before its shapes are looked at."""
    if head.tile is None:
        return {}
    return {
        "repeat": head.repeat,
        "tile": [round(side, 6) for side in head.tile],
        "drop": head.drop,
        "colour_repeat": list(head.colour_repeat) if head.colour_repeat else "none",
    }


def _features(nodes: Sequence[PlanNode]) -> Iterable[dict[str, Any]]:
    number = 0
    for index, node in enumerate(nodes):
        for region in shapes.pieces(node.seen):
            yield {
                "type": "Feature",
                "id": number,
                "geometry": {
                    "type": "Polygon",
                    "coordinates": [_ring(ring) for ring in shapes.rings(region)],
                },
                "properties": {
                    "node": index,
                    "label": node.label,
                    "motif": node.motif,
                    "part": node.part,
                    "ink": node.ink,
                    "pinned": node.pinned,
                    **({"side": node.side} if node.side else {}),
                },
            }
            number += 1


def _ring(ring: "np.ndarray[Any, np.dtype[np.float64]]") -> list[list[float]]:
    points = np.round(ring, 4) + 0.0
    return [*points.tolist(), points[0].tolist()]
