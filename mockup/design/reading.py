"""Reading a design file: from TOML to records, every mistake told in one line."""

from pathlib import Path

from mockup.design import keys
from mockup.design.forms import date
from mockup.design.inking import colouring, line, shading
from mockup.design.layout import border, drawing, pattern, sheet
from mockup.design.lines import find_lines
from mockup.design.mistakes import read_text
from mockup.design.palette import check_shares, colourways, palette
from mockup.design.records import Design
from mockup.design.syntax import read_toml
from mockup.design.table import Source, Written
from mockup.design.values import text
from mockup.errors import DesignError


def read_design(path: Path) -> Design:
    """Read a design file.

    Parameters
    ----------
    path : Path
        The file: TOML in UTF-8, 1 MiB at most.

    Raises
    ------
    FileError
        The file is missing, cannot be read, or is of another kind.
    DesignError
        What it says cannot be followed.
    """
    return parse_design(read_text(path), where=path.name, file=path)


def parse_design(design: str, *, where: str = "", file: Path | None = None) -> Design:
    """Read the text of a design file.

    Parameters
    ----------
    design : str
        The text.
    where : str
        What messages call the file.
    file : Path, optional
        Where it lies; paths in it hold from there.

    Raises
    ------
    DesignError
        What it says cannot be followed: file, line, table and key, what was expected and what came.
    """
    tidy = design.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    values = read_toml(tidy, where)
    if not values:
        raise DesignError("says nothing yet", where=where, remedy="`mockup new` writes one to begin with")
    return _design(Written(values, keys.TOP, Source(where, find_lines(tidy))), file)


def _design(top: Written, file: Path | None) -> Design:
    """Read all tables."""
    _pattern_or_drawing(top)
    line_of_text = text(200, least=0)
    paper = sheet(top.table("sheet", keys.SHEET))
    inks = palette(top.table("palette", keys.PALETTE))
    asked = top.table("colouring", keys.COLOURING)
    spread = colouring(asked)
    if spread.balance == "own":
        check_shares(inks.inks, asked)
    drawn = "drawing" in top.values
    return Design(
        palette=inks,
        pattern=None if drawn else pattern(top.table("pattern", keys.PATTERN)),
        drawing=drawing(top.table("drawing", keys.DRAWING)) if drawn else None,
        title=top.get("title", line_of_text, ""),
        designer=top.get("designer", line_of_text, ""),
        client=top.get("client", line_of_text, ""),
        date=top.get("date", date, None),
        sheet=paper,
        colouring=spread,
        line=line(top.table("line", keys.LINE)),
        shading=shading(top.table("shading", keys.SHADING)),
        border=border(top.table("border", keys.BORDER), paper, drawn=drawn),
        colourways=colourways(top.tables("colourway", keys.COLOURWAY, 26)),
        file=file,
    )


def _pattern_or_drawing(top: Written) -> None:
    """Refuse a design without what is to be coloured, or with two."""
    given = [name for name in ("pattern", "drawing") if name in top.values]
    if not given:
        remedy = 'write [pattern] and motifs = ["pear", "fig"], or [drawing] and a file'
        raise top.wrong("there is neither [pattern] nor [drawing]", remedy)
    if len(given) > 1:
        raise top.wrong("[pattern] and [drawing] both stand in it", "keep one of them", "drawing")
    if "palette" not in top.values:
        raise top.wrong("there is no [palette]", "write [[palette.ink]] with name and colour for each ink")
