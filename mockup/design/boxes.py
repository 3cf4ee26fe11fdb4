"""Files of ink boxes: CSV, TOML, or CGATS.17 text, told apart by what is in them."""

import datetime
from pathlib import Path
from typing import Final

import tomlkit

from mockup.colour.boxcsv import read_csv, write_csv
from mockup.colour.boxtable import alike, boxed, column, placed, row_of, swatch_of
from mockup.colour.cgats import is_cgats, read_cgats, write_cgats
from mockup.colour.inkbox import InkBox
from mockup.design.lines import find_lines, line_of
from mockup.design.mistakes import INKS, read_text
from mockup.design.syntax import read_toml
from mockup.design.values import said
from mockup.errors import DesignError, FileError

ENDINGS: Final = {
    ".csv": write_csv,
    ".tsv": lambda box: write_csv(box, "\t"),
    ".txt": write_cgats,
    ".cgats": write_cgats,
}

HUGE: Final = 10**15
"""A whole number from which on nothing is meant by it."""


def read_box(path: Path) -> InkBox:
    """Read an ink box.

    Parameters
    ----------
    path : Path
        CSV, TOML (tables ``[[ink]]`` with the columns of the CSV as keys), or CGATS.17 text; in UTF-8, 1 MiB at most.

    Raises
    ------
    FileError
        It is missing, or cannot be read.
    DesignError
        What is wrong in it, with its line.
    """
    text = read_text(path, INKS)
    if path.suffix.lower() == ".toml":
        return read_box_toml(text, path.name)
    if is_cgats(text):
        return read_cgats(text, path.name)
    return read_csv(text, path.name)


def read_box_toml(text: str, where: str = "") -> InkBox:
    """Read a box from the text of a TOML file.

    Raises
    ------
    DesignError
        What is wrong in it, with its line.
    """
    values, lines = read_toml(text, where), find_lines(text)
    tables = values.get("ink")
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        raise DesignError("holds no inks", where=where, remedy="write [[ink]], name and colour for each")
    swatches = []
    for number, table in enumerate(tables):
        row: dict[str, str] = {}
        for key, value in table.items():
            with placed(where, line_of(("ink", number, key), lines) or 0):
                name = column(key)
                if name in row:
                    raise DesignError(f"two keys say {name}", remedy="leave one of them out")
                row[name] = _text(key, value)
        line = line_of(("ink", number), lines) or 0
        with placed(where, line):
            swatches.append((line, swatch_of(row)))
    own = alike([swatch for _, swatch in swatches])
    return boxed([(line, swatch) for (line, _), swatch in zip(swatches, own, strict=True)], where)


def _text(key: str, value: object) -> str:
    """Give a value as it would stand in a cell."""
    wrong = isinstance(value, bool | list | dict | datetime.datetime | datetime.time)
    if wrong or (isinstance(value, int) and abs(value) >= HUGE):
        raise DesignError(f"{key} is {said(value)}", remedy="write a text, a number or a date")
    return str(value)


def write_box_toml(box: InkBox) -> str:
    """Write a box as TOML; what is read from it is the same box."""
    tables = tomlkit.aot()
    for swatch in box.swatches:
        table = tomlkit.table()
        for key, value in row_of(swatch).items():
            table[key] = value
        tables.append(table)
    return tomlkit.dumps({"ink": tables})


def box_bytes(box: InkBox, path: Path) -> bytes:
    """Write a box in the form that a file's ending asks for.

    Raises
    ------
    FileError
        The ending is of none.
    """
    ending = path.suffix.lower()
    if ending == ".toml":
        return write_box_toml(box).encode()
    if ending not in ENDINGS:
        raise FileError("is no ending of an ink box", where=str(path), remedy="end it in .csv, .toml or .txt")
    return ENDINGS[ending](box).encode()
