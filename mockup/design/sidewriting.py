"""Writing a side palette into a design file: her remarks kept, and what stood under its name replaced."""

from collections.abc import Callable, Sequence
from typing import Any

import tomlkit
from tomlkit.items import AoT

from mockup.design.amending import Table, amended
from mockup.design.records import InkSpec
from mockup.design.repaletting import keys_of


def with_side(text: str, name: str, per: str, inks: Sequence[InkSpec], *, where: str = "") -> str:
    """Write a side palette.

    Parameters
    ----------
    text : str
        The whole file; it has a palette.
    name : str
        What parts belong to it: "skin".
    per : str
        "figure" or "piece".
    inks : sequence of InkSpec
        Its inks, one a line.
    where : str
        What messages call the file.

    Raises
    ------
    DesignError
        The file is written in a way that cannot be changed.
    """

    def change(whole: Table, new_table: Callable[[bool], Table]) -> None:
        palette: Any = whole["palette"]
        side: Any = new_table(False)
        side["name"], side["per"] = name, per
        plain = isinstance(whole, dict) and not hasattr(whole, "as_string")
        side["ink"] = [keys_of(ink) for ink in inks] if plain else _lines(inks)
        if "side" not in palette:
            palette["side"] = [] if plain else tomlkit.aot()
        sides = palette["side"]
        taken = [str(one.get("name", "skin")).casefold() for one in sides]
        if name.casefold() in taken:
            place = taken.index(name.casefold())
            sides[place]["per"] = per
            sides[place]["ink"] = side["ink"]
            return
        if isinstance(sides, AoT):
            side.add(tomlkit.nl())
        sides.append(side)

    return amended(text, change, where)


def _lines(inks: Sequence[InkSpec]) -> Any:
    """Give inks as a list of tables in braces, one a line."""
    lines = tomlkit.array().multiline(True)
    for ink in inks:
        table = tomlkit.inline_table()
        for key, value in keys_of(ink).items():
            table[key] = value
        lines.append(table)
    return lines
