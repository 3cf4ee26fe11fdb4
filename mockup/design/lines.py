"""In which line of the file each table and key stands, for messages."""

import re
from collections.abc import Mapping
from typing import Final

KeyPath = tuple[str | int, ...]
"""Names from the top; after the name of a table with two brackets its number, from 0."""

_HEAD: Final = re.compile(r"\s*(\[\[?)([^\[\]]+)\]")
_KEY: Final = re.compile(r"""\s*((?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[\w-]+|"[^"]*"|'[^']*'))*)\s*=""")
_NAME: Final = re.compile(r"""[\w-]+|"[^"]*"|'[^']*'""")


def find_lines(text: str) -> dict[KeyPath, int]:
    """Find the lines (from 1) of headings and of keys that begin a line."""
    lines: dict[KeyPath, int] = {}
    counts: dict[KeyPath, int] = {}
    table: KeyPath = ()
    closing = ""
    for number, line in enumerate(text.split("\n"), 1):
        if closing:
            if closing in line:
                closing = ""
            continue
        head, key = _HEAD.match(line), _KEY.match(line)
        if key:
            lines.setdefault(_inside(table, _names(key[1]), counts), number)
            closing = _left_open(line)
        elif head:
            table = _begun(_names(head[2]), counts, many=head[1] == "[[")
            lines.setdefault(table, number)
    return lines


def line_of(path: KeyPath, lines: Mapping[KeyPath, int]) -> int | None:
    """Find the line of a key, or of the first table of its name; else of what it stands in."""
    while path:
        if path in lines or (*path, 0) in lines:
            return lines[path] if path in lines else lines[*path, 0]
        path = path[:-1]
    return None


def _names(text: str) -> list[str]:
    return [name.strip("\"'") for name in _NAME.findall(text)]


def _inside(path: KeyPath, names: list[str], counts: dict[KeyPath, int]) -> KeyPath:
    """Go on from a table by names, into the latest of those with two brackets."""
    for name in names:
        path += (name,)
        if path in counts:
            path += (counts[path],)
    return path


def _begun(names: list[str], counts: dict[KeyPath, int], *, many: bool) -> KeyPath:
    """Give the path of the table that a heading begins."""
    if not many:
        return _inside((), names, counts)
    path = (*_inside((), names[:-1], counts), names[-1])
    counts[path] = counts.get(path, -1) + 1
    return (*path, counts[path])


def _left_open(line: str) -> str:
    """Give the triple quote that a line opens and does not close."""
    for triple in ('"""', "'''"):
        if line.count(triple) % 2:
            return triple
    return ""
