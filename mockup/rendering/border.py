"""The border round a field: a plain band, a band and a thin line inside it, or motifs; with proper corners.

The field runs on a little under what surrounds it, and that is painted over it: at an edge between two pixels only
the two colours that meet there mix, and nothing of the ground or the paper shows between them.
"""

from mockup.geometry import shapes
from mockup.geometry.shading import Shade, bands
from mockup.geometry.shapes import Box
from mockup.rendering.look import BorderLook
from mockup.rendering.scene import Fill, Item, Stroke

LAYER = "border"

_BARE = 0.3
"""Width of the lines left bare in the motifs of a border, mm."""

UNDERLAP = 0.2
"""How far (mm) the field runs on under what surrounds it."""


def inside(outer: Box, border: BorderLook | None) -> Box:
    """What of a box is left for the field inside the border."""
    return _inset(outer, border.depth if border else 0.0)


def underlap(border: BorderLook) -> float:
    """How far (mm) the field may run on under a border without being seen again inside it."""
    inner = border.edge if border.motifs else border.line if border.double else border.width
    return min(UNDERLAP, border.gap or inner)


def border_items(
    outer: Box, border: BorderLook | None, paper: str, shade: Shade | None = None
) -> tuple[Item, ...]:
    """Draw the border along the inside of a box, over the field; ``paper`` is what shows in its gap.

    Its motifs are shaded as the field's are, where its ink has coats for it.
    """
    if border is None:
        return ()
    if border.motifs:
        return _strip_items(outer, border, paper, shade)
    bands = [frame(outer, _inset(outer, border.width), border.colour, LAYER, "border")]
    line = _inset(outer, border.depth - border.gap)
    if border.double:
        bands.append(
            frame(
                _inset(outer, border.depth - border.gap - border.line), line, border.colour, LAYER, "border"
            )
        )
    if border.gap:
        bands.append(frame(line, _inset(outer, border.depth), paper, LAYER, "paper"))
    return tuple(bands)


def _strip_items(outer: Box, border: BorderLook, paper: str, shade: Shade | None) -> tuple[Item, ...]:
    """Draw motifs along the sides on bare paper, their inner lines left bare, and the line inside them."""
    edge = _inset(outer, border.width)
    items: list[Item] = [
        frame(outer, edge, paper, LAYER, "paper"),
        frame(edge, _inset(edge, border.edge), border.colour, LAYER, "border"),
    ]
    if border.gap:
        items.append(frame(_inset(edge, border.edge), _inset(outer, border.depth), paper, LAYER, "paper"))
    if border.strip is None:
        return tuple(items)
    for own, lies in zip(border.strip.fills, border.strip.lies, strict=True):
        items.append(Fill(shapes.rings(own), border.colour, LAYER, "border"))
        found = bands(own, shade, lies) if shade and border.coats else ()
        items += [
            Fill(shapes.rings(band), coat, LAYER)
            for coat, band in zip(border.coats, found, strict=False)
            if not band.is_empty
        ]
    if border.strip.lines:
        open_ = (False,) * len(border.strip.lines)
        items.append(Stroke(border.strip.lines, open_, _BARE, paper, LAYER))
    return tuple(items)


def frame(outer: Box, inner: Box, colour: str, layer: str, title: str = "") -> Fill:
    """Fill what lies between two boxes."""
    rings = [ring for box in (outer, inner) for ring in shapes.rings(shapes.rectangle(*box))]
    return Fill(tuple(rings), colour, layer, title)


def _inset(box: Box, by: float) -> Box:
    return box[0] + by, box[1] + by, box[2] - by, box[3] - by
