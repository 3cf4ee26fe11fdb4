"""What was found in a scan as a plain SVG drawing: regions, ground and lines in layers, for any vector editor.

Every region has an id and a fill of its own: it takes an ink of its own. Where two are given one fill they go together.
What is left for the ground has no fill; with one it is a region. What was inked solid is the part "solid".
"""

from collections.abc import Iterator, Sequence
from itertools import count
from typing import Final
from xml.sax.saxutils import escape

from mockup.drawing.tracing import Area, Traced
from mockup.geometry.pathdata import decimal, path_data

_PALE: Final = ("#ead9c0", "#cfdccb", "#ecc9b8", "#c9d6dd", "#e9dfa8", "#dad0e0", "#b9d3c9")
_LINE: Final = "#333333"
_SOLID: Final = "#4a4a4a"


def fill_of(number: int) -> str:
    """Give a pale fill that no other number has, up to some thousands; numbers in a row look unlike."""
    base = _PALE[number % len(_PALE)]
    rest = number // len(_PALE)
    steps = rest % 16, rest // 16 % 16, rest // 256 % 16
    return "#" + "".join(
        f"{int(base[1 + 2 * n : 3 + 2 * n], 16) + step:02x}" for n, step in zip(range(3), steps, strict=True)
    )


def written_drawing(found: Traced, title: str) -> str:
    """Write the drawing as SVG text, 1 unit = 1 mm."""
    width, height = decimal(found.width), decimal(found.height)
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
            f'viewBox="0 0 {width} {height}">',
            f"  <title>{escape(title)}</title>",
            *_areas("ground", found.left, filled=False),
            *_areas("region", found.inked, filled=True),
            *_solids(found.solid),
            *_lines(found),
            "</svg>",
            "",
        ]
    )


def _areas(name: str, areas: Sequence[Area], *, filled: bool) -> Iterator[str]:
    if not areas:
        return
    yield f'  <g id="{name}s" stroke="none">'
    for number, one in zip(count(1), areas, strict=False):
        fill = fill_of(number - 1) if filled else "none"
        data = path_data(one.outlines, closed=True)
        yield f'    <path id="{name}-{number}" fill="{fill}" fill-rule="evenodd" d="{data}"/>'
    yield "  </g>"


def _solids(areas: Sequence[Area]) -> Iterator[str]:
    if not areas:
        return
    yield f'  <g id="solids" stroke="none" fill="{_SOLID}" fill-rule="evenodd">'
    for number, one in zip(count(1), areas, strict=False):
        data = path_data(one.outlines, closed=True)
        yield f'    <path id="solid-{number}" data-part="solid" data-group="solid" d="{data}"/>'
    yield "  </g>"


def _lines(found: Traced) -> Iterator[str]:
    if not found.lines:
        return
    yield f'  <g id="lines" fill="none" stroke="{_LINE}" stroke-linecap="round" stroke-linejoin="round">'
    for line in found.lines:
        data = path_data([line.curves], closed=line.closed)
        yield f'    <path stroke-width="{decimal(line.width)}" d="{data}"/>'
    yield "  </g>"
