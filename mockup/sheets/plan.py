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
class PlanHead:
    """Head of a plan: the cell (mm), whether it wraps, the reach (mm), the ground, the inks, the mark."""

    cell: tuple[float, float]
    wraps: bool
    reach: float
    ground: str
    inks: tuple[PlanInk, ...]
    made_for: str


@dataclass(frozen=True, eq=False, slots=True)
class PlanNode:
    """One node with the ink it takes; ``seen`` in mm from the cell's top left."""

    label: str
    motif: str
    part: str
    ink: str
    pinned: bool
    seen: Shape


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
        "made": head.made_for,
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
                },
            }
            number += 1


def _ring(ring: "np.ndarray[Any, np.dtype[np.float64]]") -> list[list[float]]:
    points = np.round(ring, 4) + 0.0
    return [*points.tolist(), points[0].tolist()]
