"""Writing another palette into a design file: each ink in the place of one that was there, her remarks kept.

What named the ink that was there names the new one from now on.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit.items import AoT, Comment, Item, Null, Whitespace

from mockup.design.amending import Table, amended
from mockup.design.records import InkSpec
from mockup.design.values import quoted
from mockup.errors import DesignError


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
        old = [str(table["name"]) for table in palette["ink"]]
        new = {place: ink.name for ink, place in zip(inks, places, strict=True) if place is not None}
        _rename(whole, {name.casefold(): new.get(place) for place, name in enumerate(old)}, where)
        if box is not None:
            palette["box"] = box
        tables = palette["ink"]
        for ink, place in zip(inks, places, strict=True):
            if place is not None:
                _fill(tables[place], ink, keep_share=len(inks) == len(old))
        for place in sorted(set(range(len(old))) - set(new), reverse=True):
            _remove(tables, place)
        for ink, place in zip(inks, places, strict=True):
            if place is None:
                _append(tables, ink, new_table)

    return amended(text, change, where)


def keys_of(ink: InkSpec) -> dict[str, Any]:
    """Give the keys of an ink's table as they are written."""
    keys: dict[str, Any] = {"name": ink.name, "colour": ink.colour, "role": ink.role, "share": ink.share}
    keys |= {"coats": list(ink.coats) or None, "tip": ink.tip, "bleed": ink.bleed}
    return {key: value for key, value in keys.items() if value is not None}


def _fill(table: Table, ink: InkSpec, *, keep_share: bool) -> None:
    """Let a table say what an ink is; the remark on a line that goes is put to another."""
    wanted = keys_of(ink)
    if keep_share and "share" in table:
        wanted.setdefault("share", table["share"])
    remarks = []
    for key in [key for key in table if key not in wanted]:
        if isinstance(table[key], Item) and table[key].trivia.comment:
            remarks.append(table[key].trivia.comment)
        del table[key]
    for key, value in wanted.items():
        if table.get(key) != value:
            table[key] = value
    free = (table[key] for key in wanted if isinstance(table[key], Item) and not table[key].trivia.comment)
    for remark, item in zip(remarks, free, strict=False):
        item.comment(remark)


def _remove(tables: Any, place: int) -> None:
    """Take a table out; what was remarked in it stands at the end of the one before, or after."""
    gone = tables[place]
    remarks = _remarks(gone)
    del tables[place]
    if remarks and isinstance(tables, AoT) and len(tables):
        home = tables[max(place - 1, 0)]
        for remark in remarks:
            home.add(tomlkit.comment(remark))


def _remarks(table: Table) -> list[str]:
    """Give the remarks in a table, without their sign; those on a line with the ink's name before them."""
    found = []
    for _, item in getattr(getattr(table, "value", None), "body", []):
        if not isinstance(item, Whitespace | Null) and item.trivia.comment:
            remark = item.trivia.comment.lstrip("# ").rstrip()
            found.append(remark if isinstance(item, Comment) else f"{table['name']}: {remark}")
    return found


def _append(tables: Any, ink: InkSpec, new_table: Callable[[bool], Table]) -> None:
    own = isinstance(tables, AoT)
    table: Any = new_table(not own)
    for key, value in keys_of(ink).items():
        table[key] = value
    if own:
        table.add(tomlkit.nl())
    tables.append(table)


def _rename(whole: Table, names: Mapping[str, str | None], where: str) -> None:
    """Let everything that names an ink name what takes its place.

    Raises
    ------
    DesignError
        It goes, and nothing takes its place.
    """

    def taken(name: Any, place: str) -> Any:
        found = names.get(str(name).casefold(), str(name))
        if found is None:
            raise DesignError(
                f"names the ink {quoted(str(name))}, and no ink of the new palette takes its place",
                where=f"{where}, {place}" if where else place,
                remedy="name another ink there first",
            )
        return found

    for table, key, place in list(_names(whole)):
        if taken(table[key], place) != table[key]:
            table[key] = taken(table[key], place)
    for way in whole.get("colourway", []):
        inks = way.get("inks", {})
        renamed = {taken(name, "[[colourway]] inks"): str(ink) for name, ink in inks.items()}
        if renamed != inks:
            for name in list(inks):
                del inks[name]
            for name, ink in renamed.items():
                inks[name] = ink


def _names(whole: Table) -> Iterator[tuple[Any, Any, str]]:
    """Give every place where an ink may be named: what holds it, the key there, and how messages call it."""
    colouring = whole.get("colouring", {})
    fixed, only = colouring.get("fixed", {}), colouring.get("only", {})
    yield from ((table, "ground", "[colouring] ground") for table in (colouring,) if "ground" in table)
    for name in ("line", "border"):
        if "ink" in whole.get(name, {}):
            yield whole[name], "ink", f"[{name}] ink"
    yield from ((fixed, place, "[colouring] fixed") for place in fixed)
    yield from (
        (only[part], number, "[colouring] only") for part in only for number in range(len(only[part]))
    )
    for way in whole.get("colourway", []):
        if "ground" in way:
            yield way, "ground", "[[colourway]] ground"
        inks = way.get("inks", {})
        yield from ((inks, name, "[[colourway]] inks") for name in inks)
