"""Formulas for light in ink and paper: transparent films, scattering layers, surfaces, halftones.

All take and give reflectances and transmittances of one wavelength or one channel of linear light, 0 to 1, as
numbers or as arrays that broadcast. ``layering`` uses the films; the others are here to compare it with, and for
inks that are known well enough: one linear-light channel holds a third of the spectrum, and what is exact of one
wavelength is only near of a channel.

References
----------
Beer-Lambert law, light passing a film on paper twice; density as in ISO 5 (from memory).
Kubelka and Munk, "Ein Beitrag zur Optik der Farbanstriche", Zeitschrift für technische Physik 12, 1931; Kubelka,
"New Contributions to the Optics of Intensely Light-Scattering Materials", Part I, Journal of the Optical Society of
America 38(5), 1948, and Part II (layers on each other), 44(4), 1954.
Saunderson, "Calculation of the Color of Pigmented Plastics", in the same journal 32(12), 1942.
Murray 1936 (with Davies); Yule and Nielsen 1951; Demichel 1924; Neugebauer 1937.
The formulas are from memory; published worked values and properties check them.
"""

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from mockup.colour.difference import FloatArray

_TEN: Final = float(np.log(10.0))
_SOME: Final = float(np.finfo(np.float64).tiny)
_HAIR: Final = 1e-12  # rounding
_MOST_N: Final = 100.0  # beyond it the powers lose what they tell apart


# Transparent films


def transmittance(reflectance: ArrayLike, paper: ArrayLike) -> FloatArray:
    """Give what a film lets through in one pass, from its reflectance over paper: T = sqrt(R / Rp).

    Parameters
    ----------
    reflectance, paper : (...) floats, 0 to 1
        With and without the film.

    Returns
    -------
    (...) floats, 0 to 1
        1 (clear) where the film is no darker than the paper.
    """
    film, bare = np.broadcast_arrays(
        np.asarray(reflectance, dtype=np.float64), np.asarray(paper, dtype=np.float64)
    )
    ratio = np.ones(film.shape)
    np.divide(film, bare, out=ratio, where=film < bare)
    return np.sqrt(ratio)


def over_paper(through: ArrayLike, paper: ArrayLike, films: ArrayLike) -> FloatArray:
    """Give the reflectance of films over paper: R = Rp T^(2n).

    Parameters
    ----------
    through, paper : (...) floats, 0 to 1
        Transmittance of one film; reflectance of the paper.
    films : (...) floats
        How many, 0 or more; parts are allowed.
    """
    count = _within("the number of films", films, 0.0, np.inf)
    return np.asarray(paper, dtype=np.float64) * np.asarray(through, dtype=np.float64) ** (2.0 * count)


def density(reflectance: ArrayLike, paper: ArrayLike = 1.0) -> FloatArray:
    """Give the density over paper, D = -log10(R / Rp); infinite where nothing comes back."""
    ratio = _within("a reflectance", reflectance, 0.0, np.inf) / _within("the paper", paper, _SOME, np.inf)
    with np.errstate(divide="ignore"):
        return np.asarray(0.0 - np.log10(ratio))


def from_density(dense: ArrayLike, paper: ArrayLike = 1.0) -> FloatArray:
    """Give the reflectance of a density over paper, R = Rp 10^-D."""
    return np.asarray(paper, dtype=np.float64) * np.exp(-_TEN * np.asarray(dense, dtype=np.float64))


# Layers that scatter


class Coating(NamedTuple):
    """A layer by itself, nothing beneath it: what it sends back and lets through.

    Attributes
    ----------
    reflectance, underside : (...) floats, 0 to 1
        Seen from above and from below; alike of one even layer, not of two on each other.
    transmittance : (...) floats, 0 to 1
        The same both ways.
    """

    reflectance: FloatArray
    underside: FloatArray
    transmittance: FloatArray


def kubelka_munk(absorption: ArrayLike, scattering: ArrayLike, thickness: ArrayLike = 1.0) -> Coating:
    """Give an even layer that absorbs and scatters (Kubelka 1948).

    With y = X sqrt(K (K + 2S)) and u = X tanh(y) / y: R = S u / ((K + S) u + 1) and
    T = sech(y) / ((K + S) u + 1). This form has no gap at S = 0, where T = exp(-KX) (Beer-Lambert), nor at
    K = 0, where R = SX / (SX + 1).

    Parameters
    ----------
    absorption, scattering : (...) floats
        K and S per unit of thickness, 0 or more.
    thickness : (...) floats
        X, 0 or more and finite; ``infinite_reflectance`` is the limit.
    """
    most = float(np.finfo(np.float64).max)
    k = _within("an absorption", absorption, 0.0, most)
    s = _within("a scattering", scattering, 0.0, most)
    x = _within("a thickness", thickness, 0.0, most)
    y = x * np.sqrt(k) * np.sqrt(k + 2.0 * s)
    u = x * _over(np.tanh(y), y)
    below = (k + s) * u + 1.0
    back = s * u / below
    return Coating(back, back, 2.0 * np.exp(-y) / (1.0 + np.exp(-2.0 * y)) / below)


def on_ground(coating: Coating, ground: ArrayLike) -> FloatArray:
    """Give the reflectance of a layer on a ground: R + T² Rg / (1 - R' Rg), R' the layer's underside."""
    beneath = _part("the ground", ground)
    between = _echoed(coating.underside * beneath)
    return np.asarray(coating.reflectance + coating.transmittance**2 * beneath * between)


def combined(upper: Coating, lower: Coating) -> Coating:
    """Lay one layer on another (Kubelka 1954); the order counts, how they are bracketed does not."""
    between = _echoed(upper.underside * lower.reflectance)
    return Coating(
        np.asarray(upper.reflectance + upper.transmittance**2 * lower.reflectance * between),
        np.asarray(lower.underside + lower.transmittance**2 * upper.underside * between),
        np.asarray(upper.transmittance * lower.transmittance * between),
    )


def over_two_grounds(
    first: ArrayLike, first_ground: ArrayLike, second: ArrayLike, second_ground: ArrayLike
) -> Coating:
    """Give an even layer from its reflectances on two grounds, as on a card half black and half white.

    With R on g and R' on g': R0 = (g R' - g' R) / (g - g' + g g' (R' - R)), T² = (R - R0)(1 - R0 g) / g.

    Raises
    ------
    ValueError
        If the grounds are alike, or no layer can look so on them.
    """
    r, g = _part("a reflectance", first), _part("a ground", first_ground)
    other, dark = _part("a reflectance", second), _part("a ground", second_ground)
    if np.any(g == dark):
        raise ValueError("a layer is told from its ground on two different grounds only")
    lone = (g * other - dark * r) / (g - dark + g * dark * (other - r))
    over, light = np.where(g > dark, r, other), np.maximum(g, dark)
    squared = (over - lone) * (1.0 - lone * light) / light
    if np.any(squared < -1e-9) or np.any(lone < -1e-9):
        raise ValueError("no layer looks like this on these two grounds")
    lone = np.maximum(lone, 0.0)
    return Coating(lone, lone, np.sqrt(np.maximum(squared, 0.0)))


def coefficients(coating: Coating) -> tuple[FloatArray, FloatArray]:
    """Give the absorption KX and the scattering SX of an even layer.

    With cosh(y) = (1 + T² - R²) / 2T: SX = (R / T) y / sinh(y), (K + S)X = (1 / T - cosh(y)) y / sinh(y).

    Raises
    ------
    ValueError
        If the layer lets nothing through: it could have any thickness.
    """
    back, through = (
        coating.reflectance,
        _within("the transmittance of a layer", coating.transmittance, _SOME, 1.0 + _HAIR),
    )
    swell = np.maximum((1.0 + through**2 - back**2) / (2.0 * through), 1.0)
    y = np.arccosh(swell)
    part = 1.0 / _over(np.sinh(y), y)
    scattering = back / through * part
    return np.maximum((1.0 / through - swell) * part - scattering, 0.0), scattering


def absorption_ratio(reflectance: ArrayLike) -> FloatArray:
    """Give K/S of a layer without end from its reflectance: (1 - R)² / 2R."""
    back = _part("a reflectance", reflectance)
    with np.errstate(divide="ignore"):
        return np.asarray((1.0 - back) ** 2 / (2.0 * back))


def infinite_reflectance(ratio: ArrayLike) -> FloatArray:
    """Give the reflectance of a layer without end: 1 + q - sqrt(q² + 2q) with q = K/S."""
    q = _within("K/S", ratio, 0.0, np.inf)
    return np.asarray(1.0 / (1.0 + q + np.sqrt(q) * np.sqrt(q + 2.0)))


def mixed(reflectances: ArrayLike, shares: ArrayLike) -> FloatArray:
    """Mix paints that hide what is beneath: their K/S add up by share (one constant for both).

    Parameters
    ----------
    reflectances, shares : (..., k) floats
        Of every paint alone; its part of the mixture, together 1.
    """
    parts = _part("a share", shares)
    if not np.allclose(parts.sum(axis=-1), 1.0, rtol=0.0, atol=1e-9):
        raise ValueError("the shares of a mixture do not add up to 1")
    return infinite_reflectance((parts * absorption_ratio(reflectances)).sum(axis=-1))


# Surfaces


def fresnel_normal(index: ArrayLike) -> FloatArray:
    """Give the part that a smooth surface mirrors of light falling straight on it: ((n - 1) / (n + 1))²."""
    n = _within("an index of refraction", index, _SOME, np.inf)
    return np.asarray(((n - 1.0) / (n + 1.0)) ** 2)


def saunderson(internal: ArrayLike, external: float = 0.04, inner: float = 0.6) -> FloatArray:
    """Give what is measured outside of what a layer reflects inside: k1 + (1 - k1)(1 - k2) R / (1 - k2 R).

    Parameters
    ----------
    internal : (...) floats, 0 to 1
    external, inner : float, 0 to 1, below 1
        k1, mirrored outside; k2, mirrored back inside. 0.04 and 0.6 are usual of paint and plastics.
    """
    back, out, back_in = _surface(internal, external, inner)
    return np.asarray(out + (1.0 - out) * (1.0 - back_in) * back / (1.0 - back_in * back))


def saunderson_internal(measured: ArrayLike, external: float = 0.04, inner: float = 0.6) -> FloatArray:
    """Undo ``saunderson``: (R - k1) / ((1 - k1)(1 - k2) + k2 (R - k1)); a measured value is k1 or more."""
    seen, out, back_in = _surface(measured, external, inner)
    inside = _part("a reflectance less that of the surface", seen - out)
    return np.asarray(inside / ((1.0 - out) * (1.0 - back_in) + back_in * inside))


# Halftones


def yule_nielsen(area: ArrayLike, solid: ArrayLike, paper: ArrayLike, n: float = 1.0) -> FloatArray:
    """Give the reflectance of dots: (a Rs^(1/n) + (1 - a) Rp^(1/n))^n.

    Parameters
    ----------
    area : (...) floats, 0 to 1
        The part that is covered.
    solid, paper : (...) floats, 0 to 1
    n : float, 1 or more
        How far light spreads beneath the dots: 1 not at all (Murray-Davies), 2 evenly.
    """
    covered = _part("an area", area)
    return np.asarray((covered * _root(solid, n) + (1.0 - covered) * _root(paper, n)) ** n)


def murray_davies(area: ArrayLike, solid: ArrayLike, paper: ArrayLike) -> FloatArray:
    """Give the reflectance of an area partly covered: a Rs + (1 - a) Rp."""
    return yule_nielsen(area, solid, paper)


def dot_area(reflectance: ArrayLike, solid: ArrayLike, paper: ArrayLike, n: float = 1.0) -> FloatArray:
    """Undo ``yule_nielsen``: the part covered, from reflectances; solid and paper must differ."""
    bare, full = _root(paper, n), _root(solid, n)
    if np.any(bare == full):
        raise ValueError("solid and paper are alike: the area between them cannot be told")
    return np.asarray((bare - _root(reflectance, n)) / (bare - full))


def dot_area_from_density(tint: ArrayLike, solid: ArrayLike, n: float = 1.0) -> FloatArray:
    """Give the part covered from densities over paper: (1 - 10^(-Dt/n)) / (1 - 10^(-Ds/n))."""
    light = _within("a density", tint, 0.0, np.inf)
    full = _within("the density of the solid", solid, _SOME, np.inf)
    part = -_TEN / float(_within("n", n, 1.0, _MOST_N))
    return np.asarray(np.expm1(part * light) / np.expm1(part * full))


def demichel(areas: ArrayLike) -> FloatArray:
    """Give the parts covered by each overlap of dots that lie by chance: products of a and 1 - a.

    Parameters
    ----------
    areas : (..., k) floats, 0 to 1
        Covered by each of k inks.

    Returns
    -------
    (..., 2^k) floats
        They add up to 1. The place counts in binary, the first ink the highest digit: of c, m, y these are
        paper, y, m, my, c, cy, cm, cmy.
    """
    covered = _part("an area", areas)
    if covered.ndim == 0:
        raise ValueError("areas need a last axis of inks")
    parts = np.ones((*covered.shape[:-1], 1))
    for ink in range(covered.shape[-1]):
        one = covered[..., ink, None, None]
        parts = (parts[..., None] * np.concatenate((1.0 - one, one), axis=-1)).reshape(*parts.shape[:-1], -1)
    return parts


def neugebauer(areas: ArrayLike, primaries: ArrayLike, n: float = 1.0) -> FloatArray:
    """Give the reflectance of several inks in dots: (sum of w R^(1/n))^n over all overlaps.

    Parameters
    ----------
    areas : (..., k) floats, 0 to 1
    primaries : (2^k,) or (2^k, c) floats, 0 to 1
        Reflectance of each overlap in the order of ``demichel``, of one channel or of c.
    n : float, 1 or more
        As in ``yule_nielsen``; 1 is Neugebauer's own.

    Returns
    -------
    (...) or (..., c) floats
    """
    parts, roots = demichel(areas), _root(primaries, n)
    if roots.ndim not in {1, 2} or roots.shape[0] != parts.shape[-1]:
        raise ValueError(f"expected {parts.shape[-1]} primaries, not the shape {roots.shape}")
    return np.asarray(np.tensordot(parts, roots, axes=1) ** n)


def _within(what: str, values: ArrayLike, least: float, most: float) -> FloatArray:
    numbers = np.asarray(values, dtype=np.float64)
    if not np.all((numbers >= least) & (numbers <= most)):
        raise ValueError(f"{what} is out of range: {numbers.min():g} to {numbers.max():g}")
    return numbers


def _part(what: str, values: ArrayLike) -> FloatArray:
    """Check parts of the whole, 0 to 1, and take off what only rounding put on."""
    return np.clip(_within(what, values, -_HAIR, 1.0 + _HAIR), 0.0, 1.0)


def _over(values: FloatArray, y: FloatArray) -> FloatArray:
    """Give tanh(y) / y or sinh(y) / y, 1 at y = 0."""
    return np.divide(values, y, out=np.ones_like(y), where=y > 0.0)


def _echoed(product: FloatArray) -> FloatArray:
    """Sum of light going to and fro between two faces, 1 / (1 - R R'); 0 where both give all back."""
    rest = np.asarray(1.0 - product)
    return np.divide(1.0, rest, out=np.zeros_like(rest), where=rest > 0.0)


def _root(values: ArrayLike, n: float) -> FloatArray:
    return np.asarray(_part("a reflectance", values) ** (1.0 / _within("n", n, 1.0, _MOST_N)))


def _surface(values: ArrayLike, external: float, inner: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    most = 1.0 - float(np.finfo(np.float64).eps)
    out, back_in = (_within("the part mirrored", part, 0.0, most) for part in (external, inner))
    return _part("a reflectance", values), out, back_in
