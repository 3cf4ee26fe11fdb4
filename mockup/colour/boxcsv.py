"""An ink box as CSV: one swatch a line, the columns named in the first.

References
----------
RFC 4180. Spreadsheets also write semicolons or tabs between columns, then with decimal commas: both are read.
"""

import csv
import io
from collections.abc import Iterator, Sequence

from mockup.colour.boxtable import column, headings, placed, row_of, swatch_of
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
    tidy = text.removeprefix("\ufeff")
    mark = _separator(tidy)
    lines = _lines(tidy, mark, where)
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
            swatches.append(swatch_of(row, comma=mark != ","))
    with placed(where):
        return InkBox(tuple(swatches))


def write_csv(box: InkBox) -> str:
    """Write a box; what is read from it is the same box."""
    rows = [row_of(swatch) for swatch in box.swatches]
    names = headings(rows)
    file = io.StringIO(newline="")
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(names)
    writer.writerows([row.get(name, "") for name in names] for row in rows)
    return file.getvalue()


def _separator(text: str) -> str:
    """Find out what stands between columns from the first line that says anything."""
    first = next((line for line in text.splitlines() if line.strip(";,\t ")), "")
    return max(",;\t", key=first.count)


def _lines(text: str, mark: str, where: str) -> Iterator[tuple[int, list[str]]]:
    """Give the lines that say anything, each with its number and its trimmed cells."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    try:
        for cells in reader:
            trimmed = [" ".join(cell.split()) for cell in cells]
            if any(trimmed):
                yield reader.line_num, trimmed
    except csv.Error as fault:
        with placed(where, reader.line_num):
            raise DesignError(
                f"is no CSV ({fault})", remedy="close every quote, and save it as CSV in UTF-8"
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
