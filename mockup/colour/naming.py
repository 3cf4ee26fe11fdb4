"""Short plain names for colours: "deep blue", "pale pink", "dark grey-green", "cream", "charcoal".

A colour is sorted by three steps: how much hue it shows (its OKLCH chroma as a part of its lightness), which of
eighteen sectors of hue it lies in, and how light it is (CIELAB L*, five rows). The words are our own choice of
ordinary English; where the borders lie is our judgement, by eye.
"""

from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise
from typing import Final

from mockup.colour.conversion import Colour
from mockup.colour.oklch import Tone, tone

LONGEST: Final = 30
RESERVED: Final = frozenset({"none", "paper", "light", "dark", "dominant", "accent"})

# Limits of saturation (OKLCH chroma over lightness), by row: greys, tinted greys; then weak and strong colours.
_NEUTRAL: Final = (0.013, 0.02, 0.02, 0.03, 0.05)
_TINTED: Final = (0.062, 0.062, 0.062, 0.1, 0.1)
_CREAM: Final = 0.04  # tinted greys among the palest yellows
_WEAK: Final = 0.13
_STRONG: Final = 0.26
_VIVID: Final = 0.175  # OKLCH chroma from which any colour is strong
_ROWS: Final = (80.0, 62.0, 43.0, 24.0)  # L* at which a row of words ends, from very light down
_GREYS: Final = (
    *((97.3, "white"), (92.0, "off-white"), (82.0, "pale grey"), (66.0, "light grey"), (42.0, "grey")),
    *((26.0, "dark grey"), (11.0, "charcoal"), (0.0, "black")),
)

#: Beginning of each sector of hue in degrees of OKLCH, and its words from very light to dark.
_HUES: Final = (
    (0.0, ("pink", "pink", "rose", "wine red", "wine red")),
    (11.0, ("pink", "coral pink", "red", "red", "maroon")),
    (24.5, ("pink", "coral", "red", "red", "maroon")),
    (34.5, ("peach", "coral orange", "terracotta", "rust", "brown")),
    (49.0, ("peach", "orange", "orange-brown", "brown", "brown")),
    (66.0, ("apricot", "orange", "ochre", "brown", "brown")),
    (80.0, ("golden yellow", "gold", "ochre", "olive brown", "olive brown")),
    (96.0, ("yellow", "mustard", "olive", "olive", "olive")),
    (113.0, ("yellow-green", "yellow-green", "olive green", "olive green", "olive green")),
    (131.0, ("green", "green", "green", "green", "green")),
    (156.0, ("mint green", "sea green", "sea green", "green", "green")),
    (174.0, ("aqua", "turquoise", "teal", "teal", "teal")),
    (201.0, ("sky blue", "sky blue", "teal blue", "teal blue", "teal blue")),
    (224.0, ("sky blue", "sky blue", "blue", "blue", "navy blue")),
    (245.0, ("blue", "blue", "blue", "blue", "navy blue")),
    (275.0, ("lavender", "lavender blue", "violet-blue", "violet-blue", "violet-blue")),
    (292.0, ("lavender", "lavender", "violet", "violet", "violet")),
    (308.0, ("lilac", "lilac", "purple", "purple", "plum")),
    (322.0, ("lilac", "lilac", "magenta", "purple", "plum")),
    (337.0, ("pink", "pink", "magenta", "mulberry", "mulberry")),
    (351.0, ("pink", "pink", "rose", "wine red", "wine red")),
)

#: Words before the hue, by row: weak, middle and strong colour.
_TONES: Final = (
    ("pale", "light", "bright"),
    ("soft", "", "bright"),
    ("muted", "", "vivid"),
    ("muted", "deep", "rich"),
    ("dark", "dark", "dark"),
)

#: What a tinted grey is called: end of the sector, then from very light to dark.
_TINTS: Final = (
    (45.0, ("pale pink", "pink-grey", "red-grey", "dark red-grey", "dark red-grey")),
    (68.0, ("pale peach", "beige", "brown-grey", "dark brown-grey", "dark brown-grey")),
    (112.0, ("cream", "beige", "olive grey", "dark olive grey", "dark olive grey")),
    (180.0, ("pale green", "grey-green", "grey-green", "dark grey-green", "dark grey-green")),
    (203.0, ("pale aqua", "teal grey", "teal grey", "dark teal grey", "dark teal grey")),
    (278.0, ("pale blue", "blue-grey", "blue-grey", "dark blue-grey", "dark blue-grey")),
    (310.0, ("pale lavender", "violet-grey", "violet-grey", "dark violet-grey", "dark violet-grey")),
    (340.0, ("pale lilac", "mauve-grey", "mauve-grey", "dark mauve-grey", "dark mauve-grey")),
    (360.0, ("pale pink", "pink-grey", "red-grey", "dark red-grey", "dark red-grey")),
)

#: Words that say their strength themselves: (sector's word, word before it) and what stands for both.
_OWN: Final = {
    ("bright", "coral orange"): "red-orange",
    ("vivid", "terracotta"): "red-orange",
    ("muted", "terracotta"): "rose brown",
    ("soft", "coral orange"): "dusty peach",
    ("soft", "coral"): "dusty pink",
    ("soft", "coral pink"): "dusty pink",
    ("soft", "pink"): "dusty pink",
    ("muted", "rose"): "dusty rose",
    ("muted", "red"): "red-brown",
    ("muted", "rust"): "red-brown",
    ("deep", "rust"): "red-brown",
    ("rich", "rust"): "rust",
    ("rich", "brown"): "brown",
    ("rich", "wine red"): "wine red",
    ("vivid", "wine red"): "raspberry red",
    ("vivid", "mulberry"): "deep magenta",
    ("vivid", "olive green"): "leaf green",
    ("vivid", "orange-brown"): "orange",
    ("muted", "orange-brown"): "brown",
    ("deep", "orange-brown"): "brown",
    ("deep", "brown"): "brown",
    ("muted", "brown"): "grey-brown",
    ("soft", "orange"): "tan",
    ("vivid", "ochre"): "ochre",
    ("muted", "ochre"): "khaki",
    ("soft", "gold"): "sand",
    ("bright", "gold"): "gold",
    ("soft", "mustard"): "sand",
    ("bright", "mustard"): "mustard",
    ("pale", "apricot"): "pale apricot",
    ("light", "apricot"): "apricot",
    ("light", "peach"): "peach",
    ("bright", "peach"): "peach",
    ("bright", "apricot"): "apricot",
    ("vivid", "magenta"): "magenta",
    ("muted", "magenta"): "mauve",
    ("vivid", "rose"): "vivid pink",
    ("light", "golden yellow"): "golden yellow",
    ("bright", "golden yellow"): "golden yellow",
    ("pale", "golden yellow"): "pale yellow",
    ("dark", "maroon"): "maroon",
    ("dark", "navy blue"): "navy blue",
    ("dark", "plum"): "dark purple",
    ("light", "aqua"): "aqua",
    ("light", "sky blue"): "sky blue",
    ("light", "lavender"): "lavender",
    ("light", "lilac"): "lilac",
}
#: Hue words for what is all but black: end of the sector, word.
_BLACKS: Final = (
    (45.0, "red-black"),
    (95.0, "brown-black"),
    (130.0, "olive black"),
    (200.0, "green-black"),
    (280.0, "blue-black"),
    (345.0, "violet-black"),
    (360.0, "red-black"),
)
_STEP: Final = 4.0  # L* by which one of two colours of like name is called the darker
_ONES: Final = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven")
_TEENS: Final = ("twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")
_TENS: Final = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")


def colour_name(colour: Colour) -> str:
    """Give a short plain name of a colour as shown; colours of one class share a name."""
    shade, light = tone(colour), colour.lightness
    saturation = shade.chroma / max(shade.lightness, 0.05)
    row = _row(light)
    if light < 6.0:
        return "black"
    if light >= 92.0 and shade.chroma < 0.018:
        return "white" if light >= _GREYS[0][0] and shade.chroma < 0.01 else "off-white"
    if saturation < _NEUTRAL[row] and light < 92.0:
        return next(name for least, name in _GREYS if light >= least)
    if light < 12.0 and saturation < _STRONG:
        return "black" if saturation < _TINTED[0] else _near_black(shade)
    if saturation < (_CREAM if not row and 95.0 <= shade.hue < 131.0 else _TINTED[row]):
        return _tinted(shade, row)
    word = next(words for start, words in reversed(_HUES) if shade.hue >= start)[row]
    before = _TONES[row][(saturation >= _WEAK) + (saturation >= _STRONG or shade.chroma >= _VIVID)]
    if row == 3 and shade.chroma >= 0.2:
        before = "vivid"
    return _OWN.get((before, word), f"{before} {word}".strip())


def distinct_names(
    colours: Sequence[Colour], taken: Collection[str] | Mapping[str, Colour] = ()
) -> tuple[str, ...]:
    """Give names that are all different, in any case of letters, and fit for inks.

    Two or three of one class are told apart by "darker" and "lighter" (or "very") where they differ by 4 L*; what is
    left over gets a number in words. No name is one of ``RESERVED``, and none is longer than ``LONGEST`` signs.

    Parameters
    ----------
    colours : sequence of Colour
    taken : collection of str, or mapping of str to Colour, optional
        Names that others have already; where their colours are told, one of like name is told apart from these too.

    Raises
    ------
    ValueError
        Some hundred colours of one name: there are no numbers left.
    """
    plain = [colour_name(colour) for colour in colours]
    used = {name.casefold() for name in taken} | RESERVED
    given: dict[int, str] = {}
    for name in dict.fromkeys(plain):
        alike = [i for i, other in enumerate(plain) if other == name]
        for i, wanted in zip(alike, _compared(name, [colours[i] for i in alike]), strict=True):
            others = taken if isinstance(taken, Mapping) and wanted in used else {}
            told = _beside(wanted, colours[i], others)
            given[i] = told if told not in used else _numbered(name, used)
            used.add(given[i])
    return tuple(given[i] for i in range(len(plain)))


def _compared(name: str, colours: Sequence[Colour]) -> list[str]:
    """Name up to three colours of one class by their lightness; of more, or of like lightness, all alike."""
    order = sorted(range(len(colours)), key=lambda i: (colours[i].lightness, i))
    light = [colours[i].lightness for i in order]
    if not 2 <= len(order) <= 3 or any(b - a < _STEP for a, b in pairwise(light)):
        return [name] * len(order)
    darker = ("very " if name.startswith(("dark", "deep", "rich")) else "darker ") + name
    lighter = ("very " if name.startswith(("pale", "light")) else "lighter ") + name
    names = [darker, name, lighter]
    if len(order) == 2:
        names = [name, lighter] if name.startswith(("pale", "light")) else [darker, name]
    return [wanted for _, wanted in sorted(zip(order, names, strict=True))]


def _beside(name: str, colour: Colour, taken: Mapping[str, Colour]) -> str:
    """Give a name that compares a colour with the one that has its name already, where they differ in lightness."""
    other = next((own for known, own in taken.items() if known.casefold() == name), None)
    if other is None or abs(colour.lightness - other.lightness) < _STEP or len(name) > LONGEST - 8:
        return name
    return f"{'lighter' if colour.lightness > other.lightness else 'darker'} {name}"


def _numbered(name: str, used: Collection[str]) -> str:
    """Give the name with the first free number from two on; a name too long for it loses its first word."""
    for number in range(2, 100):
        for base in (name, name.split(" ", 1)[-1]):
            wanted = f"{base} {_in_words(number)}"
            if len(wanted) <= LONGEST and wanted not in used:
                return wanted
    raise ValueError(f"there are more than 99 colours named {name!r}")


def _in_words(number: int) -> str:
    """Write a number from 2 to 99."""
    if number < 20:
        return (*_ONES, *_TEENS)[number]
    tens, ones = divmod(number, 10)
    return _TENS[tens - 2] + (f"-{_ONES[ones]}" if ones else "")


def _row(light: float) -> int:
    return sum(light < least for least in _ROWS)


def _tinted(shade: Tone, row: int) -> str:
    return next(words for end, words in _TINTS if shade.hue <= end)[row]


def _near_black(shade: Tone) -> str:
    return next(name for end, name in _BLACKS if shade.hue <= end)
