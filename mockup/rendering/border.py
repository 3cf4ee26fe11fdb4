"""The border round a field: a plain band, or a band and a thin line inside it, with square corners."""

from mockup.geometry import shapes
from mockup.geometry.shapes import Box
from mockup.rendering.look import BorderLook
from mockup.rendering.scene import Fill, Item

LAYER = "border"

UNDERLAP = 0.2
"""How far (mm) the border runs on under the field, so that no paper shows between the two."""


def inside(outer: Box, border: BorderLook | None) -> Box:
    """What of a box is left for the field inside the border."""
    depth = border.depth if border else 0.0
    return outer[0] + depth, outer[1] + depth, outer[2] - depth, outer[3] - depth


def border_items(outer: Box, border: BorderLook | None) -> tuple[Item, ...]:
    """Draw the border along the inside of a box."""
    if border is None:
        return ()
    under = 0.0 if border.gap else UNDERLAP
    bands = [_frame(outer, 0.0, border.width + (0.0 if border.double else under), border.colour)]
    if border.double:
        begin = border.width * 1.35
        bands.append(_frame(outer, begin, begin + border.width * 0.25 + under, border.colour))
    return tuple(bands)


def _frame(outer: Box, begin: float, end: float, colour: str) -> Fill:
    """Make a frame from ``begin`` to ``end`` mm inside the box."""
    rings = [
        ring
        for push in (begin, end)
        for ring in shapes.rings(
            shapes.rectangle(outer[0] + push, outer[1] + push, outer[2] - push, outer[3] - push)
        )
    ]
    return Fill(tuple(rings), colour, LAYER, "border")
