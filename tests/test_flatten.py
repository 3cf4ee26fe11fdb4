"""Flattening: chords within the tolerance of the true curve, exact ends, nothing wasted or repeated."""

import csv
import math
from collections.abc import Callable
from pathlib import Path as File

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.errors import DrawingError
from mockup.geometry.affine import IDENTITY, Affine, Points, rotation, scaling
from mockup.geometry.flatten import flatten, flatten_cubics
from mockup.geometry.path import Cubic, Subpath, read_path

PUBLISHED = File(__file__).parent / "data" / "published"

number = st.floats(-50, 50).map(lambda x: round(x, 3))
point = st.tuples(number, number)
maps = st.builds(Affine, *[st.floats(-3, 3)] * 4, number, number)
tolerances = st.sampled_from([0.5, 0.02, 0.001])


def only(d: str) -> Subpath:
    (subpath,) = read_path(d).subpaths
    return subpath


def distances(points: Points, line: Points) -> Points:
    """Distance of each point to a polyline, (n,)."""
    start, along = line[:-1], np.diff(line, axis=0)
    square = np.maximum((along**2).sum(axis=1), 1e-300)
    offset = points[:, None] - start[None]
    share = ((offset * along).sum(axis=2) / square).clip(0, 1)
    return np.asarray(np.linalg.norm(offset - share[..., None] * along, axis=2).min(axis=1))


def check(d: str, transform: Affine, tolerance: float, curve: Callable[[Points], Points]) -> None:
    """Compare with many points of the true curve, both ways."""
    line = flatten(only(d), transform, tolerance)
    true = transform.apply(curve(np.linspace(0, 1, 1001)[:, None]))
    line = line if len(line) > 1 else np.vstack((line, line))
    assert distances(true, line).max() <= tolerance + 1e-9
    assert distances(line, true).max() <= tolerance + 1e-9
    assert line[0] == pytest.approx(true[0], abs=1e-9)
    assert line[-1] == pytest.approx(true[-1], abs=1e-6)


@settings(deadline=None)
@given(point, point, point, point, maps, tolerances)
def test_cubic_stays_within_tolerance(
    a: Points, b: Points, c: Points, e: Points, to: Affine, tol: float
) -> None:
    p, q, r, s = map(np.array, (a, b, c, e))
    text = f"M{a[0]} {a[1]}C{b[0]} {b[1]} {c[0]} {c[1]} {e[0]} {e[1]}"

    def curve(t: Points) -> Points:
        return np.asarray((1 - t) ** 3 * p + 3 * (1 - t) ** 2 * t * q + 3 * (1 - t) * t**2 * r + t**3 * s)

    check(text, to, tol, curve)


@settings(deadline=None)
@given(st.lists(st.tuples(point, point, point, point), min_size=1, max_size=6), tolerances)
def test_many_cubics_are_cut_as_each_alone(curves: list[tuple[Points, ...]], tolerance: float) -> None:
    points, many = flatten_cubics(np.array(curves), tolerance)
    assert many.sum() == len(points)
    for piece, (a, b, c, d) in zip(np.split(points, np.cumsum(many)[:-1]), curves, strict=True):
        alone = flatten(
            Subpath((a[0], a[1]), (Cubic((b[0], b[1]), (c[0], c[1]), (d[0], d[1])),), closed=False),
            IDENTITY,
            tolerance,
        )
        again = np.concatenate(([a], piece))
        fresh = np.append(True, (again[1:] != again[:-1]).any(axis=1))
        assert np.allclose(again[fresh], alone, atol=1e-9)


@given(point, point, point, maps, tolerances)
def test_quadratic_stays_within_tolerance(a: Points, b: Points, c: Points, to: Affine, tol: float) -> None:
    p, q, r = map(np.array, (a, b, c))
    text = f"M{a[0]} {a[1]}Q{b[0]} {b[1]} {c[0]} {c[1]}"
    check(text, to, tol, lambda t: np.asarray((1 - t) ** 2 * p + 2 * (1 - t) * t * q + t**2 * r))


def arc_rows() -> list[dict[str, str]]:
    with (PUBLISHED / "svg_arcs.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.mark.parametrize("row", arc_rows(), ids=lambda row: f"{row['rx']},{row['ry']},{row['phi']}")
@pytest.mark.parametrize("transform", [IDENTITY, rotation(33), Affine(2, 0.3, -1, 0.5, 4, 5)])
def test_published_arc_stays_within_tolerance(row: dict[str, str], transform: Affine) -> None:
    words = [row[key] for key in ("rx", "ry", "phi", "large", "sweep", "x2", "y2")]
    middle = np.array([float(row["cx"]), float(row["cy"])])
    turn = rotation(float(row["phi"]))

    def curve(t: Points) -> Points:
        angle = np.radians(float(row["theta1"]) + float(row["dtheta"]) * t)
        flat = np.hstack((float(row["rx_used"]) * np.cos(angle), float(row["ry_used"]) * np.sin(angle)))
        return np.asarray(turn.apply(flat) + middle)

    check(f"M{row['x1']} {row['y1']}A{' '.join(words)}", transform, 0.01, curve)


@pytest.mark.parametrize("row", arc_rows(), ids=lambda row: f"{row['rx']},{row['ry']},{row['phi']}")
def test_published_arc_length_and_box(row: dict[str, str]) -> None:
    words = [row[key] for key in ("rx", "ry", "phi", "large", "sweep", "x2", "y2")]
    line = flatten(only(f"M{row['x1']} {row['y1']}A{' '.join(words)}"), IDENTITY, 1e-6)
    length = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
    assert length == pytest.approx(float(row["length"]), rel=1e-5)
    box = [float(row[key]) for key in ("min_x", "min_y", "max_x", "max_y")]
    assert [*line.min(axis=0), *line.max(axis=0)] == pytest.approx(box, abs=5e-6)


@settings(deadline=None)
@given(st.floats(0.1, 500), tolerances)
def test_circle_takes_no_more_points_than_it_needs(radius: float, tolerance: float) -> None:
    line = flatten(only(f"M{radius} 0A{radius} {radius} 0 0 1 {-radius} 0"), IDENTITY, tolerance)
    steps = len(line) - 1
    assert np.linalg.norm(line, axis=1) == pytest.approx(radius, rel=1e-9)
    if steps > 5:
        coarser = radius * (1 - math.cos(math.pi / (steps - 1) / 2))
        assert coarser > tolerance


def test_finer_where_the_transform_enlarges() -> None:
    small, large = (len(flatten(only("M0 0C0 9 9 9 9 0"), scaling(s), 0.02)) - 1 for s in (1, 100))
    assert 9 * small < large < 11 * small


def test_lines_keep_their_corners_and_nothing_is_repeated() -> None:
    line = flatten(only("M1 1H5h0V5L5 5Q5 5 5 5L1 1z"), IDENTITY, 0.02)
    assert line.tolist() == [[1, 1], [5, 1], [5, 5]]


def test_open_line_that_returns_keeps_its_end() -> None:
    assert flatten(only("M0 0H5V5L0 0"), IDENTITY, 0.02).tolist() == [[0, 0], [5, 0], [5, 5], [0, 0]]


def test_moveto_alone_is_one_point() -> None:
    assert flatten(only("M3 4"), scaling(2), 0.02).tolist() == [[6, 8]]


def test_two_runs_give_the_same() -> None:
    subpath = only("M0 0C1 5 9 5 9 0A3 4 20 1 0 2 2Q7 7 8 1z")
    assert (flatten(subpath, rotation(10), 0.01) == flatten(subpath, rotation(10), 0.01)).all()


def test_too_many_points_are_refused() -> None:
    huge = "M0 0" + "C900000 900000 -900000 900000 0 0" * 300
    with pytest.raises(DrawingError, match="a path is so large that it would take more than 2000000 points"):
        flatten(only(huge), IDENTITY, 0.02)
