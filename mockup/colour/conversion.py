"""Colours: read from text, kept as measured, shown as sRGB. The only home of coloraide.

A colour outside sRGB is shown with its CIELAB lightness and hue kept and its chroma reduced until it
fits ("LCh chroma" under D65). Other ways were measured: all lose alike on vivid inks (turquoise 7,
orange 4, yellow 5 CIEDE2000), but reduction in OKLCh turns an impossible blue by 50 degrees of CIELAB
hue and loses 17 where this loses 7, and plain clipping turns hues by up to 10 degrees. The price: the
deepest blues, beyond any ink, look a little violet. The loss is kept with the colour.

References
----------
CSS Color Module Level 4 (syntax and clamping; its lab() and lch() are D50, adapted by Bradford);
IEC 61966-2-1 (sRGB); CIE 15 (CIELAB).
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final

import numpy as np
from coloraide import Color
from coloraide.css.color_names import name2val_map

from mockup.colour.difference import FloatArray, ciede2000_lab

Triple = tuple[float, float, float]

_GREY: Final = 0.02  # CIELAB chroma below which a hue is only rounding
_HAIR: Final = 0.25 / 255  # a quarter of an 8-bit step beyond sRGB is not out of gamut
_STRONGEST: Final = 300.0  # CIELAB chroma; the widest CSS space (prophoto-rgb) ends at 264
_LONGEST: Final = 100
_OLD_NAMES: Final = {"mediumpurple": "#9370db", "palevioletred": "#db7093"}  # coloraide has older values
_PREDEFINED: Final = {
    *("srgb", "srgb-linear", "display-p3", "display-p3-linear", "a98-rgb", "prophoto-rgb", "rec2020"),
    *("xyz", "xyz-d50", "xyz-d65"),
}
_EXAMPLES: Final = {
    "rgb": "rgb(181 83 42)",
    "rgba": "rgb(181 83 42)",
    "hsl": "hsl(18 62% 44%)",
    "hsla": "hsl(18 62% 44%)",
    "hwb": "hwb(18 16% 29%)",
    "lab": "lab(48 39 43)",
    "lch": "lch(48 58 48)",
    "oklab": "oklab(0.56 0.1 0.09)",
    "oklch": "oklch(0.56 0.14 42)",
    "color": "color(display-p3 0.66 0.35 0.21)",
}
_HELP: Final = 'write such as "#b5532a", "tomato" or "lab(48 39 43)"'
_CALL: Final = re.compile(r"([a-z][a-z0-9-]*)\(\s*([-a-z0-9]*)", re.IGNORECASE)


@dataclass(frozen=True)
class Colour:
    """A colour as given, and as it is shown.

    Attributes
    ----------
    lab : 3 floats
        CIELAB under D65 of the colour as given, inside sRGB or not.
    srgb : 3 floats, 0 to 1
        What is shown: the same colour, or the nearest of like lightness and hue that sRGB holds.
    loss : float
        CIEDE2000 between the two; 0 where sRGB holds the colour.
    written : str
        The text it was read from, or one that reads as the same colour.
    """

    lab: Triple
    srgb: Triple
    loss: float
    written: str

    @property
    def hex(self) -> str:
        """The colour as shown, "#rrggbb"; a colour read from hex gives that hex again."""
        return _hex(self.srgb)

    @property
    def lightness(self) -> float:
        """CIELAB L*, 0 to 100."""
        return self.lab[0]

    @property
    def chroma(self) -> float:
        """CIELAB C*, 0 for greys."""
        return math.hypot(self.lab[1], self.lab[2])

    @property
    def hue(self) -> float:
        """CIELAB hue in degrees, 0 to 360; greys have none, and give 0."""
        if self.chroma < _GREY:
            return 0.0
        return (
            math.degrees(math.atan2(self.lab[2], self.lab[1])) % 360.0 % 360.0
        )  # a hair below 0 gives 360.0 first


def read_colour(text: str) -> Colour:
    """Read an opaque colour in any syntax of CSS Color 4.

    ``none`` counts as 0; numbers out of range are clamped where CSS says so.

    Raises
    ------
    ValueError
        One plain line that says what is wrong and shows a right example.
    """
    bare = text.strip()
    if len(bare) > _LONGEST:
        raise ValueError(f"{bare[:20] + '…'!r} is too long for a colour; {_HELP}")
    call = _CALL.match(bare)
    form = call[1].lower() if call else ""
    known = form in _EXAMPLES and call is not None and (form != "color" or call[2].lower() in _PREDEFINED)
    try:
        if call and not known:
            raise ValueError(bare)
        color = Color(_OLD_NAMES.get(bare.lower(), bare))
    except ValueError:
        raise ValueError(_fault(bare)) from None
    if color.alpha(nans=False) != 1.0:
        example = _EXAMPLES.get(form, "#b5532a")
        raise ValueError(
            f"{bare!r} is see-through; inks are opaque: leave the alpha out, as in {_quoted(example)}"
        )
    values = [float(value) for value in color.coords(nans=False)]
    if not all(math.isfinite(value) and abs(value) < 1e4 for value in values):
        raise ValueError(f"{bare!r} holds a number that is too large; {_HELP}")
    return _colour(Color(color.space(), _clamped(form, values)), text)


def from_srgb(srgb: Sequence[float]) -> Colour:
    """Make a colour of three sRGB channels, 0 to 1.

    Raises
    ------
    ValueError
        If there are not three, or one is not a number from 0 to 1.
    """
    values = [float(value) for value in srgb]
    if len(values) != 3 or not all(0.0 <= value <= 1.0 for value in values):
        raise ValueError(f"an sRGB colour is three numbers from 0 to 1, not {values}")
    return _colour(Color("srgb", values), f"rgb({' '.join(f'{100 * value:.6g}%' for value in values)})")


def from_lab(lab: Sequence[float]) -> Colour:
    """Make a colour of CIELAB L*, a*, b* under **D65**.

    Raises
    ------
    ValueError
        If there are not three finite numbers, or no colour has them.
    """
    values = [float(value) for value in lab]
    if len(values) != 3 or not all(math.isfinite(value) for value in values):
        raise ValueError(f"a CIELAB colour is three numbers, not {values}")
    color = Color("lab-d65", values)
    d50 = color.convert("lab").coords(nans=False)
    return _colour(color, f"lab({' '.join(f'{value:.9f}' for value in d50)})")


def lab_d50(colour: Colour) -> Triple:
    """Give CIELAB under D50, as instruments tell it and CSS writes it, of a colour as given."""
    if colour.written.strip().lower().startswith("lab("):
        return _triple(Color(colour.written.strip()).coords(nans=False))
    return _triple(Color("lab-d65", colour.lab).convert("lab").coords(nans=False))


def deficiency_in_linear(name: str, severity: float) -> FloatArray:
    """Give the (3, 3) matrix of a colour vision deficiency on linear sRGB (Machado, Oliveira, Fernandes 2009).

    Parameters
    ----------
    name : str
        "protan", "deutan" or "tritan".
    severity : float, 0 to 1
        Between steps of 0.1 the matrices are interpolated.
    """
    seen = (
        Color("srgb-linear", [float(channel == basis) for channel in range(3)])
        .filter(name, severity, space="srgb-linear", method="machado")
        .coords(nans=False)
        for basis in range(3)
    )
    return np.array([[float(value) for value in column] for column in seen]).T


def _hex(srgb: Triple) -> str:
    red, green, blue = (round(255 * value) for value in srgb)
    return f"#{red:02x}{green:02x}{blue:02x}"


def _quoted(text: str) -> str:
    return f'"{text}"'


def _triple(values: Sequence[float]) -> Triple:
    first, second, third = (float(value) + 0.0 for value in values)  # + 0.0 turns -0.0 into 0.0
    return first, second, third


def _clamped(form: str, values: list[float]) -> list[float]:
    """Clamp as CSS Color 4 does when it reads: channels, lightness, saturation and chroma."""
    first, second, third = values
    if form in {"rgb", "rgba"}:
        return [min(max(value, 0.0), 1.0) for value in values]
    if form in {"hsl", "hsla"}:
        return [first, max(second, 0.0), third]
    if form in {"lab", "lch", "oklab", "oklch"}:
        first = min(max(first, 0.0), 1.0 if form.startswith("ok") else 100.0)
        second = max(second, 0.0) if form.endswith("lch") else second
    return [first, second, third]


def _colour(color: Color, written: str) -> Colour:
    """Fit a coloraide colour into sRGB and make the record."""
    lab = _triple(color.convert("lab-d65").coords(nans=False))
    if not -0.01 <= lab[0] <= 100.01 or math.hypot(lab[1], lab[2]) > _STRONGEST:
        raise ValueError(f"{written.strip()!r} is beyond what an eye can see; check its numbers, or {_HELP}")
    srgb = color.convert("srgb").coords(nans=False)
    fits = all(-_HAIR <= value <= 1.0 + _HAIR for value in srgb)
    if not fits:
        color = Color("lab-d65", lab).fit("srgb", method="minde-chroma", pspace="lch-d65", jnd=0)
        srgb = color.convert("srgb").coords(nans=False)
    shown = _triple([min(max(value, 0.0), 1.0) for value in srgb])
    loss = (
        0.0 if fits else float(ciede2000_lab(lab, Color("srgb", shown).convert("lab-d65").coords(nans=False)))
    )
    return Colour(lab, shown, loss, written)


def _fault(bare: str) -> str:
    """Say in one line why a text is no colour."""
    call = _CALL.match(bare)
    if not bare:
        return f"no colour is given; {_HELP}"
    if bare.startswith("#"):
        return _hex_fault(bare)
    if call and call[1].lower() not in _EXAMPLES:
        return f"{call[1]}() is no form of colour in CSS; {_HELP}"
    if call:
        form = call[1].lower()
        why = f"does not follow the form of {form}()"
        if "," in bare and form not in {"rgb", "rgba", "hsl", "hsla"}:
            why = "has commas; numbers stand apart by spaces, with a decimal point"
        return f"{bare!r} {why}; write such as {_quoted(_EXAMPLES[form])}"
    if re.fullmatch(r"[0-9a-f]{3}|[0-9a-f]{6}", bare, re.IGNORECASE):
        return f'{bare!r} lacks its sign in front; write "#{bare}"'
    near = get_close_matches(bare.lower(), [*name2val_map, "transparent"], n=1, cutoff=0.75)
    return f"{bare!r} is not a colour; " + (f"did you mean {_quoted(near[0])}?" if near else _HELP)


def _hex_fault(bare: str) -> str:
    digits = bare[1:]
    if not re.fullmatch(r"[0-9a-f]*", digits, re.IGNORECASE):
        return f'{bare!r} has signs other than 0-9 and a-f; write such as "#b5532a"'
    return f'{bare!r} has {len(digits)} digits where 3 or 6 are due; write such as "#b5532a"'
