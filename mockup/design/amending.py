"""Adding to a design file in place: her remarks, order and layout stay as they are.

Only ``[colouring]`` is added to: entries of ``fixed``, and the name of a plan. Whatever the text becomes is read again,
and taken only if it says what it said before and what was added, nothing else.
"""

import copy
import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from typing import Any, Final

from mockup.errors import DesignError

_HEAD: Final = re.compile(r"\s*\[")
_NAME: Final = re.compile(r"""\s*(?:fixed|"fixed"|'fixed')\s*(=|\.)""")


def with_fixed(text: str, fixed: Mapping[str, str], *, plan: str | None = None, where: str = "") -> str:
    """Write entries of ``fixed`` into a design file.

    Parameters
    ----------
    text : str
        The whole file.
    fixed : mapping
        Places to inks; none of the places stands in ``fixed`` yet.
    plan : str, optional
        File of a plan, where none is named yet.
    where : str
        What messages call the file.

    Returns
    -------
    str
        The file, with these keys more and nothing else changed.

    Raises
    ------
    DesignError
        It is written in a way that cannot be added to: what to write by hand.
    """
    wanted = _read(text) or {}
    table = copy.deepcopy(wanted)
    colouring = table.setdefault("colouring", {})
    if not isinstance(colouring, dict) or not isinstance(colouring.setdefault("fixed", {}), dict):
        raise _by_hand(fixed, plan, where)
    colouring["fixed"].update(fixed)
    if not fixed and "fixed" not in wanted.get("colouring", {}):
        del colouring["fixed"]
    if plan is not None:
        colouring["plan"] = plan
    for written in _ways(text, fixed, plan):
        if _read(written) == table:
            return written
    raise _by_hand(fixed, plan, where)


def _by_hand(fixed: Mapping[str, str], plan: str | None, where: str) -> DesignError:
    lines = ([f"fixed = {{ {_entries(fixed)} }}"] if fixed else []) + (_plan_line(plan) if plan else [])
    return DesignError(
        "is written in a way that cannot be added to",
        where=where,
        remedy="write into [colouring] by hand: " + ", and ".join(lines),
    )


def _read(text: str) -> dict[str, Any] | None:
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except tomllib.TOMLDecodeError:
        return None


def _entries(fixed: Mapping[str, str]) -> str:
    return ", ".join(_entry(place, ink) for place, ink in fixed.items())


def _entry(place: str, ink: str) -> str:
    """Write one entry; what JSON writes in quotes TOML reads, too, as long as it can be printed."""
    return f"{json.dumps(place, ensure_ascii=False)} = {json.dumps(ink, ensure_ascii=False)}"


def _plan_line(plan: str) -> list[str]:
    return [f"plan = {json.dumps(plan, ensure_ascii=False)}"]


def _ways(text: str, fixed: Mapping[str, str], plan: str | None) -> Iterator[str]:
    """Give the text as it may be written, in every way that may fit; the reader finds out which does."""
    end = "\r\n" if "\r\n" in text else "\n"
    whole = text if not text or text.endswith("\n") else text + end
    planned = _plan_line(plan) if plan is not None else []
    for lines in _tables(whole.splitlines(keepends=True), fixed, planned, end):
        yield "".join(lines)
    bare = [f"fixed = {{ {_entries(fixed)} }}"] if fixed else []
    between = end if whole.strip() else ""
    yield whole + between + "".join(line + end for line in ("[colouring]", *planned, *bare))


def _tables(lines: list[str], fixed: Mapping[str, str], planned: list[str], end: str) -> Iterator[list[str]]:
    """Add to a [colouring] that is there, and to a [colouring.fixed]."""
    start = _heading(lines, "colouring")
    inner = _heading(lines, r"colouring\s*\.\s*[\"']?fixed[\"']?")
    if inner is not None:
        last = _last_key(lines, inner)
        rows = [_entry(place, ink) for place, ink in fixed.items()]
        more = _after(lines, last, rows, end)
        if not planned:
            yield more
        elif start is not None:
            # the later one first, so that the places above it stay
            head = _last_key(lines, start)
            yield (
                _after(more, head, planned, end)
                if head < inner
                else _after(_after(lines, head, planned, end), last, rows, end)
            )
        else:
            yield [*more, end, "[colouring]" + end, *(line + end for line in planned)]
    if start is None:
        return
    last = _last_key(lines, start)
    begun = _fixed_lines(lines, start, last)
    if begun is None:
        rows = [f"fixed = {{ {_entries(fixed)} }}"] if fixed else []
        yield _after(lines, last, [*planned, *rows], end)
    else:
        tail = _after(lines, last, planned, end)
        yield from _inline(tail, begun, fixed)
        rows = [f"fixed.{_entry(place, ink)}" for place, ink in fixed.items()]
        yield _after(lines, last, [*planned, *rows], end)


def _heading(lines: list[str], name: str) -> int | None:
    """Find the line of a heading."""
    head = re.compile(rf"\s*\[\s*{name}\s*\]\s*(?:#.*)?$")
    return next((number for number, line in enumerate(lines) if head.match(line.rstrip("\r\n"))), None)


def _last_key(lines: list[str], start: int) -> int:
    """Find the last line of the last key of the table that is begun at a line; of an empty table the heading."""
    last, at = start, start + 1
    while at < len(lines) and not _HEAD.match(lines[at]):
        if lines[at].strip() and not lines[at].lstrip().startswith("#"):
            at = _statement_end(lines, at)
            last = at
        at += 1
    return last


def _statement_end(lines: list[str], at: int) -> int:
    """Find the line at which the key that begins at a line is whole."""
    for end in range(at, len(lines)):
        if _read("".join(lines[at : end + 1])) is not None:
            return end
    return at


def _fixed_lines(lines: list[str], start: int, last: int) -> tuple[int, int] | None:
    """Find first and last line of ``fixed`` in a table."""
    at = start + 1
    while at <= last:
        end = (
            _statement_end(lines, at) if lines[at].strip() and not lines[at].lstrip().startswith("#") else at
        )
        if _NAME.match(lines[at]):
            return at, end
        at = end + 1
    return None


def _after(lines: list[str], last: int, rows: list[str], end: str) -> list[str]:
    """Put lines below another, as far in as the first key of its table."""
    begun = max(at for at in range(last + 1) if _HEAD.match(lines[at]) or at == 0)
    first = next((at for at in range(begun + 1, last + 1) if re.match(r"\s*[^\s#]", lines[at])), None)
    margin = "" if first is None else lines[first][: len(lines[first]) - len(lines[first].lstrip())]
    return [*lines[: last + 1], *(margin + row + end for row in rows), *lines[last + 1 :]]


def _inline(lines: list[str], begun: tuple[int, int], fixed: Mapping[str, str]) -> Iterator[list[str]]:
    """Add before the closing brace of ``fixed = { ... }``: of all braces the one that makes sense."""
    first, last = begun
    told = "".join(lines[first : last + 1])
    for brace in reversed([found.start() for found in re.finditer("}", told)]):
        before, after = told[:brace].rstrip(), told[brace:]
        empty = before.endswith("{")
        yield [
            *lines[:first],
            f"{before}{' ' if empty else ', '}{_entries(fixed)} {after}",
            *lines[last + 1 :],
        ]
