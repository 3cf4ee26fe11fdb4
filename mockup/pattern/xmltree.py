"""XML into a small tree that cannot be changed, without trusting the file.

Entity declarations are refused (a plain DOCTYPE is not), depth, number of elements and size are bounded, and
nothing outside the file is ever fetched.

References
----------
Extensible Markup Language 1.0, 5th ed.; Namespaces in XML 1.0, 3rd ed.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final
from xml.parsers import expat

from mockup.errors import DrawingError

DEEPEST: Final = 64
MOST_ELEMENTS: Final = 200_000
MOST_BYTES: Final = 8 * 2**20

_OWN: Final = ("", "http://www.w3.org/2000/svg")
_XLINK: Final = "http://www.w3.org/1999/xlink"


@dataclass(frozen=True, eq=False, slots=True)
class Node:
    """One element.

    ``tag`` and the keys of ``attributes`` are plain for SVG and for names without a namespace; XLink's
    attributes keep the prefix ``xlink:``; of other namespaces the attributes are dropped, and the elements
    have the tag "". ``text`` is the text directly inside, ``line`` where the element begins.
    """

    tag: str
    attributes: Mapping[str, str]
    children: tuple["Node", ...]
    text: str
    line: int


@dataclass(frozen=True, eq=False, slots=True)
class Document:
    """An XML file: its outermost element, and the targets of its processing instructions."""

    root: Node
    instructions: tuple[str, ...]


@dataclass(slots=True)
class _Open:
    """An element of which the end has not come yet."""

    tag: str
    attributes: dict[str, str]
    line: int
    children: list[Node] = field(default_factory=list)
    text: list[str] = field(default_factory=list)

    def finished(self) -> Node:
        attributes = MappingProxyType(self.attributes)
        return Node(self.tag, attributes, tuple(self.children), "".join(self.text), self.line)


def read_xml(content: bytes, where: str) -> Document:
    """Parse an XML file.

    Parameters
    ----------
    content : bytes
        The whole file.
    where : str
        What to call the file in errors.

    Raises
    ------
    DrawingError
        The file is empty, too large, compressed, a picture, no XML, in an unknown encoding, nested too deep, has too
        many elements, or declares entities.
    """
    if not content.strip():
        raise DrawingError("the file is empty", where=where, remedy="save the drawing again as plain SVG")
    if len(content) > MOST_BYTES:
        raise DrawingError(f"the file is larger than {MOST_BYTES // 2**20} MiB", where=where)
    if content.startswith(b"\x1f\x8b"):
        raise DrawingError("the file is compressed (svgz)", where=where, remedy="save it as plain SVG")
    if content.startswith((b"\x89PNG", b"\xff\xd8\xff")):
        raise DrawingError(
            "the file is a picture, no SVG drawing",
            where=where,
            remedy="`mockup scan` makes a drawing of scanned lines",
        )
    return _Builder(where).document(content)


class _Builder:
    """Gathers nodes as expat reports them."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.count = 0
        self.stack = [_Open("", {}, 0)]
        self.instructions: list[str] = []
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end
        self.parser.CharacterDataHandler = self.words
        self.parser.EntityDeclHandler = self.entity
        self.parser.ProcessingInstructionHandler = self.instruction

    def document(self, content: bytes) -> Document:
        try:
            self.parser.Parse(content, True)
        except expat.ExpatError as error:
            reason = expat.errors.messages.get(error.code, "cannot be read")
            place = f"{self.where}, line {error.lineno}, column {error.offset + 1}"
            raise DrawingError(f"not sound XML: {reason}", where=place) from None
        except (LookupError, ValueError):
            raise self.refusal("the encoding that it names is not known", "save it as UTF-8") from None
        return Document(self.stack[0].children[0], tuple(self.instructions))

    def refusal(self, what: str, remedy: str = "") -> DrawingError:
        line, column = self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1
        return DrawingError(what, where=f"{self.where}, line {line}, column {column}", remedy=remedy)

    def start(self, name: str, attributes: dict[str, str]) -> None:
        self.count += 1
        if self.count > MOST_ELEMENTS:
            raise self.refusal(f"more than {MOST_ELEMENTS} elements")
        if len(self.stack) > DEEPEST:
            raise self.refusal(f"elements are nested more than {DEEPEST} deep")
        space, _, tag = name.rpartition(" ")
        kept = {_key(key): value for key, value in attributes.items()}
        kept.pop("", None)
        self.stack.append(_Open(tag if space in _OWN else "", kept, self.parser.CurrentLineNumber))

    def end(self, _name: str) -> None:
        done = self.stack.pop()
        self.stack[-1].children.append(done.finished())

    def words(self, text: str) -> None:
        self.stack[-1].text.append(text)

    def entity(self, *_declaration: object) -> None:
        raise self.refusal("the file declares entities, which are not read", "save it as plain SVG")

    def instruction(self, target: str, _data: str) -> None:
        self.instructions.append(target)


def _key(name: str) -> str:
    """Give the key under which an attribute is kept, empty for one of a foreign namespace."""
    space, _, local = name.rpartition(" ")
    if space == _XLINK:
        return f"xlink:{local}"
    return "" if space else local
