"""Writing another palette into a design file: each ink in the place of one that was there, her remarks kept.

What named the ink that was there names the new one from now on.
"""

import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Final, NamedTuple

import tomlkit
from tomlkit import items
from tomlkit.items import AoT, Comment, Item

from mockup.design.amending import Table, amended, remarks
from mockup.design.lines import find_lines, line_of
from mockup.design.records import InkSpec
from mockup.design.values import quoted
from mockup.errors import DesignError
from mockup.units import millimetres

_GROUNDS: Final = ("light", "dark", "paper")
_LINES: Final = ("dark", "none")
"""Words that are no names of inks."""


def with_palette(
    text: str,
    inks: Sequence[InkSpec],
    places: Sequence[int | None],
    *,
    box: str | None = None,
    where: str = "",
) -> str:
    """Write a palette into a design file.

    Parameters
    ----------
    text : str
        The whole file; it has a palette.
    inks : sequence of InkSpec
        The new inks.
    places : sequence of int or None
        For each the place of the ink that it takes over from, rising; None for one that comes to them, at the end.
    box : str, optional
        File of the ink box, as it is to be named; None leaves what is there.
    where : str
        What messages call the file.

    Returns
    -------
    str
        The file, with the palette changed, and whatever names its inks.

    Raises
    ------
    DesignError
        An ink that goes is named somewhere, or the file is written in a way that cannot be changed.
    """

    def change(whole: Table, new_table: Callable[[bool], Table]) -> None:
        palette = whole["palette"]
        old = [str(table["name"]).strip() for table in palette["ink"]]
        new = {place: ink.name for ink, place in zip(inks, places, strict=True) if place is not None}
        _rename(whole, {name.casefold(): new.get(place) for place, name in enumerate(old)}, where)
        if box is not None and palette.get("box") != box:
            _put_box(whole, box)
            palette = whole["palette"]
        tables = palette["ink"]
        for ink, place in zip(inks, places, strict=True):
            if place is not None:
                _fill(tables[place], ink, keep_share=len(inks) == len(old))
        for place in sorted(set(range(len(old))) - set(new), reverse=True):
            _remove(tables, place)
        for ink, place in zip(inks, places, strict=True):
            if place is None:
                _append(tables, ink, new_table)

    return _kept(text, amended(text, change, where))


def keys_of(ink: InkSpec) -> dict[str, Any]:
    """Give the keys of an ink's table as they are written."""
    keys: dict[str, Any] = {"name": ink.name, "colour": ink.colour, "role": ink.role, "share": ink.share}
    keys |= {"coats": list(ink.coats) or None, "tip": ink.tip, "bleed": ink.bleed, "shades": ink.shades}
    return {key: value for key, value in keys.items() if value is not None}


def _put_box(whole: Table, box: str) -> None:
    """Name a box in the palette; where it has no heading yet, it gets one without the remark of the first ink's."""
    palette = whole["palette"]
    if isinstance(palette, items.Table) and palette.is_super_table():
        whole["palette"] = items.Table(
            palette.value, items.Trivia(trail="\n"), False, False, palette.name, palette.display_name
        )
        palette = whole["palette"]
        palette.trivia.comment = palette.trivia.comment_ws = ""
    palette["box"] = box


def _fill(table: Table, ink: InkSpec, *, keep_share: bool) -> None:
    """Let a table say what an ink is."""
    wanted = keys_of(ink)
    if keep_share and "share" in table:
        wanted.setdefault("share", table["share"])
    for key in list(table):
        if key not in wanted or (not _same(table[key], wanted[key]) and remarks(_written(table[key]))):
            _take_out(table, key)
    for key, value in wanted.items():
        if key not in table or not _same(table[key], value):
            table[key] = value


def _same(written: Any, wanted: Any) -> bool:
    """Tell whether a value says what is wanted; a width may be written with its unit."""
    if isinstance(written, str) and isinstance(wanted, float):
        try:
            return millimetres(written) == wanted
        except ValueError:
            return False
    return bool(written.strip() == wanted if isinstance(written, str) else written == wanted)


def _written(item: Any) -> str:
    return item.as_string() if isinstance(item, Item) else ""


def _take_out(table: Table, key: str) -> None:
    """Take a key out; what was remarked on it stands at the end of the table, with the name that the ink had."""
    told = [*remarks(_written(table[key])), *_beside(table[key])]
    name = table["name"]
    del table[key]
    for remark in told:
        if isinstance(table, items.Table):
            table.add(tomlkit.comment(f"{name}: {remark.lstrip('# ')}"))


def _beside(item: Any) -> list[str]:
    """Give the remark on the line of a value."""
    return [item.trivia.comment] if isinstance(item, Item) and item.trivia.comment else []


def _remove(tables: Any, place: int) -> None:
    """Take a table out; what was remarked in it stands at the end of the one before, or after."""
    gone = tables[place]
    told = _told(gone)
    del tables[place]
    if told and isinstance(tables, AoT) and len(tables):
        home = tables[max(place - 1, 0)]
        for remark in told:
            home.add(Comment(items.Trivia("", "", remark, "\n")))


def _told(table: Any) -> list[str]:
    """Give the remarks in a table; those on a line with something of the ink have its name before them."""
    if not isinstance(table, items.Table):
        return []
    heading = table.trivia.comment
    found = [f"# {table['name']}: {heading.lstrip('# ')}"] if heading else []
    for line in table.as_string().splitlines():
        for remark in remarks(line):
            alone = line.lstrip().startswith("#")
            found.append(remark if alone else f"# {table['name']}: {remark.lstrip('# ')}")
    return found


def _append(tables: Any, ink: InkSpec, new_table: Callable[[bool], Table]) -> None:
    table: Any = new_table(not isinstance(tables, AoT))
    for key, value in keys_of(ink).items():
        table[key] = value
    if isinstance(tables, AoT):
        table.add(tomlkit.nl())
        tables.append(table)
    elif isinstance(tables, items.Array):
        several = "\n" in tables.as_string()
        tables.add_line(table, indent="  " if several else " ", add_comma=False, newline=several)
    else:
        tables.append(table)


def _kept(text: str, found: str) -> str:
    """Put remarks that a change has lost before the inks."""
    there, lost = [remark.lstrip("# ") for remark in remarks(found)], []
    for remark in remarks(text):
        told = remark.lstrip("# ")
        still = next((one for one in there if one == told or one.endswith(f": {told}")), None)
        if still is None:
            lost.append(remark)
        else:
            there.remove(still)
    if not lost:
        return found
    end = "\r\n" if "\r\n" in text else "\n"
    mark = "\ufeff" if found.startswith("\ufeff") else ""
    rows = found.removeprefix(mark).split("\n")
    line = line_of(("palette", "ink", 0), find_lines("\n".join(rows))) or 1
    told_again = "".join(remark + end for remark in lost)
    kept = "\n".join(rows[: line - 1]) + "\n" * (line > 1) + told_again + "\n".join(rows[line - 1 :])
    if tomllib.loads(kept) != tomllib.loads("\n".join(rows)):
        kept = told_again + "\n".join(rows)
    return mark + kept


def _rename(whole: Table, names: Mapping[str, str | None], where: str) -> None:
    """Let everything that names an ink name what takes its place.

    Raises
    ------
    DesignError
        It goes, and nothing takes its place.
    """

    def taken(name: Any, place: str, words: tuple[str, ...] = ()) -> str:
        plain = str(name).strip()
        found = names.get(plain.casefold(), plain)
        if plain in words or (found and found.casefold() == plain.casefold()):
            return str(name)
        if found is None:
            raise DesignError(
                f"names the ink {quoted(plain)}, and no ink of the new palette takes its place",
                where=f"{where}, {place}" if where else place,
                remedy="name another ink there first",
            )
        return found

    for named in list(_names(whole)):
        name = taken(named.table[named.key], named.place, named.words)
        if name != named.table[named.key]:
            named.table[named.key] = name
    for way in whole.get("colourway", []):
        heirs = {key: taken(key, "[[colourway]] inks") for key in way.get("inks", {})}
        _rename_keys(way, {key: name for key, name in heirs.items() if name != key})


def _rename_keys(way: Table, heirs: Mapping[str, str]) -> None:
    """Rename keys of a colourway's inks, by way of names that nothing has, since two may change places.

    ``way["inks"]`` is asked for each time: after a key goes, what tomlkit gave for a dotted table is no longer true.
    """
    passing = {key: f"passing {number}\n" for number, key in enumerate(heirs)}
    steps = [*passing.items(), *((passing[key], name) for key, name in heirs.items())]
    for key, name in steps:
        way["inks"][name] = way["inks"][key]
        del way["inks"][key]


class _Named(NamedTuple):
    """Where an ink may be named: what holds it, the key there, how messages call it, words that are no names."""

    table: Any
    key: Any
    place: str
    words: tuple[str, ...] = ()


def _names(whole: Table) -> Iterator[_Named]:
    """Give every place where an ink may be named."""
    colouring = whole.get("colouring", {})
    fixed, only = colouring.get("fixed", {}), colouring.get("only", {})
    if "ground" in colouring:
        yield _Named(colouring, "ground", "[colouring] ground", _GROUNDS)
    for name in ("line", "border"):
        if "ink" in whole.get(name, {}):
            yield _Named(whole[name], "ink", f"[{name}] ink", _LINES)
    yield from (_Named(fixed, place, "[colouring] fixed") for place in fixed)
    yield from (
        _Named(only[part], number, "[colouring] only") for part in only for number in range(len(only[part]))
    )
    for way in whole.get("colourway", []):
        if "ground" in way:
            yield _Named(way, "ground", "[[colourway]] ground", _GROUNDS)
        inks = way.get("inks", {})
        yield from (_Named(inks, name, "[[colourway]] inks") for name in inks)
