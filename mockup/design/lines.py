"""In which line of the file each table and key stands, for messages."""

import re
from typing import Final

Path = tuple[str | int, ...]
"""Names from the top, with the number (from 0) after the name of a table that is written with two brackets."""

_HEAD: Final = re.compile(r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]")
_KEY: Final = re.compile(r"""\s*((?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[\w-]+|"[^"]*"|'[^']*'))*)\s*=""")
_NAME: Final = re.compile(r"""[\w-]+|"[^"]*"|'[^']*'""")


def find_lines(text: str) -> dict[Path, int]:
    """Find the lines (from 1) of headings and of keys that begin a line."""
    lines: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
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


def line_of(path: Path, lines: dict[Path, int]) -> int | None:
    """Find the line of a key, else of what it stands in."""
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return None


def _names(text: str) -> list[str]:
    return [name.strip("\"'") for name in _NAME.findall(text)]


def _inside(path: Path, names: list[str], counts: dict[Path, int]) -> Path:
    """Go on from a table by names, into the latest of those with two brackets."""
    for name in names:
        path += (name,)
        if path in counts:
            path += (counts[path],)
    return path


def _begun(names: list[str], counts: dict[Path, int], *, many: bool) -> Path:
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
