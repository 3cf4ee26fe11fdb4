"""Every table and key of the design file, once: for reading, for help, and for the commented new file."""

from typing import Final, NamedTuple

REPEATS: Final = (
    *("straight", "half-drop", "brick", "mirror", "turned", "ogee", "diamond", "scallop"),
    *("stripe", "ring", "tossed"),
)
PLANE_GROUPS: Final = (
    *("p1", "p2", "pm", "pg", "cm", "p2mm", "p2mg", "p2gg", "c2mm"),
    *("p4", "p4mm", "p4gm", "p3", "p3m1", "p31m", "p6", "p6mm"),
)
DRAWN_REPEATS: Final = ("none", "straight", "half-drop", "brick")
DIRECTIONS: Final = ("one-way", "two-way", "four-way", "tossed")
ROLES: Final = ("dominant", "dark", "light", "accent")
CORNERS: Final = ("top-left", "top-right", "bottom-left", "bottom-right")
SHADINGS: Final = ("none", "ends", "one-end", "side", "rim")
GROWS: Final = ("rosette", "leaf", "spray", "medallion")
STROKES: Final = ("lines", "parts")
DRAWN_STROKES: Final = ("regions", *STROKES)
CELLS: Final = ("field", "band", "none")
FRIEZES: Final = ("p1", "p211", "p1m1", "p11m", "p11g", "p2mm", "p2mg")
BORDERS: Final = ("none", "plain", "double", "motifs")


class Key(NamedTuple):
    """One key of a table."""

    name: str
    example: str
    """A value as it is written: the default, where there is one to write."""
    meaning: str
    """One line, without a full stop."""
    words: tuple[str, ...] = ()
    """The words that may be written, where nothing else may."""


class Table(NamedTuple):
    """One table of the design file."""

    path: str
    """Names from the top, joined by points ("palette.ink"); empty at the top of the file."""
    meaning: str
    keys: tuple[Key, ...]
    inner: tuple[str, ...] = ()
    """Tables inside."""
    many: bool = False
    """Written with two brackets, once for each."""

    @property
    def names(self) -> tuple[str, ...]:
        """Every name that may stand in it."""
        return tuple(key.name for key in self.keys) + self.inner

    @property
    def heading(self) -> str:
        """How it is begun in the file."""
        if not self.path:
            return ""
        return f"[[{self.path}]]" if self.many else f"[{self.path}]"

    def key(self, name: str) -> Key | None:
        """Find a key by its name."""
        return next((key for key in self.keys if key.name == name), None)


_NAME = Key("name", '"clay"', "her name for the ink")
_INK = (
    _NAME,
    Key(
        "colour",
        '"#b5532a"',
        'a CSS colour, lab(...) as measured, or "paper" (bare paper); not needed with a box',
    ),
    Key("coats", '["#a04520"]', "colour of a measured second coat, third coat and so on"),
    Key("tip", "1.0", "width of the nib, mm"),
    Key("bleed", "0.2", "how far the ink creeps, mm"),
)

TOP: Final = Table(
    "",
    "what is printed on sheets",
    (
        Key("title", '"Pears"', "title of the piece"),
        Key("designer", '"A. Name"', "who drew it"),
        Key("client", '""', "whom it is for"),
        Key("date", "2026-03-04", "date printed on sheets"),
    ),
    ("sheet", "palette", "pattern", "drawing", "colouring", "line", "shading", "border", "colourway"),
)
SHEET: Final = Table(
    "sheet",
    "the paper",
    (
        Key("size", '"A4"', "a paper by name (A3, B4, letter ...), or [width, height]"),
        Key("scale", '"1:1"', '"1:4" shows cloth smaller, and says so'),
        Key("margin", "8", "bare paper outside the border, mm"),
        Key("paper", '"#fdfcf8"', "colour of the paper, or its name in the box"),
        Key("grain", "false", "show the paper's grain"),
    ),
)
PALETTE: Final = Table(
    "palette",
    "the inks of this piece",
    (
        Key(
            "box",
            '"inks.csv"',
            "a file of all her inks (CSV, TOML or CGATS text), where names alone are looked up",
        ),
    ),
    ("ink", "side"),
)
INK: Final = Table(
    "palette.ink",
    "one ink; one to twelve of them, four to seven as a rule",
    (
        *_INK[:2],
        Key("role", '"dominant"', "left out: worked out from the colours", ROLES),
        Key("share", "0.3", 'target share of the coloured area, for balance = "own"'),
        *_INK[2:],
    ),
    many=True,
)
SIDE: Final = Table(
    "palette.side",
    "a palette that stands apart: skin",
    (
        Key("name", '"skin"', "what parts name in data-side"),
        Key(
            "per",
            '"figure"',
            "figure: each placed figure takes one of the inks; piece: all take the first",
            ("piece", "figure"),
        ),
    ),
    ("ink",),
    many=True,
)
SIDE_INK: Final = Table(
    "palette.side.ink",
    "one ink of a side palette; the others shade it",
    (
        Key("name", '"honey"', "her name for it; no other ink has it"),
        *_INK[1:],
        Key("shades", '"chestnut"', "name of the ink of this set that it shades; it is no base then"),
    ),
    many=True,
)
PATTERN: Final = Table(
    "pattern",
    "motifs tiled into a repeat",
    (
        Key("repeat", '"half-drop"', "how the tile steps", REPEATS + PLANE_GROUPS),
        Key(
            "tile",
            "[60, 60]",
            "width of one column and full height, mm; left out: from the motifs' natural sizes",
        ),
        Key("motifs", '["pear"]', "library names, SVG files beside the design file, or tables with a name"),
        Key("grid", "[2, 2]", "places across and down in one tile; left out: the fewest that hold all"),
        Key("drop", '"1/2"', "how far each column or row is moved, as a fraction"),
        Key("count", "40", "tossed: placed motifs in one tile; left out: from tile and coverage"),
        Key("coverage", "0.55", "share of the tile that shapes cover: tossed, or where no tile is given"),
        Key("directions", '"tossed"', "tossed: which way motifs point", DIRECTIONS),
        Key("gap", "1.5", "kept clear between motifs, mm"),
        Key("cells", '"field"', "ogee, diamond, scallop, stripe, ring: what is drawn of each place", CELLS),
        Key("variant", "1", "another whole number: another arrangement"),
    ),
)
MOTIF: Final = Table(
    "pattern.motifs",
    "one motif, written as a table",
    (
        Key("name", '"pear"', "library name, or an SVG file beside the design file"),
        Key("scale", "1.2", "factor on its natural size"),
        Key("turn", "0", "turn clockwise, degrees"),
        Key("often", "1", "how often it comes, by number, beside the others"),
        Key("strokes", '"lines"', "parts: strokes without fill take ink too, as parts", STROKES),
        Key(
            "grow",
            '"rosette"',
            "in place of a library name or a file: what grows from the numbers below",
            GROWS,
        ),
        Key("petals", "8", "petals, sectors, lobes of a leaf or leaves of a spray, 3 to 24"),
        Key("layers", "2", "rings of petals; halves, inner blade and seeds; berries and flower, 1 to 4"),
        Key("depth", "0.4", "how deeply petals or lobes are cut, 0 to 1"),
        Key("size", "32", "longer side, mm, 6 to 80"),
        Key("seed", "1", "another whole number: another relative"),
    ),
    many=True,
)
DRAWING: Final = Table(
    "drawing",
    "a drawing of her own, in place of [pattern]",
    (
        Key("file", '"drawing.svg"', "SVG file, perhaps one that `mockup scan` made"),
        Key("width", "180", "its true width, mm, where the file does not say"),
        Key("repeat", '"none"', "how the drawing steps as a unit", DRAWN_REPEATS),
        Key("drop", '"1/2"', "half-drop and brick: any fraction"),
        Key("strokes", '"regions"', "what they close in is regions; else lines, or parts", DRAWN_STROKES),
        Key("gap", "0.6", "gaps in lines that are closed, mm, where strokes make regions"),
        Key("ground", '"auto"', 'what is left for the ground: auto, none, or ["sky", "at 32,41"]'),
        Key(
            "side", '{ skin = ["face", "at 32,41"] }', "parts by name, tint or point, and their side palette"
        ),
        Key("groups", '"tinted.png"', "a roughly tinted copy: regions of one tint take one ink together"),
    ),
)
COLOURING: Final = Table(
    "colouring",
    "how the inks are spread",
    (
        Key("ground", '"paper"', "light, dark, paper, or an ink's name"),
        Key(
            "balance", '"even"', "led: the dominant leads; own: from the inks' shares", ("even", "led", "own")
        ),
        Key("colour_repeat", '"smallest"', "smallest, none (one sheet), or tiles [across, down]"),
        Key("copies", '"free"', "alike: every copy of a motif inked alike", ("free", "alike")),
        Key("symmetry", "false", "symmetric copies take the same ink"),
        Key("only", '{ leaf = ["moss", "sea"] }', "part name, and the inks it may take"),
        Key("fixed", '{ "pear-3/body" = "clay" }', 'a place by name, or "at 32,41" in mm, and its ink'),
        Key("start", '"centre"', "where inking begins", ("centre", *CORNERS)),
        Key("plan", '"chosen.geojson"', "exactly this plan, never solved again"),
        Key("variant", "1", "another whole number: another spread"),
        Key(
            "reach",
            "6",
            "how far apart parts may be and still face each other, mm; left out: from the pattern",
        ),
    ),
)
LINE: Final = Table(
    "line",
    "outlines and inner line work",
    (
        Key("ink", '"dark"', "dark, none, an ink's name, or a liner's colour"),
        Key(
            "outline",
            "true",
            "outline every part; left out: unless the ground is dark or a drawing has its lines",
        ),
        Key("width", "0.4", "width of the line, mm"),
    ),
)
SHADING: Final = Table(
    "shading",
    "coats along the edges of shapes",
    (
        Key("style", '"none"', "where a shape is shaded", SHADINGS),
        Key(
            "width",
            "2.0",
            "how far in it reaches, mm (one-end: twice that); parts under four times this stay plain",
        ),
        Key("coats", "1", "extra coats, each reaching less far in"),
        Key("pen", '"same"', "darker: the next darker ink of like hue", ("same", "darker")),
        Key(
            "light",
            "315",
            "where the light comes from, degrees clockwise from the top (side, one-end)",
        ),
        Key("when", '"last"', "where the guide puts the coats", ("last", "as-you-go")),
        Key("only", '["petal"]', "part names; left out: all"),
    ),
)
BORDER: Final = Table(
    "border",
    "what frames the sheet",
    (
        Key("style", '"plain"', "left out: plain on one sheet, none on cloth", BORDERS),
        Key("width", "6", "width, mm"),
        Key("motifs", '["pear"]', 'motifs of style = "motifs"; left out: the pattern\'s'),
        Key(
            "frieze", '"p1m1"', "motifs: how they follow each other, one of the seven frieze groups", FRIEZES
        ),
        Key("ink", '"dark"', "dark, or an ink's name"),
    ),
)
COLOURWAY: Final = Table(
    "colourway",
    "the same plan in other inks",
    (
        Key("name", '"Dusk"', "what it is sold as"),
        Key("code", '"B"', "short sign, different for each"),
        Key("ground", '"paper"', "light, dark, paper, or an ink's name"),
        Key("inks", '{ clay = "plum" }', "ink of the palette, and the ink that takes its position"),
    ),
    many=True,
)

TABLES: Final = (
    *(TOP, SHEET, PALETTE, INK, SIDE, SIDE_INK, PATTERN, MOTIF, DRAWING),
    *(COLOURING, LINE, SHADING, BORDER, COLOURWAY),
)
"""Every table, in the order in which a new file has them."""
