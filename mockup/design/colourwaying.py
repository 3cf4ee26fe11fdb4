"""A colourway as a design file of its own, and as a ``[[colourway]]`` in the design that it belongs to."""

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from mockup.design.amending import Table, amended
from mockup.design.records import ColourwaySpec, InkSpec
from mockup.design.repaletting import with_palette


def in_other_inks(
    text: str, inks: Sequence[InkSpec], positions: int, ground: str, *, own: bool = False, where: str = ""
) -> str:
    """Put other inks to the positions of a design's palette; whatever names one names its heir from then on.

    Parameters
    ----------
    text : str
        The whole file.
    inks : sequence of InkSpec
        One for each position, and after them those that come to them.
    positions : int
        How many inks the palette has.
    ground : str
        The ground, as it is to be written.
    own : bool
        The shares that the inks have are the targets.
    where : str
        What messages call the file.

    Raises
    ------
    DesignError
        The file is written in a way that cannot be changed.
    """
    places = [place if place < positions else None for place in range(len(inks))]

    def change(whole: Table, new_table: Callable[[bool], Table]) -> None:
        colouring = whole.setdefault("colouring", new_table(False))
        if ground != colouring.get("ground", "paper"):
            colouring["ground"] = ground
        if own:
            colouring["balance"] = "own"
        whole.pop("colourway", None)

    return amended(with_palette(text, inks, places, where=where), change, where)


def kept_by_itself(text: str, *, plan: str, title: str, start: Path, folder: Path, where: str = "") -> str:
    """Let a design follow a plan, under another title, from another folder.

    Parameters
    ----------
    text : str
        The whole file.
    plan : str
        The plan's file, from the new folder.
    title : str
        Its title.
    start, folder : Path
        Folder of the file from which its paths hold, and the folder that it goes to.
    where : str
        What messages call the file.

    Raises
    ------
    DesignError
        The file is written in a way that cannot be changed.
    """

    def moved(path: str) -> str:
        if Path(path).is_absolute():
            return path
        return Path(os.path.relpath((start / path).resolve(), folder.resolve())).as_posix()

    def change(whole: Table, new_table: Callable[[bool], Table]) -> None:
        if whole.get("title", "") != title:
            whole["title"] = title
        for table, key in (("palette", "box"), ("drawing", "file"), ("drawing", "groups")):
            if key in whole.get(table, {}):
                whole[table][key] = moved(str(whole[table][key]))
        for table in ("pattern", "border"):
            _move_motifs(whole.get(table, {}).get("motifs", []), moved)
        colouring = whole.setdefault("colouring", new_table(False))
        colouring["plan"] = plan
        whole.pop("colourway", None)

    return amended(text, change, where)


def _move_motifs(motifs: Any, moved: Callable[[str], str]) -> None:
    """Let the motifs that are files be found from another folder."""
    for number, motif in enumerate(motifs):
        table, key = (motif, "name") if isinstance(motif, dict) else (motifs, number)
        name = str(table[key])
        if name.lower().endswith(".svg") or "/" in name or "\\" in name:
            table[key] = moved(name)


def with_colourways(text: str, ways: Sequence[ColourwaySpec], plan: str | None, where: str = "") -> str:
    """Write colourways into a design, each in the place of one of like code; and the plan that they share.

    Parameters
    ----------
    text : str
        The whole file.
    ways : sequence of ColourwaySpec
    plan : str or None
        The plan's file; None leaves what is there.
    where : str
        What messages call the file.

    Raises
    ------
    DesignError
        The file is written in a way that cannot be changed.
    """

    def change(whole: Table, new_table: Callable[[bool], Table]) -> None:
        if plan is not None:
            whole.setdefault("colouring", new_table(False))["plan"] = plan
        for way in ways:
            table = new_table(False)
            for key, value in (("name", way.name), ("code", way.code), ("ground", way.ground)):
                if value:
                    table[key] = value
            inks = new_table(True)
            for position, ink in way.inks.items():
                inks[position] = ink
            table["inks"] = inks
            _stand(whole, way.code, table)

    return amended(text, change, where)


def _stand(whole: Table, code: str, table: Table) -> None:
    """Put a colourway in the place of that of like code, else behind all others."""
    there = whole.get("colourway")
    if there is None:
        whole["colourway"] = [table]
        return
    for number, one in enumerate(there):
        if str(one.get("code", "")).casefold() == code.casefold():
            del there[number]
            there.insert(number, table)
            return
    there.append(table)
