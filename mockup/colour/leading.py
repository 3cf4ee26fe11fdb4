"""Which colours lead in a photograph: the few that a designer would pick from it.

The tones of the picture (``mockup.colour.tones``) are weighed by their area, vivid ones more, and those are
picked that leave the least unlike them: the sum over all tones of weight by squared CIEDE2000 to the
nearest picked one. So a vivid patch of two hundredths of the area is picked, and the fifth shade of a
brown table is not. Three things are not picked:

* **specks**: less than 0.3 % of the area is like them;
* **shades of one colour**: two tones without a valley of density between them are noise, shading or a
  gradient; both are picked only if they are far apart;
* **mixes**: what lies between two tones that cover more, in luma and in chroma, comes of blurred or
  compressed edges, unless it covers 4 % itself.

Mixes have no say in what is picked; other tones that cannot be picked count with the nearest that can.
Where the picture has no more colours that differ, fewer are given than were asked for.

The weights and thresholds are our own, chosen on public-domain photographs with patches, noise and dots
of known colours planted in them, and on flats with noise and compressed edges.

References
----------
CIEDE2000 as in ``mockup.colour.difference``; luma and chroma of JPEG (ITU-T T.871).
"""

from typing import Final, NamedTuple

import numpy as np

from mockup.colour.conversion import Colour, from_srgb
from mockup.colour.difference import FloatArray, differences
from mockup.colour.tones import BoolArray, ByteArray, IntArray, Tones, binned, tones

_DIFFER: Final = 6.0  # CIEDE2000 between any two that are picked
_FAR: Final = (22.0, 18.0, 14.0, 11.0)  # CIEDE2000 between shades of one colour: the farthest that can be had
_APART: Final = 60.0  # sRGB levels, the length in the cube: more than noise spans
_DEARER: Final = 1.3  # how much more may be left unlike for shades that are farther apart
_VIVID: Final = 20.0  # CIELAB chroma that doubles a weight
_SPECK: Final = 0.003  # of the area
_SLOPE: Final = 0.01  # the same for a tone on the slope of a denser one,
_OWN: Final = 0.0015  # and of its own cluster
_MIX: Final = 0.04  # of the area
_BESIDE: Final = 10.0  # levels of luma or chroma within which a mix is one
_REACH: Final = 20.0  # CIEDE2000 within which a pixel counts for a colour
_LUMA: Final = np.array([[0.299, 0.587, 0.114], [-0.168736, -0.331264, 0.5], [0.5, -0.418688, -0.081312]])


class Leading(NamedTuple):
    """One of the colours that lead.

    Attributes
    ----------
    colour : Colour
        A whole number of levels a channel, so that its hex says it exactly.
    share : float, over 0, at most 1
        Part of the pixels that it stands for: those nearest to it of the colours found, and not far off.
    """

    colour: Colour
    share: float


def leading_colours(pixels: ByteArray, count: int) -> tuple[Leading, ...]:
    """Find the colours that lead in a picture.

    The answer hangs on the pixels alone, not on their order: it is exactly the same for a picture that
    is turned, mirrored or shuffled.

    Parameters
    ----------
    pixels : (..., 3) uint8
        sRGB levels; rows and columns, or any list.
    count : int
        How many at most.

    Returns
    -------
    tuple of Leading
        The largest share first, like shares by their CIELAB values; any two differ by CIEDE2000 6 or
        more. Fewer than ``count`` where the picture has no more.

    Raises
    ------
    ValueError
        If ``count`` is less than 1, or there are no pixels, or they are not levels.
    """
    if count < 1:
        raise ValueError(f"at least 1 colour is to be found, not {count}")
    if pixels.dtype != np.uint8 or pixels.ndim == 0 or pixels.shape[-1] != 3 or pixels.size == 0:
        raise ValueError(f"pixels are uint8 of the shape (..., 3), not {pixels.dtype} of {pixels.shape}")
    found = tones(binned(pixels.reshape(-1, 3)))
    colours = [from_srgb(levels / 255) for levels in found.levels]
    apart = differences(colours)
    picked = _picked(found, colours, apart, count)
    nearest = apart[picked].argmin(axis=0)
    stands = apart[picked].min(axis=0) <= _REACH
    total = int(found.weight.sum())
    leading = [
        Leading(colours[tone], int(found.weight[stands & (nearest == place)].sum()) / total)
        for place, tone in enumerate(picked)
    ]
    return tuple(sorted(leading, key=lambda one: (-one.share, one.colour.lab)))


def _picked(found: Tones, colours: list[Colour], apart: FloatArray, count: int) -> list[int]:
    """Pick tones: shades of one colour as far apart as goes without leaving much more unlike."""
    share = found.weight / found.weight.sum()
    need = share * (1 + np.array([colour.chroma for colour in colours]) / _VIVID)
    mixed = (found.near < _MIX * found.weight.sum()) & _mixed(found.levels, found.near)
    worthy = _worthy(found) & ~mixed
    nearest = np.where(worthy, apart, np.inf).argmin(axis=1)
    counts = ~mixed & (apart[np.arange(len(share)), nearest] <= _REACH)
    need = np.bincount(nearest[counts], weights=need[counts], minlength=len(need))
    length = np.sqrt(((found.levels[:, None] - found.levels) ** 2).sum(axis=2))
    runs = []
    for far in _FAR:
        differ = np.where(found.valley, apart >= _DIFFER, (apart >= far) & (length >= _APART))
        runs.append(_best(need[:, None] * apart**2, worthy, differ, count))
    most = max(len(picked) for picked, _ in runs)
    full = [run for run in runs if len(run[0]) == most]
    least = min(left for _, left in full)
    return next(picked for picked, left in full if left <= _DEARER * least)


def _worthy(found: Tones) -> BoolArray:
    """Tell which tones may be picked: the largest, and what is no speck and no mere slope."""
    area = found.weight.sum()
    slope = ((found.peak > found.peak[:, None]) & ~found.valley).any(axis=1)
    worthy: BoolArray = found.near >= _SPECK * area
    worthy &= ~slope | ((found.near >= _SLOPE * area) & (found.weight >= _OWN * area))
    worthy[np.argmax(found.near)] = True
    return worthy


def _mixed(levels: IntArray, near: IntArray) -> BoolArray:
    """Tell which tones lie between two that cover twice as much: in luma, and in chroma near a straight line."""
    signal = levels @ _LUMA.T
    mixed = np.zeros(len(levels), dtype=bool)
    for tone, (luma, *chroma) in enumerate(signal):
        more = signal[near >= 2 * near[tone]]
        one, two = more[:, None], more[None]
        between = np.minimum(one, two)[..., 0] - _BESIDE <= luma
        between &= luma <= np.maximum(one, two)[..., 0] + _BESIDE
        way, here = (two - one)[..., 1:], chroma - one[..., 1:]
        along = (way * here).sum(axis=2) / np.maximum((way**2).sum(axis=2), 1e-9)
        beside = here - np.clip(along, 0.0, 1.0)[..., None] * way
        mixed[tone] = bool((between & ((beside**2).sum(axis=2) <= _BESIDE**2)).any())
    return mixed


def _best(cost: FloatArray, worthy: BoolArray, differ: BoolArray, count: int) -> tuple[list[int], float]:
    """Pick one after the other, then exchange one at a time while that helps.

    Parameters
    ----------
    cost : (t, t) floats
        What each tone (row) costs if served by each (column).
    worthy : (t,) bools
        Which may be picked.
    differ : (t, t) bools
        Which may be picked together.
    count : int
        How many at most.

    Returns
    -------
    list of int, float
        The tones picked, and what is left: the sum of the costs.
    """
    picked, left = _filled(cost, worthy, differ, count, [])
    while True:
        others = [picked[:place] + picked[place + 1 :] for place in range(len(picked))]
        exchanges = [_filled(cost, worthy, differ, len(picked), rest) for rest in others]
        better, after = min(exchanges, key=lambda run: run[1])
        if after >= left * (1 - 1e-9):
            return picked, left
        picked, left = _filled(cost, worthy, differ, count, better)


def _filled(
    cost: FloatArray, worthy: BoolArray, differ: BoolArray, count: int, picked: list[int]
) -> tuple[list[int], float]:
    """Add the tone that leaves least, as long as there is one that differs from those picked."""
    left = float(cost[:, picked].min(axis=1, initial=np.inf).sum())
    while len(picked) < count:
        open_to = np.flatnonzero(worthy & differ[picked].all(axis=0))
        if not len(open_to):
            break
        served = cost[:, picked].min(axis=1, initial=np.inf)
        totals = np.minimum(served[:, None], cost[:, open_to]).sum(axis=0)
        least = int(np.argmin(totals))
        picked, left = [*picked, int(open_to[least])], float(totals[least])
    return picked, left
