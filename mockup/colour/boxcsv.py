"""An ink box as CSV: one swatch a line, the columns named in the first.

References
----------
RFC 4180. Spreadsheets also write semicolons or tabs between columns, then with decimal commas: both are read.
"""

import csv
import io
from collections.abc import Iterator, Sequence

from mockup.colour.boxtable import boxed, column, headings, placed, row_of, swatch_of
from mockup.colour.inkbox import InkBox
from mockup.errors import DesignError


def read_csv(text: str, where: str = "") -> InkBox:
    """Read a box.

    Parameters
    ----------
    text : str
        The whole file.
    where : str
        What messages call it.

    Raises
    ------
    DesignError
        What is wrong: file, line, column, what to write.
    """
    mark, lines = table_lines(text, where)
    first, heads = next(lines, (0, []))
    with placed(where, first):
        names = _columns(heads)
    swatches = []
    for number, cells in lines:
        with placed(where, number):
            if any(cells[len(names) :]):
                raise DesignError(
                    f"{len(cells)} columns where the first line names {len(names)}",
                    remedy="put what holds the separator in quotes",
                )
            row = {name: cell for name, cell in zip(names, cells, strict=False) if name and cell}
            swatches.append((number, swatch_of(row, comma=mark != ",")))
    return boxed(swatches, where)


def write_csv(box: InkBox, mark: str = ",") -> str:
    """Write a box, a comma or a tab between columns; what is read from it is the same box."""
    rows = [row_of(swatch) for swatch in box.swatches]
    names = headings(rows)
    file = io.StringIO(newline="")
    writer = csv.writer(file, delimiter=mark, lineterminator="\n")
    writer.writerow(names)
    writer.writerows([row.get(name, "") for name in names] for row in rows)
    return file.getvalue()


def table_lines(text: str, where: str = "") -> tuple[str, Iterator[tuple[int, list[str]]]]:
    """Take a text with separated columns apart.

    Returns
    -------
    str
        What stands between columns: a comma, a semicolon or a tab.
    iterator of (int, list of str)
        The lines that say anything: where each begins, and its cells without blanks round them. It raises DesignError
        where a quote is not closed.
    """
    whole = text.removeprefix("\ufeff")
    mark = _separator(whole)
    return mark, _lines(whole, mark, where)


def _separator(text: str) -> str:
    """Find out what stands between columns from the first line that says anything: what sets a column "name" apart."""
    first = next((line for line in text.split("\n") if line.strip(";,\t\r ")), "")
    for mark in ",;\t":
        if "name" in {cell.strip(' "\r').casefold() for cell in first.split(mark)}:
            return mark
    return max(",;\t", key=first.count)


def _lines(text: str, mark: str, where: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True, skipinitialspace=True)
    begun = 1
    try:
        for cells in reader:
            trimmed = [cell.strip() for cell in cells]
            if any(trimmed):
                yield begun, trimmed
            begun = reader.line_num + 1
    except csv.Error:
        with placed(where, begun):
            raise DesignError(
                "a quote is not closed, something follows a closed one, or a cell is far too long",
                remedy="put quotes round the whole cell, and write a quote in it twice",
            ) from None


def _columns(heads: Sequence[str]) -> list[str]:
    """Give the right names of the columns.

    Raises
    ------
    DesignError
        None is called name, two have one name, or one looks like a slip.
    """
    names = [column(head) if head else "" for head in heads]
    named = [name for name in names if name]
    if "name" not in named:
        raise DesignError(
            "no column is called name", remedy="begin with a line that names the columns: name,colour,paper"
        )
    if len(set(named)) < len(named):
        twice = next(name for name in named if named.count(name) > 1)
        raise DesignError(f"two columns are called {twice}", remedy="give one of them another name")
    return names
