"""What is wished of each ink of a palette built round a lead: one scheme for each kind.

The angles between hues are those of colour theory (analogous, complementary, split complementary, triad), counted in
OKLCH. How light and how strong an ink of each hue is at its best is our judgement, by eye; so are the figures of the
kinds. That one ink is clearly darker than the rest, even among pastels, and one a light that sits with all, is common
practice, no source.
"""

from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np

from mockup.colour.oklch import Tone

MARGIN: Final = 15.0
"""L* by which the dark is darker than every other ink."""

LIGHT: Final = 85.0
"""L* from which an ink can be the light."""

DEEPEST: Final = 7.0
"""L* of the deepest ink that is still made: a lead less than ``MARGIN`` above it leaves no darker dark."""


class Wish(NamedTuple):
    """One ink as wished: its role, CIELAB L*, OKLCH chroma and hue (degrees), and how far the hue may turn."""

    role: str
    lightness: float
    chroma: float
    hue: float
    turn: float = 20.0


class Lead(NamedTuple):
    """The dominant as schemes see it: CIELAB L*, its OKLCH, and whether it is itself the darkest or the lightest."""

    lightness: float
    shade: Tone
    darkest: bool
    lightest: bool


@dataclass(frozen=True)
class Scheme:
    """One kind of palette.

    Attributes
    ----------
    kind : str
    angles : tuple of float
        From the lead's hue to each accent's, degrees, in the order in which accents are added.
    strength : float
        Of the accents, as a part of what suits their hue and the lead.
    span : (float, float)
        L* between which the accents lie.
    dark : (float, float)
        L* and OKLCH chroma of the dark, where the lead leaves room for it.
    light : (float, float)
        L* and OKLCH chroma of the light.
    anchor : tuple of float
        Angles of which the dark takes that nearest to blue.
    story : str
        What the accents are, for the reasons.
    turn : float
        Degrees that an accent's hue may turn to keep clear of the others.
    nearest : float
        CIEDE2000 that any two inks differ by at least.
    """

    kind: str
    angles: tuple[float, ...]
    strength: float
    span: tuple[float, float]
    dark: tuple[float, float]
    light: tuple[float, float]
    anchor: tuple[float, ...]
    story: str
    turn: float = 16.0
    nearest: float = 10.0


SCHEMES: Final = (
    Scheme(
        "monochrome",
        (0.0,) * 9,
        0.85,
        (38.0, 82.0),
        (20.0, 0.05),
        (93.5, 0.018),
        (0.0,),
        "of the lead's own hue, told apart by lightness and strength",
        turn=8.0,
        nearest=8.0,
    ),
    Scheme(
        "analogous",
        (-38.0, 40.0, -62.0, 64.0, -20.0, 22.0, -80.0, 82.0, 0.0),
        0.95,
        (40.0, 81.0),
        (21.0, 0.05),
        (93.5, 0.02),
        (-40.0, 40.0, -60.0, 60.0),
        "neighbours of the lead's hue, up to some 60 degrees to either side",
        turn=12.0,
    ),
    Scheme(
        "complementary",
        (180.0, 22.0, 190.0, -24.0, 168.0, 0.0, 200.0, 40.0, 180.0),
        0.9,
        (40.0, 81.0),
        (21.0, 0.05),
        (93.5, 0.018),
        (0.0, 180.0),
        "from the hue opposite the lead's, and beside the lead to bridge the two",
        turn=14.0,
    ),
    Scheme(
        "split complementary",
        (150.0, 210.0, 12.0, 150.0, 210.0, -14.0, 135.0, 225.0, 0.0),
        0.9,
        (40.0, 81.0),
        (21.0, 0.05),
        (93.5, 0.018),
        (0.0, 150.0, 210.0),
        "from the two hues beside the opposite of the lead's",
        turn=14.0,
    ),
    Scheme(
        "triad",
        (120.0, 240.0, 0.0, 120.0, 240.0, 15.0, 105.0, 255.0, 0.0),
        0.9,
        (40.0, 81.0),
        (21.0, 0.05),
        (93.5, 0.018),
        (0.0, 120.0, 240.0),
        "a third of the circle of hues from the lead to either side",
        turn=14.0,
    ),
    Scheme(
        "pastel",
        (150.0, -70.0, 65.0, 215.0, 105.0, -35.0, 30.0, 180.0, 0.0),
        0.5,
        (77.0, 88.0),
        (44.0, 0.045),
        (96.0, 0.012),
        (0.0, 150.0, -70.0, 65.0),
        "pale and soft, from hues all round",
    ),
    Scheme(
        "muted",
        (165.0, 50.0, -75.0, 110.0, 215.0, -30.0, 80.0, 180.0, 20.0),
        0.5,
        (46.0, 80.0),
        (24.0, 0.025),
        (90.5, 0.02),
        (0.0, 165.0, -75.0),
        "greyed, from hues all round",
    ),
    Scheme(
        "dark ground",
        (180.0, 40.0, -55.0, 120.0, 215.0, 0.0, 80.0, 150.0, 240.0),
        0.95,
        (58.0, 85.0),
        (15.0, 0.035),
        (92.5, 0.025),
        (0.0, 180.0, -55.0),
        "lighter than usual, to stand out from a dark ground",
    ),
)

#: OKLCH hue, and the L* and OKLCH chroma at which an ink of that hue is at its best on cloth and paper; by eye.
_BEST: Final = np.array(
    [
        (0.0, 55.0, 0.135),
        (20.0, 51.0, 0.150),
        (42.0, 58.0, 0.140),
        (65.0, 69.0, 0.135),
        (85.0, 76.0, 0.135),
        (105.0, 72.0, 0.110),
        (135.0, 58.0, 0.095),
        (160.0, 54.0, 0.082),
        (190.0, 50.0, 0.078),
        (220.0, 53.0, 0.085),
        (250.0, 49.0, 0.105),
        (275.0, 46.0, 0.115),
        (300.0, 44.0, 0.110),
        (330.0, 47.0, 0.120),
        (360.0, 55.0, 0.135),
    ]
)
_GREY: Final = 0.012  # OKLCH chroma below which the lead shows no hue
_WARM: Final = 45.0  # the hue that stands in for a grey's
_COOLEST: Final = 265.0
_CREAM: Final = 85.0
_COOL: Final = 250.0


def hue_of(lead: Lead) -> float:
    """Give the hue that angles are counted from; a grey has none, and gets a warm one."""
    return lead.shade.hue if lead.shade.chroma >= _GREY else _WARM


def is_grey(lead: Lead) -> bool:
    """Whether the lead shows no hue."""
    return lead.shade.chroma < _GREY


def fits(scheme: Scheme, lead: Lead) -> bool:
    """Whether a scheme suits a lead: on a dark ground the lead must be a good deal lighter."""
    return scheme.kind != "dark ground" or lead.lightness >= scheme.dark[0] + 33.0


def wishes(scheme: Scheme, lead: Lead, count: int) -> tuple[Wish, ...]:
    """Give the wishes of a scheme: the dark, the light, then ``count - 3`` accents."""
    hue = hue_of(lead)
    dark = _dark(scheme, lead, hue)
    low = max(scheme.span[0], dark.lightness + MARGIN + 3.0)
    angles = scheme.angles[: count - 3]
    hues = [(hue + angle) % 360.0 for angle in angles]
    levels = _levels(len(hues), (min(low, scheme.span[1] - 4.0), scheme.span[1]), lead.lightness)
    best = [_best(own) for own in hues]
    order = sorted(range(len(hues)), key=lambda i: (best[i][0], i))
    slot = dict(zip(order, sorted(levels), strict=True))
    accents = [_accent(scheme, lead, own, slot[i], len(hues)) for i, own in enumerate(hues)]
    return (dark, _light(scheme, lead, hue), *accents)


def _best(hue: float) -> tuple[float, float]:
    light, chroma = (float(np.interp(hue, _BEST[:, 0], _BEST[:, column])) for column in (1, 2))
    return light, chroma


def _dark(scheme: Scheme, lead: Lead, hue: float) -> Wish:
    """The dark: of the kind's hues that nearest to blue; below the lead, or just above a lead that is darkest."""
    hues = [(hue + angle) % 360.0 for angle in scheme.anchor]
    own = min(hues, key=lambda one: abs((one - _COOLEST + 180.0) % 360.0 - 180.0))
    light, chroma = scheme.dark
    if lead.darkest:
        light = max(light, lead.lightness + MARGIN + 5.0)
    else:
        light = max(min(light, lead.lightness - MARGIN - 5.0), min(DEEPEST + 1.0, lead.lightness - MARGIN))
    if scheme.kind == "monochrome":
        chroma = min(chroma, max(lead.shade.chroma, 0.012))
    return Wish("dark", light, chroma, own)


def _light(scheme: Scheme, lead: Lead, hue: float) -> Wish:
    """The light: tinted towards the lead, but half way to cream, since pink and green tints look sickly.

    Beside a lead that is itself the lightest it is a pale neutral of the other temperature: cool beside cream.
    """
    light, chroma = scheme.light
    to_cream = (hue - _CREAM + 180.0) % 360.0 - 180.0
    if lead.lightest:
        warm = lead.shade.chroma >= _GREY and abs(to_cream) < 90.0
        level = LIGHT + 1.5 if lead.lightness > 90.0 else 96.5
        return Wish("light", level, 0.018, _COOL if warm else _CREAM, 60.0)
    if abs(to_cream) < 75.0:
        return Wish("light", light, chroma, (_CREAM + 0.4 * to_cream) % 360.0)
    return Wish("light", light, 0.65 * chroma, hue)


def _levels(count: int, span: tuple[float, float], lead: float) -> list[float]:
    """Give some lightnesses within a span, each as far from the lead's and the others as can be."""
    grid = np.linspace(*span, 41)
    taken = [lead]
    for _ in range(count):
        far = np.abs(grid[:, None] - np.array(taken)[None, :]).min(axis=1)
        taken.append(float(grid[int(far.argmax())]))
    return taken[1:]


def _accent(scheme: Scheme, lead: Lead, hue: float, level: float, count: int) -> Wish:
    """One of some accents: between the lightness that structure asks and that which suits the hue.

    Its strength is what the hue bears, a little more or less so with a strong or a quiet lead, and less where it is
    lighter than suits it; accents of the lead's own hue follow the lead, and many of a grey need some tint to be told
    apart.
    """
    low, high = scheme.span
    light, chroma = _best(hue)
    suits = low + (high - low) * (light - 44.0) / 32.0 if scheme.strength <= 0.5 else light
    wanted = min(max(0.5 * level + 0.5 * suits, low), high)
    if scheme.kind == "monochrome":
        chroma = min(max(lead.shade.chroma, 0.006 + 0.005 * count), 0.16)
        chroma *= 1.0 - 0.7 * max(level - lead.lightness, 0.0) / (101.0 - lead.lightness)
    else:
        ratio = lead.shade.chroma / _best(lead.shade.hue)[1]
        chroma *= float(np.clip(0.65 + 0.35 * ratio, 0.7, 1.1))
        chroma *= 1.0 - 0.012 * max(wanted - suits, 0.0)
    return Wish("accent", wanted, chroma * scheme.strength, hue, scheme.turn)
