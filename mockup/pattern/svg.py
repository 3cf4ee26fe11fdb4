"""Plain SVG into a motif: what is filled becomes parts, what is only stroked becomes line work.

What cannot be inked (text, pictures, clips, effects, things outside the file) is named in ``left_out``.

References
----------
SVG 2, chapters 5 (structure) and 8 (coordinates).
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from mockup.errors import DrawingError
from mockup.geometry.affine import translation
from mockup.pattern.inking import Inker, Place
from mockup.pattern.motif import Element, LineWork, Motif
from mockup.pattern.naming import Draft, grouped
from mockup.pattern.notes import Notes
from mockup.pattern.outlines import SHAPES
from mockup.pattern.paints import hidden, unseen
from mockup.pattern.style import StyleSheet
from mockup.pattern.transforms import bounded, read_transform
from mockup.pattern.viewport import across_down, inner_port, read_page
from mockup.pattern.xmltree import Document, Node, read_xml

MOST_DRAWN: Final = 200_000
DEEPEST: Final = 128

_CONTAINERS: Final = frozenset({"svg", "g", "a", "switch", "use"})
_FIGURES: Final = frozenset({"g", "use"})
"""What may hold a figure together."""

_UNREAD: Final = {
    "text": "text is no shape; turn it into outlines",
    "flowRoot": "text is no shape; turn it into outlines",
    "image": "a picture cannot be inked",
    "foreignObject": "foreign content is not drawn",
    "script": "scripts are not run",
}
_EFFECTS: Final = {
    "clip-path": "a clip-path is not applied",
    "mask": "a mask is not applied",
    "filter": "a filter is not applied",
}
_MARKERS: Final = ("marker", "marker-start", "marker-mid", "marker-end")
_NAMES: Final = ("data-part", "data-group", "data-side")
_KNOWN: Final = _CONTAINERS | SHAPES.keys() | _UNREAD.keys()
_NOTHING: Final[Mapping[str, str]] = MappingProxyType({})


def read_svg(
    content: bytes, name: str, *, where: str, tolerance: float = 0.02, stroke_parts: bool = False
) -> Motif:
    """Read a drawing.

    Parameters
    ----------
    content : bytes
        An SVG file.
    name : str
        The motif's name.
    where : str
        What to call the file in errors.
    tolerance : float
        How far (mm at natural size) a straight piece may leave its curve.
    stroke_parts : bool
        Strokes without fill become parts, one group for each stroke, in place of line work.

    Raises
    ------
    DrawingError
        The file is no sound SVG, goes out of bounds, or holds nothing that can be inked.
    """
    document = read_xml(content, where)
    root = document.root
    if root.tag != "svg":
        shown = f"<{root.tag}>" if root.tag else "an element of another language"
        raise DrawingError(f"no SVG drawing: it begins with {shown}", where=f"{where}, line {root.line}")
    try:
        page = read_page(root.attributes)
    except ValueError as error:
        raise DrawingError(str(error), where=f"{where}, line {root.line}") from None
    reader = _Reader(document, where, tolerance, stroke_parts=stroke_parts)
    reader.draw(root, Place(page.transform, _NOTHING, page.frame))
    elements, left_out = reader.elements(), reader.notes.lines()
    if not elements:
        reason = f" ({left_out[0]})" if left_out else ""
        remedy = "give at least one shape a fill or a stroke"
        raise DrawingError(f"nothing in the drawing can be inked{reason}", where=where, remedy=remedy)
    return Motif(name, page.width, page.height, elements, left_out)


class _Reader:
    """Walks through one drawing and gathers what it draws, later elements on top."""

    def __init__(self, document: Document, where: str, tolerance: float, *, stroke_parts: bool) -> None:
        self.notes = Notes()
        self._where = where
        self._ids: dict[str, Node] = {}
        sheets = []
        for node in _all(document.root):
            self._ids.setdefault(node.attributes.get("id", ""), node)
            if node.tag == "style":
                sheets.append(node)
        if "xml-stylesheet" in document.instructions:
            self.notes.add("a style sheet outside the file is not fetched", 1)
        first = sheets[0].line if sheets else 1
        try:
            self._sheet = StyleSheet(
                "\n".join(s.text for s in sheets), lambda text: self.notes.add(text, first)
            )
        except DrawingError as error:
            raise DrawingError(error.what, where=f"{where}, line {first}") from None
        self._inker = Inker(self._ids, self.notes, tolerance, stroke_parts=stroke_parts)
        self._drawn: list[Draft | LineWork] = []
        self._visits = 0
        self._depth = 0
        self._using: list[str] = []

    def elements(self) -> tuple[Element, ...]:
        """Give what was drawn so far, the parts with their groups."""
        parts = iter(grouped([one for one in self._drawn if isinstance(one, Draft)]))
        return tuple(next(parts) if isinstance(one, Draft) else one for one in self._drawn)

    def draw(self, node: Node, outer: Place, written: Mapping[str, str] = _NOTHING) -> None:
        """Draw an element; ``written`` are the names that a use gives it, which win over its own."""
        self._visits += 1
        if self._visits > MOST_DRAWN:
            raise self._refusal(node, f"more than {MOST_DRAWN} elements would be drawn")
        if self._depth > DEEPEST:
            raise self._refusal(node, f"elements are drawn more than {DEEPEST} deep")
        if node.tag not in _KNOWN:
            return
        style = self._sheet.style(node, outer.style)
        if hidden(style):
            return
        if node.tag in _UNREAD:
            self.notes.add(_UNREAD[node.tag], node.line)
            return
        names = {key: node.attributes.get(key, "").strip() for key in _NAMES}
        names.update(written)
        try:
            own = read_transform(style.get("transform") or node.attributes.get("transform", ""))
            place = replace(outer, transform=bounded(outer.transform @ own), style=style)
        except ValueError as error:
            self.notes.add(f"{node.tag} is left out: {error}", node.line)
            return
        place = replace(
            place, group=names["data-group"] or place.group, side=names["data-side"] or place.side
        )
        if node.tag in _FIGURES:
            place = replace(place, inside=(*place.inside, (self._visits, node.attributes.get("id", ""))))
        self._tell_effects(node, place)
        self._depth += 1
        self._enter(node, place, names)
        self._depth -= 1

    def _enter(self, node: Node, place: Place, names: Mapping[str, str]) -> None:
        """Draw what an element holds or is."""
        named = replace(place, part=names["data-part"] or place.part)
        if node.tag in SHAPES:
            if not unseen(place.style):
                self._shape(node, named)
        elif node.tag == "use":
            self._use(node, named, names)
        elif node.tag == "svg" and self._depth > 1:
            self._viewport(node, place, node.attributes)
        elif node.tag == "switch":
            for child in _chosen(node):
                self.draw(child, place)
        else:
            self._children(node, place)

    def _children(self, node: Node, place: Place) -> None:
        for child in node.children:
            self.draw(child, place)

    def _shape(self, node: Node, place: Place) -> None:
        try:
            drawn = self._inker.ink(node, place)
        except DrawingError as error:
            raise self._refusal(node, error.what) from None
        if drawn:
            self._drawn.append(drawn)

    def _use(self, node: Node, place: Place, names: Mapping[str, str]) -> None:
        """Draw what a use refers to, under the names that it gives."""
        link = (node.attributes.get("href") or node.attributes.get("xlink:href", "")).strip()
        target = self._ids.get(link[1:]) if link[1:] else None
        if not link.startswith("#"):
            self.notes.add("what lies in another file is not fetched", node.line)
        elif target is None:
            self.notes.add(f"use of {link[:40]!r}, which is not there", node.line)
        elif link in self._using:
            self.notes.add(f"use of {link[:40]!r}, which would hold itself", node.line)
        else:
            try:
                x, y = across_down(node.attributes, place.frame, ("x", "y"))
                moved = bounded(place.transform @ translation(x, y))
            except ValueError as error:
                self.notes.add(f"use is left out: {error}", node.line)
                return
            self._using.append(link)
            self._instance(node, target, replace(place, transform=moved), names)
            self._using.pop()

    def _instance(self, use: Node, target: Node, place: Place, names: Mapping[str, str]) -> None:
        given = {key: value for key, value in names.items() if value}
        if target.tag not in ("symbol", "svg"):
            self.draw(target, place, given)
            return
        size = {key: use.attributes[key] for key in ("width", "height") if key in use.attributes}
        own = {key: target.attributes.get(key, "").strip() for key in _NAMES} | given
        style = self._sheet.style(target, place.style)
        if not hidden(style):
            group, side = own["data-group"] or place.group, own["data-side"] or place.side
            inner = replace(place, style=style, group=group, side=side, part=own["data-part"] or place.part)
            self._viewport(target, inner, {**target.attributes, **size})

    def _viewport(self, node: Node, place: Place, attributes: Mapping[str, str]) -> None:
        """Draw the children of an inner svg or a symbol in a viewport of its own."""
        try:
            fit, frame = inner_port(attributes, place.frame)
            inner = replace(place, transform=bounded(place.transform @ fit), frame=frame)
        except ValueError as error:
            self.notes.add(f"{node.tag} is left out: {error}", node.line)
            return
        self._depth += 1
        self._children(node, inner)
        self._depth -= 1

    def _tell_effects(self, node: Node, place: Place) -> None:
        for key, text in _EFFECTS.items():
            if place.style.get(key, "none") != "none":
                self.notes.add(text, node.line)
        if node.tag in SHAPES and any(place.style.get(key, "none") != "none" for key in _MARKERS):
            self.notes.add("markers are not drawn", node.line)

    def _refusal(self, node: Node, what: str) -> DrawingError:
        return DrawingError(what, where=f"{self._where}, line {node.line}", remedy="simplify the drawing")


def _all(node: Node) -> Iterator[Node]:
    """Give an element and everything in it, in the order of the file."""
    yield node
    for child in node.children:
        yield from _all(child)


def _chosen(switch: Node) -> Iterator[Node]:
    """Give the first child of a switch that needs no extension."""
    for child in switch.children:
        if child.tag in _KNOWN and not child.attributes.get("requiredExtensions", "").strip():
            yield child
            return
