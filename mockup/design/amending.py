"""Changing a design file in place: her remarks, order and layout stay as they are.

Whatever the text becomes is read again, and taken only if it says what it said before and what was to be changed,
nothing else.
"""

import re
import tomllib
from collections.abc import Callable, Mapping
from typing import Any, Final

import tomlkit
from tomlkit.exceptions import TOMLKitError

from mockup.errors import DesignError

Table = dict[str, Any]
"""A table of the file, whichever way it is written."""

_TOKEN: Final = re.compile(
    r'''""".*?(?<!\\)(?:\\\\)*"{3,5}|'{3}.*?'{3,5}|"(?:\\.|[^"\\\n])*"|'[^'\n]*'|#[^\n]*''', re.DOTALL
)
"""A text of TOML in any quotes, or a remark."""


def remarks(text: str) -> list[str]:
    """Give the remarks in a text of TOML in their order, each with its sign."""
    return [found[0].rstrip() for found in _TOKEN.finditer(text) if found[0].startswith("#")]


def with_fixed(text: str, fixed: Mapping[str, str], *, plan: str | None = None, where: str = "") -> str:
    """Write entries of ``fixed``, and the name of a plan, into ``[colouring]`` of a design file.

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
        It is written in a way that cannot be changed from here.
    """

    def change(whole: Table, new_table: Callable[[bool], Table]) -> None:
        colouring = whole.setdefault("colouring", new_table(False))
        if plan is not None:
            colouring["plan"] = plan
        if fixed:
            entries = colouring.setdefault("fixed", new_table(True))
            for place, ink in fixed.items():
                entries[place] = ink

    return amended(text, change, where)


def amended(text: str, change: Callable[[Table, Callable[[bool], Table]], None], where: str = "") -> str:
    """Change a file as text.

    Parameters
    ----------
    text : str
        The whole file.
    change : callable
        Gets the file as nested tables and changes them in place; it is called twice, with what keeps the text and with
        plain tables. Its second argument makes a new table; True for one in braces.
    where : str
        What messages call the file.

    Raises
    ------
    DesignError
        The changed text does not say what it should.
    """
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    try:
        wanted = tomllib.loads(text.removeprefix(mark))
        written = tomlkit.parse(text.removeprefix(mark))
        change(wanted, lambda _: {})
        change(written, lambda braces: tomlkit.inline_table() if braces else tomlkit.table())
        found = mark + tomlkit.dumps(written)
        if found == text:
            return text
        found = re.sub(r"\r?\n", "\r\n" if "\r\n" in text else "\n", found)
        same = tomllib.loads(found.removeprefix(mark)) == wanted
    except (tomllib.TOMLDecodeError, TOMLKitError, TypeError, AttributeError, LookupError, RecursionError):
        same = False
    if not same:
        raise DesignError(
            "is written in a way that cannot be changed from here",
            where=where,
            remedy="write what is printed into it by hand",
        )
    return found
