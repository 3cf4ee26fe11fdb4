"""More coats of one ink, one ink over another, and darker pens to shade with.

A coat is a transparent film over paper: light passes it twice and loses a part each time, so that
density over the paper adds up. A second film adds less than it would alone, since the paper
is partly full; how much less differs by ink and paper. Her measured coats always come first.

What is guessed, and how (all of it from memory):

* **Coats.** The density over the paper in each linear-light channel is worth 1, 1.25, 1.4, 1.5, 1.57 films for one
  to five coats, then no more. An ink lighter than its paper stays as it is.
* **One ink over another.** In each channel the transmittances are multiplied, the weaker film's raised to 0.25: the
  stronger counts in full, the weaker as a second coat would. So two inks of one colour give its second coat, two
  inks that stop different light multiply as clear films do, the result is in no channel lighter than either ink,
  and their order does not matter.
* **Inks lighter than their paper** (white on kraft) cannot be clear films. An ink lighter by 5 L* or more covers
  what is beneath: it shows as it does on the paper. Less than that may be a slip of measuring: such an ink is clear
  in the channels where it is the lighter. On white paper every ink is a film. A lower ink stands in for the paper
  in the channels where it is lighter than it. Only through these rules does the order matter.
* **Uncertainty** is that of the inks involved, in quadrature, with half the way (CIEDE2000) that was guessed: from
  the last measured coat, coat by coat; from the nearer of two inks to the two on each other; of a covering ink, to
  the colour with half the lower ink showing through. The published overprints of process inks, told by this
  guess, miss by 0.19 to 0.32 of that way (``tests/test_layering.py``); pens on other papers may do worse.

References
----------
Beer-Lambert law, double pass: R = Rp T^(2n), per linear-light channel (``optics``).
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from mockup.colour.coding import linear_from_srgb, srgb_from_linear
from mockup.colour.conversion import Colour, from_srgb
from mockup.colour.difference import ciede2000
from mockup.colour.ink import Ink
from mockup.colour.optics import murray_davies, over_paper, transmittance
from mockup.colour.palette import Palette

#: Films that one to five coats are worth; further coats add nothing. Our guess, from memory.
FILMS: Final = (1.0, 1.25, 1.4, 1.5, 1.57)
#: What to say wherever a guessed colour shows.
GUESS: Final = "our guess, from memory: test on your paper"
#: CIEDE2000 by which the colour of an ink may be off that was judged by eye, or by a camera without a chart.
#: Our proposal, from memory.
UNMEASURED: Final = 5.0
#: CIEDE2000 within which a swatch of the same pen on the same paper repeats: no colour is surer than this, however
#: well measured. Our proposal, from memory.
REPEATS: Final = 2.0
_GUESSED: Final = 0.5  # of the way guessed
_COVERS: Final = 5.0  # L* above the paper from which an ink covers: what an unmeasured colour may be off
_WEAKER: Final = FILMS[1] - FILMS[0]  # films that the weaker of two inks is worth
_ALIKE: Final = 40.0  # degrees of hue
_DARKER: Final = (10.0, 25.0)  # L*
_NEUTRAL: Final = 8.0  # CIELAB chroma below which hue hardly counts


@dataclass(frozen=True)
class Layer:
    """What ink on paper looks like, and how sure that is.

    Attributes
    ----------
    colour : Colour
    uncertainty : float
        How far it may be off: CIEDE2000, plus or minus.
    guessed : bool
        Whether it was worked out, not measured or given; then ``GUESS`` is to be said beside it.
    """

    colour: Colour
    uncertainty: float
    guessed: bool


def coats(ink: Ink, number: int, paper: Colour) -> Layer:
    """Give some coats of an ink.

    Measured coats are taken as they are. Beyond the last of them (the first coat is always known)
    the density over the paper grows as ``FILMS`` says, never lighter than the coat before; where an ink
    is lighter than its paper (white on kraft), it stays as it is.

    Parameters
    ----------
    ink : Ink
    number : int
        0 is bare paper, counted as unmeasured; an "ink" of bare paper stays paper.
    paper : Colour

    Raises
    ------
    ValueError
        If there are fewer than no coats.
    """
    if number < 0:
        raise ValueError(f"an ink cannot have {number} coats")
    if ink.paper or number == 0:
        return Layer(paper, _uncertainty(ink) if ink.paper else UNMEASURED, False)
    measured = (ink.colour, *ink.coats)
    if number <= len(measured):
        return Layer(measured[number - 1], _uncertainty(ink), False)
    last, known = measured[-1], len(measured)
    guesses = (_thicker(last, films / FILMS[known - 1], paper) for films in FILMS[known:number])
    steps = (last, *guesses)
    way = sum(ciede2000(before, after) for before, after in pairwise(steps))
    return Layer(steps[-1], math.hypot(_uncertainty(ink), _GUESSED * way), True)


def overlaid(upper: Ink, lower: Ink, paper: Colour) -> Layer:
    """Give one coat of an ink over one coat of another, as the head of this module says.

    Bare paper is neutral on either side: the other ink stays as it was given. An ink over itself is its second coat,
    measured or guessed.
    """
    if upper.paper or lower.paper:
        return coats(lower if upper.paper else upper, 1, paper)
    if upper == lower:
        return coats(upper, 2, paper)
    if upper.colour.lightness >= paper.lightness + _COVERS:
        return _covering(upper, lower)
    bare, above, below = (linear_from_srgb(colour.srgb) for colour in (paper, upper.colour, lower.colour))
    films = (transmittance(above, bare), transmittance(below, bare))
    through = np.minimum(*films) * np.maximum(*films) ** _WEAKER
    colour = _shown(over_paper(through, np.maximum(bare, below), 1.0))
    way = min(ciede2000(colour, ink.colour) for ink in (upper, lower))
    return Layer(colour, math.hypot(_uncertainty(upper), _uncertainty(lower), _GUESSED * way), True)


def shading(ink: Ink, pen: Ink, number: int, paper: Colour) -> Layer:
    """Give so many coats of a pen over one coat of an ink: its own further coats, or another film on it.

    Raises
    ------
    ValueError
        If there is no coat.
    """
    if number < 1:
        raise ValueError(f"an ink is not shaded by {number} coats")
    if pen == ink or pen.paper:
        return coats(ink, number + 1, paper)
    film = coats(pen, number, paper)
    return overlaid(replace(pen, colour=film.colour, coats=()), ink, paper)


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

    Inks that are there to shade it come before all others, and shade nothing else. Bare paper is as light as the paper,
    and never shades.
    """
    base, every = paper if ink.paper else ink.colour, tuple(inks)
    meant = [other for other in every if other.shades and other.shades in {ink.name, ink.shades}]
    fitting = meant or [other for other in every if not other.shades and not ink.shades]
    darker = [other for other in fitting if not other.paper and other.colour.lightness < base.lightness]
    return max(darker, key=lambda other: other.colour.lightness, default=ink)


def _uncertainty(ink: Ink) -> float:
    """How far the measured colours of an ink may be off on her paper, CIEDE2000."""
    return UNMEASURED if ink.uncertainty is None else max(ink.uncertainty, REPEATS)


def _thicker(colour: Colour, times: float, paper: Colour) -> Colour:
    """Multiply the density of a colour over its paper; channels lighter than the paper stay."""
    film, bare = (linear_from_srgb(one.srgb) for one in (colour, paper))
    return _shown(np.where(film < bare, over_paper(transmittance(film, bare), bare, times), film))


def _covering(upper: Ink, lower: Ink) -> Layer:
    """Give an ink that hides what is beneath; how well, is the guess."""
    over, under = (linear_from_srgb(ink.colour.srgb) for ink in (upper, lower))
    way = ciede2000(upper.colour, _shown(murray_davies(0.5, over, under)))
    return Layer(upper.colour, math.hypot(_uncertainty(upper), _GUESSED * way), True)


def _shown(linear: ArrayLike) -> Colour:
    """Give the colour of linear light, (3,) floats."""
    return from_srgb(np.clip(srgb_from_linear(linear), 0.0, 1.0).tolist())


def _like_hue(one: Colour, two: Colour) -> bool:
    """Whether two colours may pass for shades of one; hues of greys are not compared."""
    weak, strong = sorted((one.chroma, two.chroma))
    if weak < _NEUTRAL:
        return strong < 2 * _NEUTRAL
    return abs((one.hue - two.hue + 180.0) % 360.0 - 180.0) <= _ALIKE
