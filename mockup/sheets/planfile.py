"""Reading a plan file: GeoJSON as ``plan`` writes it, or as any other program or hand does.

What counts is in the features: Polygon or MultiPolygon in mm, y down, and the ink. ``node`` puts several features
together, ``label`` names them; the head under "mockup" may be short or missing.

References
----------
RFC 7946, The GeoJSON Format (2016), sections 3.1.6 (Polygon: closed rings of four positions at least) and 3.3.
"""

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, NoReturn

import numpy as np

from mockup.errors import FileError
from mockup.geometry import shapes
from mockup.geometry.affine import Points
from mockup.geometry.shapes import Shape
from mockup.sheets.planhead import FoundHead, WrongHeadError, read_head

LARGEST: Final = 256 * 2**20
"""Bytes of the largest file that is read."""

_FARTHEST: Final = 1e5
_LONGEST: Final = 300
_BOUNDARY: Final = 1e-3


@dataclass(frozen=True, eq=False, slots=True)
class FoundNode:
    """One node of a plan file: its label and side palette (empty where it has none), its ink, what is seen (mm)."""

    label: str
    side: str
    ink: str
    seen: Shape
    feature: int
    """Number of its first feature, from 0."""

    @property
    def name(self) -> str:
        """What messages call it."""
        return self.label or f"the shape of feature {self.feature}"


@dataclass(frozen=True, eq=False, slots=True)
class FoundPlan:
    """A plan as it was read: the file's name, its head, its nodes in the order in which they first come."""

    name: str
    head: FoundHead
    nodes: tuple[FoundNode, ...]


@dataclass(slots=True)
class _Gathered:
    """Features of one node so far."""

    label: str
    side: str
    ink: str
    feature: int
    pieces: list[Shape] = field(default_factory=list)


def read_plan(path: Path, name: str = "") -> FoundPlan:
    """Read a plan file; ``name`` is what messages call it, where that is not its path.

    Raises
    ------
    FileError
        The file is missing or cannot be read, or something in it is no plan: which feature, and what.
    """
    name = name or str(path)
    try:
        if path.stat().st_size > LARGEST:
            raise FileError(
                "is larger than any plan", where=name, remedy="name a file that `mockup plan` wrote"
            )
        content = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise FileError(f"cannot be read: {reason}", where=name, remedy="check the name") from None
    return parse_plan(content, name)


def parse_plan(content: bytes, name: str) -> FoundPlan:
    """Read the bytes of a plan file; ``name`` is what messages call it.

    Raises
    ------
    FileError
        As for ``read_plan``.
    """
    top = _json(content, name)
    if not isinstance(top, dict) or top.get("type") != "FeatureCollection":
        _refuse(name, "is no plan: it is not a FeatureCollection")
    features = top.get("features")
    if not isinstance(features, list) or not features:
        _refuse(name, "has no features")
    try:
        head = read_head(top.get("mockup", {}))
    except WrongHeadError as fault:
        _refuse(f"{name}, head", str(fault))
    gathered: dict[object, _Gathered] = {}
    for number, feature in enumerate(features):
        _gather(feature, number, gathered, f"{name}, feature {number}", head)
    nodes = tuple(_node(own, name) for own in gathered.values())
    _refuse_twins(nodes, name)
    return FoundPlan(name, head, nodes)


def _refuse(where: str, what: str, remedy: str = "write it as `mockup plan` does") -> NoReturn:
    raise FileError(what, where=where, remedy=remedy)


def _json(content: bytes, name: str) -> object:
    try:
        return json.loads(content.decode("utf-8-sig"), parse_constant=_no_number)
    except UnicodeDecodeError:
        _refuse(name, "is no plan: it is not written in UTF-8")
    except json.JSONDecodeError as fault:
        _refuse(name, f"is no plan: not JSON at line {fault.lineno}, column {fault.colno}")
    except RecursionError:
        _refuse(name, "is no plan: its lists lie too deep in each other")
    except ValueError:
        _refuse(name, "is no plan: it holds a number that is none")


def _no_number(text: str) -> NoReturn:
    raise ValueError(text)


def _gather(
    feature: object, number: int, gathered: dict[object, _Gathered], where: str, head: FoundHead
) -> None:
    """Read one feature and put it to its node: by ``node``, else by label, else it is a node of its own."""
    if not isinstance(feature, dict) or feature.get("type") != "Feature":
        _refuse(where, "is not a Feature")
    own = feature.get("properties")
    if not isinstance(own, dict):
        _refuse(where, "has no properties")
    node, label, side = _number(own, where), _text(own, "label", where), _text(own, "side", where)
    ink = _text(own, "ink", where)
    if not ink:
        _refuse(where, "names no ink", 'write "ink" with an ink\'s name')
    if not side and head.inks and ink not in head.inks:
        _refuse(
            where, f"takes {ink!r}, which is not among the plan's inks", "name one of the inks in its head"
        )
    key: object = node if node is not None else label if label else (number,)
    known = gathered.setdefault(key, _Gathered(label, side, ink, number))
    if known.ink != ink or known.side != side:
        _refuse(
            where,
            f"takes {ink!r}, the same shape's feature {known.feature} takes {known.ink!r}",
            "give both one ink",
        )
    if known.label != label:
        _refuse(where, f"is named {label!r}, the same shape's feature {known.feature} {known.label!r}")
    known.pieces += _shapes(feature.get("geometry"), where)


def _number(own: dict[str, Any], where: str) -> int | None:
    node = own.get("node")
    if node is not None and (type(node) is not int or node < 0):
        _refuse(where, "has a node that is no whole number from 0")
    return node


def _text(own: dict[str, Any], key: str, where: str) -> str:
    """Read a text that may be missing; the first tile may be written out in a label, and is left out here."""
    value = own.get(key)
    if value is None:
        return ""
    if not isinstance(value, str) or not value.isprintable() or len(value) > _LONGEST:
        _refuse(where, f"gives its {key} as no line of text")
    return value.strip().replace("@1,1/", "/") if key == "label" else value.strip()


def _shapes(geometry: object, where: str) -> list[Shape]:
    """Read a Polygon or a MultiPolygon."""
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    told = geometry.get("coordinates") if isinstance(geometry, dict) else None
    if kind != "Polygon" and kind != "MultiPolygon":  # noqa: PLR1714  it may be a list, which no set can look up
        _refuse(where, "is neither a Polygon nor a MultiPolygon")
    polygons = [told] if kind == "Polygon" else told
    if not isinstance(polygons, list) or not polygons:
        _refuse(where, "has no coordinates")
    return [_polygon(one, where) for one in polygons]


def _polygon(told: object, where: str) -> Shape:
    if not isinstance(told, list) or not told:
        _refuse(where, "has no coordinates")
    outer, *holes = (_ring(ring, where) for ring in told)
    drawn = shapes.polygon(outer, holes)
    area, sound = shapes.area(drawn), shapes.snapped(drawn)
    if area <= 0 or sound.is_empty:
        _refuse(where, "has no area")
    if abs(shapes.area(sound) - area) > _BOUNDARY * (1 + area):
        _refuse(where, "has an outline that crosses itself")
    return sound


def _ring(told: object, where: str) -> Points:
    """Read a closed ring; give it without its last point, (n, 2) mm."""
    if not isinstance(told, list) or len(told) < 4:
        _refuse(where, "has a ring of fewer than four points")
    points = list(_points(told, where))
    if points[0] != points[-1]:
        _refuse(where, "has a ring that does not end where it begins")
    return np.array(points[:-1], dtype=float)


def _points(told: Sequence[object], where: str) -> Iterator[tuple[float, float]]:
    for point in told:
        if not isinstance(point, list) or len(point) < 2 or not all(type(n) in {int, float} for n in point):
            _refuse(where, "has a point that is not two numbers")
        x, y = float(min(max(point[0], -1e9), 1e9)), float(min(max(point[1], -1e9), 1e9))
        if not (math.isfinite(x) and math.isfinite(y)) or max(abs(x), abs(y)) > _FARTHEST:
            _refuse(where, "has a point that lies beyond any sheet")
        yield x, y


def _node(own: _Gathered, name: str) -> FoundNode:
    if len(own.pieces) == 1:
        return FoundNode(own.label, own.side, own.ink, own.pieces[0], own.feature)
    seen, whole = shapes.union(own.pieces), sum(map(shapes.area, own.pieces))
    if whole - shapes.area(seen) > _BOUNDARY * (1 + whole):
        _refuse(f"{name}, feature {own.feature}", "and others of its node lie on each other")
    return FoundNode(own.label, own.side, own.ink, seen, own.feature)


def _refuse_twins(nodes: Sequence[FoundNode], name: str) -> None:
    """Refuse two nodes of one label."""
    first: dict[str, FoundNode] = {}
    for node in nodes:
        known = first.setdefault(node.label, node)
        if node.label and known is not node:
            what = f"is named {node.label!r}, and so is feature {known.feature}, of another node"
            _refuse(f"{name}, feature {node.feature}", what)
