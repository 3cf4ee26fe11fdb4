"""Where motifs sit in a plane group: sites as far from their images as can be, and units that fill the plane."""

import itertools
import json
import math
from fractions import Fraction
from functools import lru_cache
from typing import Any

import numpy as np
import pytest
from builders import PUBLISHED
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from mockup.geometry.affine import Affine
from mockup.geometry.domains import Domain, domains
from mockup.geometry.lattice import Lattice
from mockup.geometry.planegroups import HEXAGONAL, MIRRORED, POSITIONS, SQUARE, images
from mockup.geometry.shapes import area, box_of, covers_points, moved, polygon

Floats = NDArray[np.float64]

GROUPS: dict[str, dict[str, Any]] = {
    group["hm_short"]: group
    for group in json.loads((PUBLISHED / "plane_groups.json").read_text(encoding="utf-8"))["groups"]
}
SLANTED = [("p1", Fraction(1, 3)), ("p2", Fraction(5, 12)), ("p1", Fraction(11, 12)), ("p2", Fraction(1, 2))]
OBLONG = [(70.0, 50.0), (40.0, 90.0)]


def lattice_for(symbol: str, tile: tuple[float, float], drop: Fraction = Fraction(0)) -> Lattice:
    """What a group tiles, from the sides of its cell."""
    if symbol in HEXAGONAL:
        return Lattice(tile[0], tile[0] * math.sqrt(3))
    if symbol in SQUARE:
        return Lattice(tile[0], tile[0])
    return Lattice(*tile, step=drop)


def multiplicity(symbol: str) -> int:
    """Published multiplicity in what is tiled: a hexagonal rectangle holds two cells."""
    return int(GROUPS[symbol]["multiplicity"]) * (2 if symbol in HEXAGONAL else 1)


@lru_cache(maxsize=256)
def found_in(symbol: str, tile: tuple[float, float], count: int) -> tuple[Domain, ...]:
    return domains(symbol, lattice_for(symbol, tile), count)


def maps_of(symbol: str, lattice: Lattice) -> list[Affine]:
    return [image.map for image in images(symbol, (lattice.width, lattice.height))]


def images_near(symbol: str, lattice: Lattice, site: Floats, spot: Floats) -> Floats:
    """Every image of a site near a spot, but for one on the spot, on an upright lattice, (n, 2) mm."""
    assert not lattice.step
    size = np.array([lattice.width, lattice.height])
    steps = np.array(list(itertools.product(range(-2, 3), repeat=2))) * size
    held = np.concatenate([at.apply(site[None, :]) for at in maps_of(symbol, lattice)])
    held = spot + np.mod(held - spot + size / 2, size) - size / 2
    found = (held[:, None] + steps).reshape(-1, 2)
    return np.asarray(found[np.hypot(*(found - spot).T) > 1e-6])


def clearance(symbol: str, lattice: Lattice, spots: Floats) -> Floats:
    """Distance of points, (n, 2) mm, from the nearest of their own images on an upright lattice, (n,) mm."""
    assert not lattice.step
    size = np.array([lattice.width, lattice.height])
    nearest = np.full(len(spots), size.min())
    for at in maps_of(symbol, lattice)[1:]:
        way = np.mod(at.apply(spots) - spots, size)
        nearest = np.minimum(nearest, np.hypot(*np.minimum(way, size - way).T))
    return nearest


def is_convex(corners: Floats) -> bool:
    """Tell whether an outline turns one way only (straight on within rounding)."""
    way = np.roll(corners, -1, axis=0) - corners
    way = way[np.hypot(*way.T) > 1e-6]
    turn = way[:, 0] * np.roll(way, -1, axis=0)[:, 1] - way[:, 1] * np.roll(way, -1, axis=0)[:, 0]
    return bool((turn > -1e-5).all() or (turn < 1e-5).all())


def held(symbol: str, lattice: Lattice, found: tuple[Domain, ...]) -> None:
    """Units are convex, hold their sites, and all together are the share of the cell that one image has."""
    whole = lattice.width * lattice.height
    sizes = [area(polygon(own.corners)) for own in found]
    assert sum(sizes) * multiplicity(symbol) == pytest.approx(whole, rel=1e-9)
    for own in found:
        assert is_convex(own.corners)
        assert (own.away > 0).all()
        assert np.hypot(*own.normal.T) == pytest.approx(1)
        over = own.corners @ own.normal.T - own.away
        assert over.max() < 1e-6
        # each side is come to
        assert (np.abs(over) < 1e-3).any(axis=0).all()


@pytest.mark.parametrize("symbol", POSITIONS)
@pytest.mark.parametrize(("count", "tile"), [(1, OBLONG[0]), (1, OBLONG[1]), (2, OBLONG[1]), (3, OBLONG[0])])
def test_units_are_convex_and_fill_their_share_of_the_cell(
    symbol: str, count: int, tile: tuple[float, float]
) -> None:
    found = found_in(symbol, tile, count)
    assert len(found) == count
    held(symbol, lattice_for(symbol, tile), found)


@pytest.mark.parametrize(("symbol", "drop"), SLANTED)
@pytest.mark.parametrize("tile", [(50.0, 40.0), (60.0, 9.0), (60.0, 3.0), (5.0, 60.0)])
@pytest.mark.parametrize("count", [1, 2])
def test_slanted_and_narrow_cells_are_filled_too(
    symbol: str, drop: Fraction, tile: tuple[float, float], count: int
) -> None:
    lattice = lattice_for(symbol, tile, drop)
    held(symbol, lattice, domains(symbol, lattice, count))


@pytest.mark.parametrize("symbol", POSITIONS)
@pytest.mark.parametrize("count", [1, 3])
def test_the_images_of_the_units_cover_every_point_once(symbol: str, count: int) -> None:
    lattice = lattice_for(symbol, OBLONG[0])
    units = [
        moved(polygon(own.corners + own.site), at)
        for own in found_in(symbol, OBLONG[0], count)
        for at in maps_of(symbol, lattice)
    ]
    spots = np.random.default_rng(7).random((200, 2)) * (lattice.width, lattice.height)
    many = np.zeros(len(spots), dtype=int)
    for unit in units:
        (x0, y0, x1, y1) = box_of([unit])
        for i, j in lattice.copies((x0 - 1, y0 - 1, x1 + 1, y1 + 1), (0, 0, lattice.width, lattice.height)):
            many += covers_points(unit, spots - lattice.shift(i, j))
    assert (many == 1).all()


@pytest.mark.parametrize("symbol", POSITIONS)
@pytest.mark.parametrize("count", [1, 3])
def test_a_unit_is_what_lies_nearer_to_its_site_than_to_any_image(symbol: str, count: int) -> None:
    lattice, found = lattice_for(symbol, OBLONG[0]), found_in(symbol, OBLONG[0], count)
    rng = np.random.default_rng(3)
    for own in found:
        others = np.concatenate([images_near(symbol, lattice, other.site, own.site) for other in found])
        spots = own.site + rng.uniform(-1.3, 1.3, (200, 2)) * np.abs(own.corners).max(axis=0)
        inside = ((spots - own.site) @ own.normal.T <= own.away).all(axis=1)
        nearest = np.hypot(*(spots[:, None] - others).transpose(2, 0, 1)).min(axis=1)
        mine = np.hypot(*(spots - own.site).T)
        sure = np.abs(nearest - mine) > 1e-6
        assert (inside == (mine < nearest))[sure].all()
        assert inside.any()
        assert not inside.all()


@pytest.mark.parametrize("symbol", POSITIONS)
@pytest.mark.parametrize(("count", "tile"), [(1, OBLONG[0]), (1, OBLONG[1]), (2, OBLONG[1]), (3, OBLONG[0])])
def test_sites_are_in_general_position(symbol: str, count: int, tile: tuple[float, float]) -> None:
    """No image but the identity leaves a site where it is: a cell holds as many images as published."""
    lattice = lattice_for(symbol, tile)
    size = np.array([lattice.width, lattice.height])
    for own in found_in(symbol, tile, count):
        away = np.concatenate([at.apply(own.site[None, :]) for at in maps_of(symbol, lattice)])
        way = np.abs(np.mod(away[:, None] - away + size / 2, size) - size / 2)
        apart = np.hypot(*way.transpose(2, 0, 1)) + np.eye(len(away)) * 1e3
        assert len(away) == multiplicity(symbol)
        assert apart.min() > 1.0
        assert apart.min() >= 2 * own.away.min() - 1e-6


@pytest.mark.parametrize("symbol", POSITIONS)
@pytest.mark.parametrize("tile", OBLONG)
def test_one_site_lies_as_far_from_its_images_as_any_point_of_a_fine_grid(
    symbol: str, tile: tuple[float, float]
) -> None:
    lattice = lattice_for(symbol, tile)
    (own,) = found_in(symbol, tile, 1)
    here = float(clearance(symbol, lattice, own.site[None, :])[0])
    assert here == pytest.approx(2 * own.away.min(), abs=1e-6)
    grid = (np.arange(97) + 0.5) / 97
    spots = np.stack(np.meshgrid(grid, grid), axis=-1).reshape(-1, 2) * (lattice.width, lattice.height)
    best = float(clearance(symbol, lattice, spots).max())
    # no point is farther from its images than a grid point near it by more than twice the way there
    assert best - 1e-6 <= here <= best + math.hypot(lattice.width, lattice.height) / 97


@settings(max_examples=15)
@given(st.sampled_from(sorted(POSITIONS)), st.floats(20, 120), st.floats(20, 120), st.integers(0, 2**32 - 1))
def test_no_point_at_random_lies_farther_from_its_images(
    symbol: str, width: float, height: float, seed: int
) -> None:
    lattice = lattice_for(symbol, (width, height))
    (own,) = domains(symbol, lattice, 1)
    spots = np.random.default_rng(seed).random((3000, 2)) * (lattice.width, lattice.height)
    assert clearance(symbol, lattice, spots).max() <= 2 * own.away.min() + 0.05


@pytest.mark.parametrize(
    ("symbol", "tile", "corners"),
    [
        # corners of the asymmetric unit of the tables, mm
        ("p2mm", (70.0, 50.0), [(0, 0), (35, 0), (35, 25), (0, 25)]),
        ("p2mm", (40.0, 90.0), [(0, 0), (20, 0), (20, 45), (0, 45)]),
        ("p4mm", (60.0, 60.0), [(0, 0), (30, 0), (30, 30)]),
        ("p6mm", (60.0, 60.0), [(0, 0), (30, 0), (30, 30 / math.sqrt(3))]),
        ("p3m1", (60.0, 60.0), [(0, 0), (30, 30 / math.sqrt(3)), (30, -30 / math.sqrt(3))]),
    ],
)
def test_between_mirrors_all_round_the_site_is_the_middle_of_the_largest_circle(
    symbol: str, tile: tuple[float, float], corners: list[tuple[float, float]]
) -> None:
    """The unit is congruent to the published one; its site is where the largest circle in that has its middle."""
    (own,) = domains(symbol, lattice_for(symbol, tile), 1)
    wanted = np.array(corners, dtype=float)
    sides = np.hypot(*(np.roll(wanted, -1, axis=0) - wanted).T)
    if len(corners) == 3:
        radius = 2 * area(polygon(wanted)) / sides.sum()
        middle = (np.roll(sides, -1)[:, None] * wanted).sum(axis=0) / sides.sum()
    else:
        radius, middle = float(sides.min()) / 2, wanted.mean(axis=0)
    assert own.away.min() == pytest.approx(radius, abs=1e-5)
    reach = np.hypot(*own.corners.T)
    assert sorted(reach[_turns_at(own.corners)]) == pytest.approx(
        sorted(np.hypot(*(wanted - middle).T)), abs=1e-4
    )
    assert area(polygon(own.corners)) == pytest.approx(area(polygon(wanted)), rel=1e-6)
    # every side is a mirror
    assert sorted(own.away) == pytest.approx([away for _, away in own.mirrors[: len(own.away)]])


def _turns_at(corners: Floats) -> NDArray[np.bool_]:
    """Which corners of an outline are no points on a straight side, and no corners twice over."""
    way = corners - np.roll(corners, 1, axis=0)
    after = np.roll(way, -1, axis=0)
    return np.asarray(np.abs(way[:, 0] * after[:, 1] - way[:, 1] * after[:, 0]) > 1e-4)


@pytest.mark.parametrize("tile", OBLONG)
def test_sites_of_simple_groups_lie_in_the_middle(tile: tuple[float, float]) -> None:
    width, height = tile
    for symbol, share in (("p1", 2), ("p2mm", 4), ("pm", 4), ("pg", 4)):
        (own,) = found_in(symbol, tile, 1)
        assert own.site == pytest.approx((width / share, height / share), abs=1e-5)


@pytest.mark.parametrize("symbol", POSITIONS)
@pytest.mark.parametrize("count", [1, 3])
def test_the_mirrors_of_a_group_are_known_to_every_site(symbol: str, count: int) -> None:
    """A spot lies within the mirrors where it is as near to the site as to the site in any mirror, by brute force."""
    lattice = lattice_for(symbol, OBLONG[0])
    for own in found_in(symbol, OBLONG[0], count):
        seen = np.array(
            [
                at.apply(own.site[None, :])[0] + step
                for at, step in itertools.product(maps_of(symbol, lattice), _steps(lattice))
                if at.determinant < 0 and _undoes_itself(at, step)
            ]
        ).reshape(-1, 2)
        spots = own.site + np.random.default_rng(1).uniform(-90, 90, (600, 2))
        away = np.hypot(*(spots[:, None] - seen).transpose(2, 0, 1)).min(axis=1, initial=1e9)
        mine = np.hypot(*(spots - own.site).T)
        sure = np.abs(away - mine) > 1e-6
        found = covers_points(own.within_mirrors(95), spots - own.site)
        assert (found == (mine < away))[sure].all()
        assert bool(own.mirrors) == (not found.all()) == (symbol in MIRRORED)


def _steps(lattice: Lattice) -> list[Floats]:
    return [np.array(lattice.shift(i, j)) for i in range(-4, 5) for j in range(-4, 5)]


def _undoes_itself(at: Affine, step: Floats) -> bool:
    """Tell a mirror from a glide: done twice a mirror leaves a spot where it was."""
    spot = np.array([[3.0, 7.0]])
    return bool(np.abs(at.apply(at.apply(spot) + step) + step - spot).max() < 1e-6)


@settings(max_examples=60)
@given(
    st.sampled_from(sorted(POSITIONS)), st.sampled_from([1, 3]), st.floats(0, 4), st.integers(0, 2**32 - 1)
)
def test_what_has_room_stays_inside_half_a_gap_off(symbol: str, count: int, gap: float, seed: int) -> None:
    points = np.random.default_rng(seed).normal(size=(12, 2))
    for own in found_in(symbol, OBLONG[0], count):
        factor = own.room(points, gap)
        reach = (points * factor) @ own.normal.T
        assert (reach <= own.away - gap / 2 + 1e-9).all()
        # no larger one would do
        assert (reach + abs(factor) * 1e-3 * np.abs(points).max() >= own.away - gap / 2).any()


def test_what_is_no_larger_than_a_point_has_room_for_ever() -> None:
    assert found_in("p2", OBLONG[0], 1)[0].room(np.zeros((3, 2)), 1.0) == math.inf


@pytest.mark.parametrize("symbol", POSITIONS)
def test_several_sites_come_row_by_row_and_none_is_pressed(symbol: str) -> None:
    """Each keeps more than a third of an even share."""
    lattice, found = lattice_for(symbol, OBLONG[0]), found_in(symbol, OBLONG[0], 3)
    even = lattice.width * lattice.height / multiplicity(symbol) / 3
    assert min(area(polygon(own.corners)) for own in found) > even / 3
    keys = [(round(float(own.site[1]), 6), round(float(own.site[0]), 6)) for own in found]
    assert keys == sorted(keys)
