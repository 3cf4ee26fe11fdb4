"""Crowded sheets of made-up flowers that lie on each other, for measuring what is seen of them."""

import math
from fractions import Fraction

import numpy as np

from mockup.geometry.affine import Points, rotation, scaling, translation
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import polygon
from mockup.pattern.motif import Element, LineWork, Motif, Part
from mockup.pattern.repeat import Layout, numbered


def crowded(count: int, seed: int, *, drop: Fraction = Fraction(0), cover: float = 3.0) -> Layout:
    """Strew so many flowers at random over a tile: their boxes cover it ``cover`` times."""
    rng = np.random.default_rng([seed, count])
    kinds = [flower(rng, f"flower{number}") for number in range(12)]
    area = float(np.mean([one.width * one.height for one in kinds]))
    side = math.sqrt(area * count / cover)
    placed = []
    for number in range(count):
        turned = rotation(rng.random() * 360) @ scaling(rng.uniform(0.6, 1.3))
        placed.append((kinds[number % len(kinds)], translation(*(rng.random(2) * side)) @ turned))
    return Layout("half-drop", Lattice(side, side, drop=drop), numbered(placed), (count, 1))


def flower(rng: np.random.Generator, name: str) -> Motif:
    """Draw a flower about (0, 0), mm: leaves below, petals that lie on each other, a centre, veins."""
    petals = int(rng.integers(4, 8))
    long, wide = rng.uniform(7, 11), rng.uniform(4, 6)
    elements: list[Element] = []
    for number in range(2):
        leaf = _blade(rng, 16, 4) @ _turn(2.2 + number * 1.7)
        elements.append(Part("leaf", f"leaf{number}", polygon(leaf), "", ""))
    for number in range(petals):
        petal = _blade(rng, long, wide) @ _turn(2 * math.pi * number / petals)
        elements.append(Part("petal", f"petal{number % 2}", polygon(petal), "", ""))
        elements.append(LineWork((petal[[0, len(petal) // 2]] * 0.7,), (False,), 0.4, "#000"))
    elements.append(Part("centre", "centre", polygon(_wavy(rng, 3.0)), "", ""))
    reach = 2 * max(long, 16.0)
    return Motif(name, reach, reach, tuple(elements), ())


def _blade(rng: np.random.Generator, long: float, wide: float) -> Points:
    """An outline of 40 points from (0, 0) along x, pointed at both ends, one side fuller than the other."""
    share = np.linspace(0, 1, 21)
    bulge = np.sin(np.pi * share) ** 0.8 * wide / 2
    over, under = rng.uniform(0.7, 1.3, 2)
    upper = np.column_stack((share * long, -bulge * over))
    return np.vstack((upper, np.column_stack((share * long, bulge * under))[-2:0:-1]))


def _wavy(rng: np.random.Generator, radius: float) -> Points:
    """A round outline of 36 points with waves."""
    turn = np.linspace(0, 2 * np.pi, 36, endpoint=False)
    own = radius * (1 + 0.12 * np.sin(6 * turn + rng.uniform(0, 6)))
    return np.column_stack((own * np.cos(turn), own * np.sin(turn)))


def _turn(angle: float) -> Points:
    return np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
