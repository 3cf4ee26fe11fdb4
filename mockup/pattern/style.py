"""How an element is painted: presentation attributes, style attributes and simple style rules, inherited.

Style rules are read where a selector is one element name, classes and ids together ("path", ".leaf", "#eye",
"path.leaf"); what else a style sheet holds is named, not followed.

References
----------
SVG 2, chapters 6 (styling) and 13 (painting); CSS Cascading and Inheritance Level 4, section 6.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final, TypeAlias

from mockup.errors import DrawingError
from mockup.pattern.xmltree import Node

Style: TypeAlias = Mapping[str, str]
"""Values as they were written, of the element or inherited; a property that was never written is missing."""

_INHERITED: Final = frozenset(
    {"color", "fill", "fill-rule", "fill-opacity", "visibility"}
    | {"stroke", "stroke-width", "stroke-opacity", "stroke-linecap", "stroke-dasharray"}
    | {"stroke-linejoin", "stroke-miterlimit"}
    | {"marker", "marker-start", "marker-mid", "marker-end"}
)
_OWN: Final = frozenset({"display", "opacity", "clip-path", "mask", "filter", "transform"})
_PROPERTIES: Final = _INHERITED | _OWN
_PRESENTED: Final = _PROPERTIES - {"transform"}
_MOST_RULES: Final = 2_000
_COMMENT: Final = re.compile(r"/\*.*?(?:\*/|\Z)|<!--|-->", re.DOTALL)
_PIECE: Final = re.compile(r"\"[^\"]*\"|'[^']*'|[{};]|[^\"'{};]+|.", re.DOTALL)
_DECLARATION: Final = re.compile(r"(?:[^;\"'(]|\"[^\"]*(?:\"|\Z)|'[^']*(?:'|\Z)|\([^)]*(?:\)|\Z))+")
_SELECTOR: Final = re.compile(r"(\*|[A-Za-z][\w-]*)?((?:[.#][\w-]+)*)")
_MARK: Final = re.compile(r"([.#])([\w-]+)")
_IMPORTANT: Final = re.compile(r"!\s*+important\s*+\Z", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class _Rule:
    """One selector with its declarations, ordinary and important ones."""

    tag: str
    classes: frozenset[str]
    ids: frozenset[str]
    plain: Style
    important: Style

    @property
    def weight(self) -> tuple[int, int, int]:
        """Specificity."""
        return len(self.ids), len(self.classes), int(bool(self.tag))

    def fits(self, node: Node, classes: frozenset[str]) -> bool:
        own = node.attributes.get("id", "")
        return self.tag in ("", node.tag) and self.classes <= classes and self.ids <= {own}


class StyleSheet:
    """The style rules of one drawing."""

    def __init__(self, text: str, leave_out: Callable[[str], None]) -> None:
        """Read rules; ``leave_out`` is told what is not followed.

        Raises
        ------
        DrawingError
            More than 2 000 rules.
        """
        rules = list(_rules(text, leave_out))
        self._rules = sorted(rules, key=lambda rule: rule.weight)
        self._ids = frozenset[str]().union(*(rule.ids for rule in rules))
        self._known: dict[tuple[str, str, str], tuple[Style, Style]] = {}

    def style(self, node: Node, parent: Style) -> Style:
        """Work out the style of an element whose parent has the style ``parent``."""
        inline, urgent = _declarations(node.attributes.get("style", ""))
        result = {key: value for key, value in parent.items() if key in _INHERITED}
        plain, important = self._matched(node)
        presented = {key: node.attributes[key].strip() for key in _PRESENTED & node.attributes.keys()}
        for key, value in {**presented, **plain, **inline, **important, **urgent}.items():
            word = value.lower()
            if word == "initial":
                result.pop(key, None)
            elif value and word not in ("inherit", "unset"):
                result[key] = value
        return result

    def _matched(self, node: Node) -> tuple[Style, Style]:
        """Merge the declarations of all rules that fit an element: ordinary ones, important ones."""
        names, own = node.attributes.get("class", ""), node.attributes.get("id", "")
        key = (node.tag, names, own if own in self._ids else "")
        if key not in self._known:
            classes = frozenset(names.split())
            plain: dict[str, str] = {}
            important: dict[str, str] = {}
            for rule in self._rules:
                if rule.fits(node, classes):
                    plain.update(rule.plain)
                    important.update(rule.important)
            self._known[key] = plain, important
        return self._known[key]


def _rules(text: str, leave_out: Callable[[str], None]) -> Iterator[_Rule]:
    count = 0
    for selectors, body in _blocks(_COMMENT.sub(" ", text)):
        if selectors.startswith("@"):
            word = selectors.split(None, 1)[0].lower()
            if word not in ("@charset", "@namespace", "@font-face"):
                leave_out(f"the style sheet's {word[:20]} is not followed")
            continue
        plain, important = _declarations(body)
        for selector in map(str.strip, selectors.split(",")):
            found = _SELECTOR.fullmatch(selector)
            if not (selector and found):
                leave_out(
                    f"the style rule {selector[:40]!r} is not followed (only elements, classes and ids are)"
                )
                continue
            count += 1
            if count > _MOST_RULES:
                raise DrawingError(f"the style sheet has more than {_MOST_RULES} rules")
            marks = _MARK.findall(found[2])
            classes = frozenset(name for sign, name in marks if sign == ".")
            ids = frozenset(name for sign, name in marks if sign == "#")
            yield _Rule((found[1] or "").replace("*", ""), classes, ids, plain, important)


def _blocks(text: str) -> Iterator[tuple[str, str]]:
    """Split a style sheet into what stands before each block, and the block; statements have an empty one."""
    depth = 0
    before: list[str] = []
    inside: list[str] = []
    for piece in _PIECE.findall(text):
        depth += {"{": 1, "}": -1}.get(piece, 0)
        if depth > 0:
            inside.append(piece)
        elif piece in "};":
            head = "".join(before).strip()
            if inside or head.startswith("@"):
                yield head, "".join(inside[1:])
            depth, before, inside = 0, [], []
        else:
            before.append(piece)


def _declarations(text: str) -> tuple[Style, Style]:
    """Read declarations of the properties that matter: ordinary ones, important ones."""
    plain: dict[str, str] = {}
    important: dict[str, str] = {}
    for declaration in _DECLARATION.findall(text):
        key, _, value = declaration.partition(":")
        key = key.strip().lower()
        if key in _PROPERTIES:
            short = _IMPORTANT.sub("", value)
            (plain if short == value else important)[key] = short.strip()
    return plain, important
