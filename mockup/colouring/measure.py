"""How evenly a plan lies: figures that know nothing of the solver.

The lump field of ink c is N_c(x) = G * sum_i a_i ([c_i = c] - T_c) delta(x - x_i) over the mean of G * a, with G a
Gaussian: the excess of the ink over its target share round x. Its closed-form level for inks placed by chance is
L0 = sqrt(mean_c T_c (1 - T_c) (1 + cv^2) / (4 pi sigma^2)), sigma in mean spacings, cv the variation of the areas.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy import fft

from mockup.colouring.facing import Facing
from mockup.colouring.problem import Floats, Ints, Mask

RATIO_BLUR: Final = 1.5
MAX_BLUR: Final = 2.0
_SHUFFLES: Final = 24


@dataclass(frozen=True, eq=False, slots=True)
class Nodes:
    """What is measured: ``area`` (n,) mm2, ``place`` (n, 2) mm, ``cell`` (mm) and whether it wraps."""

    area: Floats
    place: Floats
    cell: tuple[float, float]
    wraps: bool


@dataclass(frozen=True, slots=True)
class Lump:
    """The worst place of one ink: where (mm) and by how much it exceeds its share."""

    ink: int
    x: float
    y: float
    excess: float


@dataclass(frozen=True, eq=False, slots=True)
class Figures:
    """Figures of one plan.

    ``conflicts`` facing pairs of one ink, ``own_copies`` of them nodes that face their own copy, ``contact`` their
    share of all facing border, ``shares`` and ``target`` (k,), ``share_error`` the largest gap between the two,
    ``lump_ratio`` (1 is chance, 0 perfect), ``lump_max`` the largest excess anywhere, ``worst`` the two worst
    places, ``wished`` facing pairs that she gave one ink herself, ``contrast_low`` and ``contrast_mean`` CIEDE2000
    between facing inks (NaN where there are none).
    """

    conflicts: int
    own_copies: int
    wished: int
    contact: float
    shares: Floats
    target: Floats
    share_error: float
    lump_ratio: float
    lump_max: float
    worst: tuple[Lump, ...]
    contrast_low: float
    contrast_mean: float


def measure(
    nodes: Nodes, inks: Ints, target: Floats, facing: Facing, differences: Floats, wished: Mask | None = None
) -> Figures:
    """Measure a plan.

    Parameters
    ----------
    nodes : Nodes
        Areas and places.
    inks : (n,) ints
        Ink of each node.
    target : (k,) floats
        Target shares.
    facing : Facing
        Who faces whom.
    differences : (k, k) floats
        CIEDE2000 between the inks.
    wished : (m,) bools, optional
        Pairs of one ink that are no conflict.
    """
    meant = np.zeros(len(facing.a), dtype=bool) if wished is None else wished & facing.faces
    alike = facing.faces & (inks[facing.a] == inks[facing.b]) & ~meant
    length = facing.length[facing.faces].sum()
    apart = facing.faces & ~alike & ~meant
    contrast = differences[inks[facing.a[apart]], inks[facing.b[apart]]]
    shares = np.bincount(inks, nodes.area, len(target)) / max(nodes.area.sum(), 1e-12)
    field, grain = lump_field(nodes, inks, target, MAX_BLUR)
    worst = _worst(nodes, field, grain)
    return Figures(
        conflicts=int(alike.sum()),
        own_copies=int((alike & (facing.a == facing.b)).sum()),
        wished=int(meant.sum()),
        contact=float(facing.length[alike].sum() / length) if length else 0.0,
        shares=shares,
        target=target,
        share_error=float(np.abs(shares - target).max()),
        lump_ratio=lump_ratio(nodes, inks, target),
        lump_max=worst[0].excess if worst else 0.0,
        worst=worst,
        contrast_low=float(contrast.min()) if len(contrast) else math.nan,
        contrast_mean=float(np.average(contrast, weights=facing.length[apart]))
        if len(contrast)
        else math.nan,
    )


def lump_ratio(nodes: Nodes, inks: Ints, target: Floats) -> float:
    """Rms of the lump field at 1.5 spacings over its level for inks placed by chance."""
    level = _rms(nodes, inks, target)
    if nodes.wraps:
        variation = float(nodes.area.var() / nodes.area.mean() ** 2)
        chance = math.sqrt(
            float((target * (1 - target)).mean()) * (1 + variation) / (4 * math.pi * RATIO_BLUR**2)
        )
    else:
        rng = np.random.Generator(np.random.PCG64(7))
        mixes = [rng.permutation(inks) for _ in range(_SHUFFLES)]
        total = nodes.area.sum()
        chance = float(
            np.mean([_rms(nodes, mix, np.bincount(mix, nodes.area, len(target)) / total) for mix in mixes])
        )
    return level / chance if chance > 0 else 0.0


def _rms(nodes: Nodes, inks: Ints, target: Floats) -> float:
    field, _ = lump_field(nodes, inks, target, RATIO_BLUR)
    return math.sqrt(float(np.nanmean(field**2)))


def lump_field(nodes: Nodes, inks: Ints, target: Floats, blur: float) -> tuple[Floats, tuple[float, float]]:
    """Lump field of every ink, (k, rows, columns), and the grid's (x, y) step in mm.

    Exact on a repeat; on a single sheet the excess is taken over the local density, NaN lies where there is next to
    nothing, and the grid has a rim on which the sheet's edge fades out (``_rim`` squares).
    """
    n = len(nodes.area)
    spacing = math.sqrt(nodes.cell[0] * nodes.cell[1] / max(n, 1))
    rim = _rim(nodes, blur)
    columns, rows = (max(16, math.ceil(side / spacing * 4)) for side in nodes.cell)
    step = np.array([nodes.cell[0] / columns, nodes.cell[1] / rows])
    tall, wide = rows + 2 * rim, columns + 2 * rim
    grid = np.zeros((len(target), tall, wide))
    spot = nodes.place / step + rim
    low = np.floor(spot).astype(int)
    part = spot - low
    for right in (0, 1):
        for down in (0, 1):
            weight = np.where(right, part[:, 0], 1 - part[:, 0]) * np.where(down, part[:, 1], 1 - part[:, 1])
            np.add.at(
                grid, (inks, (low[:, 1] + down) % tall, (low[:, 0] + right) % wide), nodes.area * weight
            )
    fy = fft.fftfreq(tall) * spacing / step[1]
    fx = fft.rfftfreq(wide) * spacing / step[0]
    soft = np.exp(-2 * (math.pi * blur) ** 2 * (fy[:, None] ** 2 + fx[None, :] ** 2))
    field = fft.irfft2(fft.rfft2(grid) * soft, s=(tall, wide))
    whole = field.sum(axis=0)
    excess = field - target[:, None, None] * whole
    if nodes.wraps:
        return excess / whole.mean(), (float(step[0]), float(step[1]))
    thin = whole < 0.3 * np.percentile(whole, 95)
    excess = np.where(thin, np.nan, excess / np.where(thin, 1.0, whole))
    return excess, (float(step[0]), float(step[1]))


def _rim(nodes: Nodes, blur: float) -> int:
    """Squares by which the grid of a single sheet reaches beyond it on each side."""
    return 0 if nodes.wraps else math.ceil(4 * 3 * blur)


def _worst(nodes: Nodes, field: Floats, grain: tuple[float, float]) -> tuple[Lump, ...]:
    """Give the worst place of the two inks that are worst; one beyond the sheet's edge is told on the edge."""
    rim, (width, height) = _rim(nodes, MAX_BLUR), nodes.cell
    found = []
    for ink, own in enumerate(np.nan_to_num(field, nan=-np.inf)):
        row, column = np.unravel_index(int(own.argmax()), own.shape)
        x, y = (int(column) - rim) * grain[0], (int(row) - rim) * grain[1]
        found.append(Lump(ink, min(max(x, 0.0), width), min(max(y, 0.0), height), float(own[row, column])))
    return tuple(sorted(found, key=lambda lump: -lump.excess)[:2])
