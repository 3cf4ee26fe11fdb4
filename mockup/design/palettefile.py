"""Palettes by themselves: plain TOML or CSV, without a pattern; or the palette of a design file."""

import csv
import io
from collections.abc import Sequence
from pathlib import Path
from typing import Final

import tomlkit

from mockup.colour.boxcsv import table_lines
from mockup.colour.boxtable import column, placed
from mockup.design import keys
from mockup.design.lines import KeyPath, find_lines
from mockup.design.mistakes import DESIGN, INKS, read_text
from mockup.design.palette import palette
from mockup.design.reading import parse_design
from mockup.design.records import Design, InkSpec, PaletteSpec
from mockup.design.repaletting import keys_of
from mockup.design.syntax import read_toml
from mockup.design.table import Source, Written
from mockup.errors import DesignError

_COLUMNS: Final = ("name", "colour", "role", "share", "coats", "tip", "bleed")
_COATS: Final = " | "
"""What stands between the coats in one column of CSV."""


def read_palette(path: Path) -> Design:
    """Read a design file, or a palette by itself, which gives a design with nothing but a palette.

    Parameters
    ----------
    path : Path
        TOML with ``[palette]``, with or without all else; or CSV that begins with name,colour and may have the columns
        role, share, coats (divided by |), tip and bleed.

    Raises
    ------
    MockupError
        The file cannot be read, or what it says cannot be followed.
    """
    if path.suffix.lower() in {".csv", ".tsv"}:
        return Design(read_palette_csv(read_text(path, INKS), path.name), file=path)
    text = read_text(path, DESIGN)
    values = read_toml(text, path.name)
    if set(values) == {"palette"}:
        return Design(read_palette_toml(text, path.name), file=path)
    return parse_design(text, where=path.name, file=path)


def read_palette_toml(text: str, where: str = "") -> PaletteSpec:
    """Read the text of a TOML file that holds only a palette; raises as reading a design does."""
    values = read_toml(text, where)
    return palette(Written(values, keys.TOP, Source(where, find_lines(text))).table("palette", keys.PALETTE))


def read_palette_csv(text: str, where: str = "") -> PaletteSpec:
    """Read the text of a CSV file that holds a palette; spreadsheets' semicolons, tabs and decimal commas too.

    Raises
    ------
    DesignError
        What is wrong, with its line.
    """
    mark, rows = table_lines(text, where)
    first, cells = next(rows, (0, []))
    with placed(where, first):
        heads = _heads(cells)
    tables: list[dict[str, object]] = []
    lines: dict[KeyPath, int] = {}
    for number, row in rows:
        with placed(where, number):
            if any(row[len(heads) :]):
                raise DesignError(
                    f"{len(row)} columns where the first line names {len(heads)}",
                    remedy="put what holds the separator in quotes",
                )
            lines["palette", "ink", len(tables)] = number
            tables.append(_table({head: cell for head, cell in zip(heads, row, strict=False) if cell}, mark))
    return palette(Written({"ink": tables}, keys.PALETTE, Source(where, lines), ("palette",), "[palette]"))


def _heads(cells: Sequence[str]) -> list[str]:
    """Give the right names of the columns; raises DesignError for others, two alike, or none called name."""
    heads = [cell.lower() if cell.lower() in _COLUMNS else cell and column(cell) for cell in cells]
    while heads and not heads[-1]:
        heads.pop()
    unknown = [head for head in heads if head not in _COLUMNS]
    what = ""
    if unknown:
        what = f"unknown column {unknown[0]!r}" if unknown[0] else "a column has no name"
    elif "name" not in heads:
        what = "no column is called name"
    elif len(set(heads)) < len(heads):
        what = f"two columns are called {next(head for head in heads if heads.count(head) > 1)}"
    if what:
        raise DesignError(what, remedy=f"the columns are {', '.join(_COLUMNS)}")
    return heads


def _table(cells: dict[str, str], mark: str) -> dict[str, object]:
    """Give a row as the table that would say the same."""
    table: dict[str, object] = dict(cells)
    for key in ("share", "tip", "bleed"):
        if key in cells:
            number = cells[key] if mark == "," else cells[key].replace(",", ".")
            try:
                table[key] = float(number.removesuffix("mm"))
            except ValueError:
                raise DesignError(
                    f"{key} is no number: {cells[key][:20]!r}", remedy="write such as 0.3"
                ) from None
    if "coats" in cells:
        table["coats"] = [coat.strip() for coat in cells["coats"].split(_COATS.strip())]
    return table


def write_palette_toml(inks: Sequence[InkSpec], box: str | None = None) -> str:
    """Write inks as a TOML file that holds only a palette; what is read from it is the same."""
    own = tomlkit.table()
    if box is not None:
        own["box"] = box
    tables = tomlkit.aot()
    for ink in inks:
        table = tomlkit.table()
        for key, value in keys_of(ink).items():
            table[key] = value
        tables.append(table)
    own["ink"] = tables
    return tomlkit.dumps({"palette": own})


def write_palette_csv(inks: Sequence[InkSpec]) -> str:
    """Write inks as CSV; what is read from it is the same."""
    rows = []
    for ink in inks:
        written = keys_of(ink)
        if "coats" in written:
            written["coats"] = _COATS.join(ink.coats)
        rows.append([str(written.get(column, "")) for column in _COLUMNS])
    used = [place for place, column in enumerate(_COLUMNS) if place < 2 or any(row[place] for row in rows)]
    file = io.StringIO(newline="")
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow([_COLUMNS[place] for place in used])
    writer.writerows([row[place] for place in used] for row in rows)
    return file.getvalue()
