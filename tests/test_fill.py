"""Filling: published areas, both rules against another count of turns, areas that follow the transform."""

import csv
import math
from pathlib import Path as File

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from mockup.errors import DrawingError
from mockup.geometry.affine import Affine, Points, rotation, scaling, translation
from mockup.geometry.fill import SLIVER, filled
from mockup.geometry.flatten import flatten
from mockup.geometry.path import read_path
from mockup.geometry.shapes import GRID, area

PUBLISHED = File(__file__).parent / "data" / "published"
SCALE = 50.0


def shape_rows() -> list[dict[str, str]]:
    with (PUBLISHED / "shapes.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def outlines(d: str, scale: float = SCALE, tolerance: float = 0.0002) -> list[Points]:
    return [flatten(subpath, scaling(scale), tolerance) for subpath in read_path(d).subpaths]


@pytest.mark.parametrize("row", shape_rows(), ids=lambda row: f"{row['name']} {row['fill_rule']}")
def test_published_area(row: dict[str, str]) -> None:
    rings = outlines(row["d"])
    if row["fill_rule"] == "signed":
        got = abs(sum(green(ring) for ring in rings))
    else:
        got = area(filled(rings, row["fill_rule"]))
    assert got / SCALE**2 == pytest.approx(float(row["area"]), rel=1e-4)
    if row["perimeter"]:
        lengths = [np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).sum() for ring in rings]
        if row["fill_rule"] == "nonzero" and len(rings) == 1 and not row["name"].startswith("pentagram"):
            assert sum(lengths) / SCALE == pytest.approx(float(row["perimeter"]), rel=1e-4)


def green(ring: Points) -> float:
    """Signed area by Green's theorem."""
    x, y = ring.T
    return float(0.5 * (x * np.roll(y, -1) - y * np.roll(x, -1)).sum())


corner = st.tuples(st.integers(0, 40), st.integers(0, 40))
rings = st.lists(st.lists(corner, min_size=3, max_size=8).map(lambda c: np.array(c, dtype=float)), max_size=4)
rules = st.sampled_from(["nonzero", "evenodd"])


@settings(deadline=None)
@given(rings, rules)
def test_a_point_is_filled_as_its_turns_say(outline: list[Points], rule: str) -> None:
    shape = filled(outline, rule)
    assert shape.is_valid
    x, y = np.meshgrid(np.arange(0.37, 40, 3.1), np.arange(0.41, 40, 3.3))
    points = np.column_stack((x.ravel(), y.ravel()))
    lines = shapely.MultiLineString([np.vstack((ring, ring[:1])) for ring in outline])
    clear = (
        shapely.distance(lines, shapely.points(points)) > 0.05
        if outline
        else np.ones(len(points), dtype=bool)
    )
    turns = sum((turns_about(points, ring) for ring in outline), np.zeros(len(points)))
    wanted = np.abs(np.rint(turns)) > 0 if rule == "nonzero" else np.rint(turns) % 2 == 1
    covered = shapely.contains_xy(shape, *points.T)
    assert (covered[clear] == wanted[clear]).all()


def turns_about(points: Points, ring: Points) -> Points:
    """Winding numbers by summing the angles under which the edges are seen."""
    spoke = ring[None] - points[:, None]
    after = np.roll(spoke, -1, axis=1)
    cross = spoke[..., 0] * after[..., 1] - spoke[..., 1] * after[..., 0]
    dot = (spoke * after).sum(axis=2)
    return np.asarray(np.arctan2(cross, dot).sum(axis=1) / (2 * np.pi))


@settings(deadline=None)
@given(rings, rules, st.floats(-180, 180), st.floats(-90, 90), st.booleans())
def test_area_stays_under_rigid_maps(
    outline: list[Points], rule: str, angle: float, shift: float, flip: bool
) -> None:
    rigid = translation(shift, -shift) @ rotation(angle) @ scaling(-1 if flip else 1, 1)
    length = sum(
        float(np.linalg.norm(np.diff(ring, axis=0, append=ring[:1]), axis=1).sum()) for ring in outline
    )
    moved = area(filled([rigid.apply(ring) for ring in outline], rule))
    assert moved == pytest.approx(area(filled(outline, rule)), abs=4 * GRID * length + 20 * SLIVER)


@settings(deadline=None)
@given(rings, rules, *[st.floats(-2, 2)] * 4)
def test_area_grows_with_the_determinant(
    outline: list[Points], rule: str, a: float, b: float, c: float, d: float
) -> None:
    affine = Affine(a, b, c, d)
    assume(abs(affine.determinant) > 0.2)
    length = sum(
        float(np.linalg.norm(np.diff(ring, axis=0, append=ring[:1]), axis=1).sum()) for ring in outline
    )
    got = area(filled([affine.apply(ring) for ring in outline], rule))
    wanted = area(filled(outline, rule)) * abs(affine.determinant)
    assert got == pytest.approx(wanted, abs=12 * GRID * length + 60 * SLIVER)


@settings(deadline=None)
@given(rings, rules)
def test_direction_and_start_of_all_rings_do_not_matter(outline: list[Points], rule: str) -> None:
    turned = [np.roll(ring[::-1], 2, axis=0) for ring in outline]
    assert area(filled(turned, rule)) == pytest.approx(area(filled(outline, rule)), abs=1e-6)


@settings(deadline=None)
@given(rings)
def test_evenodd_fills_no_more_than_nonzero(outline: list[Points]) -> None:
    even, whole = filled(outline, "evenodd"), filled(outline, "nonzero")
    assert area(shapely.difference(even, whole)) == pytest.approx(0, abs=1e-3)


@settings(deadline=None)
@given(rings, rules)
def test_corners_lie_on_the_grid(outline: list[Points], rule: str) -> None:
    corners = shapely.get_coordinates(filled([ring / 7 for ring in outline], rule)) / GRID
    assert np.abs(corners - np.rint(corners)).max(initial=0) < 1e-6


@pytest.mark.parametrize(
    "ring",
    [
        [],
        [[1, 1]],
        [[1, 1], [2, 2]],
        [[0, 0], [5, 5], [9, 9]],
        [[0, 0], [4, 0], [2, 0], [0, 0]],
        [[1, 1]] * 9,
    ],
)
def test_ring_without_area_gives_nothing(ring: list[list[float]]) -> None:
    assert filled([np.array(ring, dtype=float).reshape(-1, 2)], "nonzero").is_empty


def test_slivers_are_dropped_and_pinholes_closed() -> None:
    square = np.array([[0, 0], [10, 0], [10, 10], [0, 10]], dtype=float)
    crumb = np.array([[20, 0], [20.03, 0], [20.03, 0.03], [20, 0.03]])
    shape = filled([square, crumb, crumb - [15, -5]], "evenodd")
    assert [len(piece.interiors) for piece in shape.geoms] == [0]
    assert area(shape) == pytest.approx(100)


def test_many_nested_rings_alternate() -> None:
    angle = np.linspace(0, 2 * math.pi, 60, endpoint=False)
    circle = np.column_stack((np.cos(angle), np.sin(angle)))
    nested = [circle * radius for radius in range(1, 13)]
    alternate = sum(area(filled([ring], "nonzero")) * (-1) ** (12 - r) for r, ring in enumerate(nested, 1))
    assert area(filled(nested, "evenodd")) == pytest.approx(alternate, rel=1e-4)
    assert area(filled(nested, "nonzero")) == pytest.approx(area(filled(nested[-1:], "nonzero")), rel=1e-6)


def test_tangle_is_refused() -> None:
    tangle = np.random.default_rng(5).uniform(0, 100, (3000, 2))
    with pytest.raises(
        DrawingError, match="the outline of a shape crosses itself too many times to be filled"
    ):
        filled([tangle], "nonzero")
