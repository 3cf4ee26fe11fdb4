"""Reading ``[sheet]``, ``[pattern]``, ``[drawing]`` and ``[border]``: what lies where."""

import re

from mockup.design import keys
from mockup.design.forms import drop, place, ratio
from mockup.design.growing import grown, grown_name, refuse_shared_names
from mockup.design.mistakes import nearest
from mockup.design.records import Border, Drawing, MotifSpec, Pattern, Sheet
from mockup.design.table import Written
from mockup.design.values import (
    Reader,
    flag,
    length,
    listing,
    mapping,
    number,
    pair,
    share,
    text,
    whole,
    word,
    wrong,
)
from mockup.units import paper_names, paper_size

VARIANT = whole(0, 1_000_000_000)
"""Reader of the number of an arrangement or a spread."""

MOTIF_BORDER = 14.0
"""Usual width of a border of motifs, mm."""

_PATH = text(500)
_SQUARE = ("p4", "p4mm", "p4gm")
_HEXAGONAL = ("p3", "p3m1", "p31m", "p6", "p6mm")
_SIDE = length(10, 2000)
_TILE = length(2, 2000)


def sheet(written: Written) -> Sheet:
    """Read the sheet."""
    usual = Sheet()
    width, height, name = written.get("size", _size, (usual.width, usual.height, usual.size_name))
    scale, scale_text = written.get("scale", ratio, (usual.scale, usual.scale_text))
    return Sheet(
        width=width,
        height=height,
        size_name=name,
        scale=scale,
        scale_text=scale_text,
        margin=written.get("margin", length(0, 500), usual.margin),
        paper=written.get("paper", text(100), usual.paper),
        grain=written.get("grain", flag, usual.grain),
    )


def _size(value: object) -> tuple[float, float, str | None]:
    """Read a paper's name, or width and height in mm."""
    if not isinstance(value, str):
        width, height = pair(_SIDE, "a paper's name or [width, height]")(value)
        return width, height, None
    size = paper_size(value)
    if size:
        return *size, next(name for name in paper_names() if name.lower() == value.strip().lower())
    first = value.split()[0] if value.split() else ""
    turned = paper_size(first)
    if turned and "landscape" in value.lower():
        raise wrong("the name of an upright paper", value, f"write {{key}} = [{turned[1]:g}, {turned[0]:g}]")
    near = nearest(value, paper_names())
    remedy = f'write {{key}} = "{near}"' if near else 'write {key} = "A4", or [210, 297] in mm'
    raise wrong("a paper's name or [width, height]", value, remedy)


def pattern(written: Written) -> Pattern:
    """Read the pattern.

    Raises
    ------
    DesignError
        No motifs, or a tile that its plane group cannot have.
    """
    usual = Pattern(())
    listed = f"{', '.join(keys.REPEATS)} or a plane group (p1 to p6mm)"
    grid = pair(whole(1, 20), "places [across, down]")
    read = Pattern(
        motifs=_motifs(written),
        repeat=written.get(
            "repeat", word(keys.REPEATS + keys.PLANE_GROUPS, "a repeat", listed), usual.repeat
        ),
        tile=written.get("tile", _tile, usual.tile),
        grid=written.get("grid", grid, usual.grid),
        drop=written.get("drop", drop, usual.drop),
        count=written.get("count", whole(1, 2000), usual.count),
        coverage=written.get("coverage", share(0.02, 0.95), usual.coverage),
        directions=written.get("directions", word(keys.DIRECTIONS), usual.directions),
        gap=written.get("gap", length(0, 200), usual.gap),
        cells=written.get("cells", word(keys.CELLS), usual.cells),
        variant=written.get("variant", VARIANT, usual.variant),
    )
    if read.tile and read.tile[0] != read.tile[1] and read.repeat in _SQUARE + _HEXAGONAL:
        remedy = f"write tile = {read.tile[0]:g}"
        raise written.wrong(f"{read.repeat} needs a tile with equal sides", remedy, "tile")
    return read


def _tile(value: object) -> tuple[float, float]:
    """Read one length or two."""
    if isinstance(value, list) and len(value) != 1:
        return pair(_TILE, "one length or [width, height]")(value)
    side = _TILE(value[0] if isinstance(value, list) else value)
    return side, side


def _motifs(written: Written) -> tuple[MotifSpec, ...]:
    """Read the motifs: names, or tables with a name."""
    values = written.need("motifs", listing(_name_or_table, 100, "motifs", least=1))
    tables = [
        one if isinstance(one, str) else written.entry("motifs", place, one, keys.MOTIF)
        for place, one in enumerate(values)
    ]
    specs = tuple(MotifSpec(one) if isinstance(one, str) else _motif(one) for one in tables)
    refuse_shared_names(written, specs, tables)
    return specs


def _name_or_table(value: object) -> str | dict[str, object]:
    if isinstance(value, dict):
        return value
    if not isinstance(value, str):
        raise wrong("a motif's name", value, 'write {key} = ["pear", "fig"]')
    return _PATH(value)


def _motif(written: Written) -> MotifSpec:
    usual = MotifSpec("")
    growth = grown(written)
    return MotifSpec(
        name=grown_name(written, growth) if growth else written.need("name", _PATH),
        scale=written.get("scale", number(0.05, 20), usual.scale),
        turn=written.get("turn", number(-360, 360), usual.turn),
        often=written.get("often", number(0.01, 100), usual.often),
        strokes=written.get("strokes", word(keys.STROKES), usual.strokes),
        grow=growth,
    )


def drawing(written: Written) -> Drawing:
    """Read the drawing."""
    usual = Drawing("")
    return Drawing(
        file=written.need("file", _PATH),
        width=written.get("width", _TILE, usual.width),
        repeat=written.get("repeat", word(keys.DRAWN_REPEATS), usual.repeat),
        drop=written.get("drop", drop, usual.drop),
        strokes=written.get("strokes", word(keys.DRAWN_STROKES), usual.strokes),
        gap=written.get("gap", length(0, 5), usual.gap),
        ground=written.get("ground", _drawn_ground, usual.ground),
        side=written.get("side", mapping(text(60), _PLACES, "side palettes"), usual.side),
        groups=written.get("groups", _PATH, usual.groups),
    )


def _part_or_point(value: object) -> str:
    """Read the name of a part, or a point as "at 32,41"."""
    if isinstance(value, str) and re.match(r"\s*at\s*[\d.,-]", value):
        return place(value)
    return text(100)(value)


_PLACES: Reader[tuple[str, ...]] = listing(_part_or_point, 200, "names or points", least=1)


def _drawn_ground(value: object) -> str | tuple[str, ...]:
    """Read one of two words, or places."""
    if isinstance(value, list):
        return _PLACES(value)
    return word(
        ("auto", "none"), "auto, none or places", 'auto, none or a list of places: ["sky", "at 32,41"]'
    )(value)


def border(written: Written, paper: Sheet, *, drawn: bool) -> Border:
    """Read the border.

    Raises
    ------
    DesignError
        A border of motifs without motifs, or one that with the margin leaves no room on the sheet.
    """
    usual = Border()
    style = written.get("style", word(keys.BORDERS), usual.style)
    names: Reader[tuple[str, ...]] = listing(_PATH, 100, "motifs")
    read = Border(
        style=style,
        width=written.get("width", length(0.1, 500), MOTIF_BORDER if style == "motifs" else usual.width),
        motifs=written.get("motifs", names, usual.motifs),
        frieze=written.get("frieze", word(keys.FRIEZES), usual.frieze),
        ink=written.get("ink", text(60), usual.ink),
    )
    if read.style == "motifs" and drawn and not read.motifs:
        raise written.wrong("a border of motifs, but none is named", 'write motifs = ["pear"]', "style")
    eaten = 2 * (paper.margin + (0 if read.style == "none" else read.width))
    if min(paper.width, paper.height) - eaten < 5:
        raise written.wrong(
            f"margin and border take {eaten:g} mm of {min(paper.width, paper.height):g}",
            "make [sheet] margin or [border] width smaller",
        )
    return read
