"""Colours as others see them: colour vision deficiencies, and values alone.

A simulation says which colours may be taken for each other. It does not say how they look to anyone in
particular: people differ in what they lack and how much.

References
----------
Machado, Oliveira, Fernandes, "A Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE TVCG
15(6), 2009: one matrix for each kind and severity, on linear sRGB; tritan is only near. CIE 15 (L*) for greys.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from mockup.colour.coding import linear_from_srgb, srgb_from_linear
from mockup.colour.conversion import Colour, deficiency_in_linear, from_lab, from_srgb
from mockup.colour.difference import FloatArray, differences

DEFICIENCIES: Final = ("protan", "deutan", "tritan")
"""Weak or missing sense of long (red), middle (green) and short (blue) waves."""


class Lookalikes(NamedTuple):
    """Two colours by their places, and their CIEDE2000 difference before and as seen."""

    one: int
    other: int
    before: float
    after: float


def deficiency_matrix(name: str, severity: float = 1.0) -> FloatArray:
    """Give the matrix of a colour vision deficiency, for columns of linear sRGB.

    Parameters
    ----------
    name : str
        One of ``DEFICIENCIES``.
    severity : float, 0 to 1
        0 sees all, 1 lacks one kind of cone. The published steps are 0.1; between them it is interpolated.

    Returns
    -------
    (3, 3) floats
        Rows add up to 1 (within 3e-6, as published): greys stay.

    Raises
    ------
    ValueError
        If there is no such deficiency, or the severity is out of range.
    """
    if name not in DEFICIENCIES:
        raise ValueError(f"{name!r} is no deficiency; they are {', '.join(DEFICIENCIES)}")
    if not 0.0 <= severity <= 1.0:
        raise ValueError(f"a severity is a number from 0 to 1, not {severity:g}")
    return deficiency_in_linear(name, severity)


def seen_linear(linear: ArrayLike, name: str, severity: float = 1.0) -> FloatArray:
    """Give linear light as seen with a deficiency: for pictures.

    Parameters
    ----------
    linear : (..., 3) floats, 0 to 1
        Linear sRGB, not coded channels.
    name, severity
        As in ``deficiency_matrix``.

    Returns
    -------
    (..., 3) floats, 0 to 1
        Clipped: some vivid colours come out beyond sRGB.
    """
    light = np.asarray(linear, dtype=np.float64)
    if light.ndim == 0 or light.shape[-1] != 3:
        raise ValueError(f"linear light needs a last axis of 3, not the shape {light.shape}")
    return np.clip(light @ deficiency_matrix(name, severity).T, 0.0, 1.0)


def seen(colours: Sequence[Colour], name: str, severity: float = 1.0) -> tuple[Colour, ...]:
    """Give colours, as they are shown, as seen with a deficiency.

    With severity 0 these are the colours as shown: a colour beyond sRGB comes back inside.
    """
    shown = np.array([colour.srgb for colour in colours], dtype=np.float64).reshape(-1, 3)
    coded = np.clip(srgb_from_linear(seen_linear(linear_from_srgb(shown), name, severity)), 0.0, 1.0)
    return tuple(from_srgb(row) for row in coded.tolist())


def grey(colour: Colour) -> Colour:
    """Give the grey of the same CIE L*: the value of a colour without its hue, as in squinting.

    It is not the mean of the channels, by which a blue comes out far too light and a yellow too dark.
    """
    return from_lab((colour.lightness, 0.0, 0.0))


def falls_together(
    colours: Sequence[Colour], name: str, limit: float, severity: float = 1.0
) -> list[Lookalikes]:
    """Find the pairs that are told apart, but not with a deficiency.

    Parameters
    ----------
    colours : Sequence of Colour
        Compared as they are shown, so that a deficiency of severity 0 never takes any two together.
    name, severity
        As in ``deficiency_matrix``.
    limit : float
        CIEDE2000 from which two colours are told apart: a pair counts that differs by this or more, and by less
        as seen.

    Returns
    -------
    list of Lookalikes
        By their places, the first below the second.
    """
    plain = differences([from_srgb(colour.srgb) for colour in colours])
    weak = differences(seen(colours, name, severity)) if severity else plain
    alike = np.triu((plain >= limit) & (weak < limit), 1)
    return [
        Lookalikes(int(i), int(j), float(plain[i, j]), float(weak[i, j]))
        for i, j in zip(*np.nonzero(alike), strict=True)
    ]
