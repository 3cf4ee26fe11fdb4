"""How even plans of bare layouts come out: the figures that are promised, measured twice."""

import math
from typing import NamedTuple

import numpy as np
import pytest
from bench.layouts import LAYOUTS, bare
from numpy import fft

from mockup.colouring.measure import Nodes, lump_field, lump_ratio
from mockup.colouring.problem import Floats, Ints, Problem
from mockup.colouring.spread import spread


class Read(NamedTuple):
    """Share error, lump ratio and lump max."""

    share: float
    ratio: float
    most: float


def read(given: Problem, inks: Ints) -> Read:
    """Read the figures as the program does."""
    assert given.cell is not None
    nodes = Nodes(given.area, given.place, given.cell, True)
    field, _ = lump_field(nodes, inks, given.target, 2.0)
    return Read(given.share_error(inks), lump_ratio(nodes, inks, given.target), float(field.max()))


def waves(given: Problem, inks: Ints, blur: float) -> Floats:
    """Lump field wave by wave, exact: (k, waves down, waves across), all that the blur leaves."""
    cell = np.array(given.cell)
    spacing = math.sqrt(cell.prod() / given.count)
    most = [math.ceil(1.1 * side / spacing) + 1 for side in cell]
    down, across = (
        fft.fftfreq(2 * most[1] + 1, 1 / (2 * most[1] + 1)),
        fft.fftfreq(2 * most[0] + 1, 1 / (2 * most[0] + 1)),
    )
    excess = (np.eye(given.inks)[inks] - given.target) * given.area[:, None] / given.area.sum()
    right = np.exp(-2j * np.pi * given.place[:, :1] * across / cell[0])
    below = np.exp(-2j * np.pi * given.place[:, 1:] * down / cell[1])
    soft = np.exp(
        -2 * (np.pi * blur * spacing) ** 2 * ((down[:, None] / cell[1]) ** 2 + (across / cell[0]) ** 2)
    )
    return np.asarray(np.einsum("nc,ny,nx->cyx", excess, below, right, optimize=True) * soft)


def read_by_waves(given: Problem, inks: Ints) -> Read:
    """Read the figures again by another way: no grid, no splat."""
    shares = np.array([given.area[inks == ink].sum() for ink in range(given.inks)]) / given.area.sum()
    rms = math.sqrt((np.abs(waves(given, inks, 1.5)) ** 2).sum() / given.inks)
    variation = given.area.var() / given.area.mean() ** 2
    chance = math.sqrt((given.target * (1 - given.target)).mean() * (1 + variation) / (4 * np.pi * 1.5**2))
    field = waves(given, inks, 2.0)
    field = fft.ifft2(field).real * (field.shape[1] * field.shape[2])
    return Read(float(np.abs(shares - given.target).max()), rms / chance, float(field.max()))


WANTED = {
    (60, 5): (Read(0.0017, 0.26, 0.04), 4),
    (200, 4): (Read(0.001, 0.43, 0.09), 3),
    (200, 5): (Read(0.0005, 0.28, 0.06), 3),
    (200, 7): (Read(0.0005, 0.28, 0.075), 3),
    (1000, 4): (Read(0.0001, 0.42, 0.12), 1),
    (1000, 5): (Read(0.0001, 0.26, 0.08), 1),
    (1000, 7): (Read(0.0001, 0.26, 0.09), 1),
}
"""Nodes and inks: what the medians over the four layouts stay within, and how many of each layout are inked."""


@pytest.mark.parametrize(("count", "inks"), WANTED)
def test_plans_are_as_even_as_promised(count: int, inks: int) -> None:
    wanted, each = WANTED[count, inks]
    ours, waved = [], []
    for kind in LAYOUTS:
        for seed in range(5000, 5000 + each):
            given = bare(kind, count, inks, seed)
            found = spread(given)
            assert found.contact == 0
            ours.append(read(given, found.inks))
            waved.append(read_by_waves(given, found.inks))
    for one, other in zip(ours, waved, strict=True):
        assert one.share == pytest.approx(other.share, abs=1e-12)
        assert one.ratio == pytest.approx(other.ratio, abs=0.015)
        assert one.most == pytest.approx(other.most, abs=0.006)
    for rows in (ours, waved):
        assert (np.median(rows, axis=0) <= np.array(wanted)).all(), np.median(rows, axis=0)


@pytest.mark.parametrize("kind", LAYOUTS)
def test_ten_thousand_nodes_inked_by_chance_read_one(kind: str) -> None:
    given = bare(kind, 10_000, 5, 5000)
    rng = np.random.default_rng(1)
    assert given.cell is not None
    nodes = Nodes(given.area, given.place, given.cell, True)
    told = [lump_ratio(nodes, rng.integers(0, 5, 10_000), given.target) for _ in range(4)]
    assert 0.98 <= np.mean(told) <= 1.02


@pytest.mark.parametrize("share", [0.5, 0.3])
@pytest.mark.parametrize("side", [1.0, 40.0])
def test_a_single_node_reads_what_a_sum_over_its_copies_says(share: float, side: float) -> None:
    """One node in ink 0 of two: the field is its own blur, by Poisson's sum over waves."""
    target = np.array([share, 1 - share])
    nodes = Nodes(np.array([7.0]), np.zeros((1, 2)), (side, side), True)
    wave = np.arange(-9, 10)

    def summed(blur: float, power: int) -> float:
        return float(np.exp(-2 * power * (np.pi * blur * wave) ** 2).sum() ** 2)

    field, _ = lump_field(nodes, np.array([0]), target, 0.3)
    assert field[0].max() == pytest.approx((1 - share) * summed(0.3, 1), rel=1e-6)
    assert field[0, 0, 0] == pytest.approx(field[0].max())
    assert field[1] == pytest.approx(-field[0])
    level = math.sqrt(4 * np.pi * 1.5**2 * summed(1.5, 2) * (1 - share) ** 2 / (share * (1 - share)))
    assert lump_ratio(nodes, np.array([0]), target) == pytest.approx(level, rel=1e-6)


@pytest.mark.parametrize("turns", [1, 2, 3])
def test_a_plane_wave_of_two_inks_is_blurred_by_its_own_factor(turns: int) -> None:
    """Two nodes at each place of a grid, whose areas make a wave of one ink against the other."""
    steps = 24
    column, row = (own.ravel() for own in np.meshgrid(np.arange(steps), np.arange(steps)))
    place = np.column_stack((np.tile(column, 2), np.tile(row, 2))).astype(np.float64)
    wave: Floats = np.array(0.9 * np.cos(2 * np.pi * turns * column / steps), dtype=np.float64)
    nodes = Nodes(
        np.concatenate((1 + wave, 1 - wave)).astype(np.float64), place, (float(steps), float(steps)), True
    )
    inks, target = np.repeat([0, 1], steps**2), np.array([0.5, 0.5])
    spacing = math.sqrt(0.5)

    def factor(blur: float) -> float:
        return math.exp(-((2 * np.pi * turns / steps * blur * spacing) ** 2) / 2)

    field, _ = lump_field(nodes, inks, target, 2.0)
    assert field[0].max() == pytest.approx(0.45 * factor(2.0), rel=0.02)
    variation = nodes.area.var() / nodes.area.mean() ** 2
    chance = math.sqrt(0.25 * (1 + variation) / (4 * np.pi * 1.5**2))
    assert lump_ratio(nodes, inks, target) == pytest.approx(
        0.45 / math.sqrt(2) * factor(1.5) / chance, rel=0.02
    )
