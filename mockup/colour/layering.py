"""More coats of one ink, and darker pens to shade with.

A coat is a transparent film over paper: light passes it twice and loses a part each time, so that
density over the paper adds up. A second coat of marker ink adds less than the first, since the paper
is partly full; how much less differs by ink and paper. Her measured coats always come first.

References
----------
Beer-Lambert law, double pass: R = Rp T^(2n), per linear-light channel.
"""

from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from mockup.colour.conversion import Colour, from_srgb, linear_from_srgb, srgb_from_linear
from mockup.colour.difference import FloatArray
from mockup.colour.ink import Ink
from mockup.colour.palette import Palette

#: Films that one, two, three, four coats are worth; further coats add nothing. Our guess, from memory.
FILMS: Final = (1.0, 1.25, 1.4, 1.5)
_ALIKE: Final = 40.0  # degrees of hue
_DARKER: Final = (10.0, 25.0)  # L*
_NEUTRAL: Final = 8.0  # CIELAB chroma below which hue hardly counts


def transmittance(reflectance: ArrayLike, paper: ArrayLike) -> FloatArray:
    """Give what a film lets through in one pass, from its reflectance over paper.

    Parameters
    ----------
    reflectance, paper : (...) floats, 0 to 1
        Linear light, with and without the film.

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


def over_paper(through: ArrayLike, paper: ArrayLike, films: float) -> FloatArray:
    """Give the reflectance of films over paper: R = Rp T^(2n).

    Parameters
    ----------
    through, paper : (...) floats, 0 to 1
        Transmittance of one film; reflectance of the paper, linear light.
    films : float
        How many, 0 or more; parts are allowed.
    """
    return np.asarray(paper, dtype=np.float64) * np.asarray(through, dtype=np.float64) ** (2.0 * films)


def coat_colour(ink: Ink, coats: int, paper: Colour) -> Colour:
    """Give the colour of some coats of an ink.

    Measured coats are taken as they are. Beyond the last of them (the first coat is always known)
    the density over the paper grows as ``FILMS`` says, never lighter than the coat before; where an ink
    is lighter than its paper (white on kraft), it stays as it is.

    Parameters
    ----------
    ink : Ink
    coats : int
        0 is bare paper; an "ink" of bare paper stays paper.
    paper : Colour

    Raises
    ------
    ValueError
        If there are fewer than no coats.
    """
    if coats < 0:
        raise ValueError(f"an ink cannot have {coats} coats")
    if coats == 0 or ink.paper:
        return paper
    measured = (ink.colour, *ink.coats)
    if coats <= len(measured):
        return measured[coats - 1]
    known, wanted = (FILMS[min(number, len(FILMS)) - 1] for number in (len(measured), coats))
    if wanted == known:
        return measured[-1]
    last, bare = (linear_from_srgb(colour.srgb) for colour in (measured[-1], paper))
    guess = np.where(last < bare, over_paper(transmittance(last, bare), bare, wanted / known), last)
    return from_srgb(np.clip(srgb_from_linear(guess), 0.0, 1.0).tolist())


def darker_pen(ink: Ink, palette: Palette, paper: Colour) -> Ink:
    """Give the pen to shade an ink with: the next darker ink of like hue, else the same ink.

    It is 10 to 25 L* darker, and its hue within 40 degrees; greys go with greys and muted colours.
    Bare paper is shaded like an ink of the paper's colour, but never shades.
    """
    base = paper if ink.paper else ink.colour
    least, most = _DARKER
    fitting = [
        other
        for other in palette.inks
        if not other.paper
        and least <= base.lightness - other.colour.lightness <= most
        and _like_hue(base, other.colour)
    ]
    return max(fitting, key=lambda other: other.colour.lightness, default=ink)


def next_darker(ink: Ink, inks: Iterable[Ink], paper: Colour) -> Ink:
    """Give the next darker of some inks, whatever its hue, else the same ink: how a set of skin tones shades itself.

    Bare paper is as light as the paper, and never shades.
    """
    base = paper if ink.paper else ink.colour
    darker = [other for other in inks if not other.paper and other.colour.lightness < base.lightness]
    return max(darker, key=lambda other: other.colour.lightness, default=ink)


def _like_hue(one: Colour, two: Colour) -> bool:
    """Whether two colours may pass for shades of one; hues of greys are not compared."""
    weak, strong = sorted((one.chroma, two.chroma))
    if weak < _NEUTRAL:
        return strong < 2 * _NEUTRAL
    return abs((one.hue - two.hue + 180.0) % 360.0 - 180.0) <= _ALIKE
