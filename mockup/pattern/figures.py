"""Whose skin it is: parts of a side palette, put together by the drawn figure that they belong to.

In a pattern a placed motif is a figure. In a drawing the parts of one ``data-group`` are one; else those that one group
or use holds beside other parts, the innermost that does; what is left belongs to the piece.
"""

from collections.abc import Collection, Sequence
from dataclasses import replace

from mockup.pattern.motif import Element, Motif, Part

Drawn = tuple[str, str, Sequence[tuple[int, str]]]
"""Side, written group, and the groups and uses round a part, outermost first: number and id."""


def figures(drawn: Sequence[Drawn]) -> list[str]:
    """Name the figure that each part of a side belongs to; empty for parts without side.

    Parameters
    ----------
    drawn : sequence of (str, str, sequence of (int, str))
        Side, written group, groups and uses round it.
    """
    holds: dict[int, set[str]] = {}
    for side, _, inside in drawn:
        for number, _ in inside:
            holds.setdefault(number, set()).add(side)
    names: dict[tuple[str, str], str] = {}
    found = []
    for side, group, inside in drawn:
        if not side:
            found.append("")
            continue
        number, name = next(((n, id_) for n, id_ in reversed(inside) if len(holds[n]) > 1), (0, ""))
        key, wanted = (f"group {group}", group) if group else (f"{number}", name)
        if (side, key) not in names:
            names[side, key] = _free(wanted, {known for (of, _), known in names.items() if of == side})
        found.append(names[side, key])
    return found


def with_sides(motif: Motif, sides: Collection[str], drawing: bool = False) -> Motif:
    """Let the parts of each side in ``sides`` take one ink by figure; other parts belong to no side.

    Their group is named after the side: "skin", in a drawing "girl-skin" for the figure "girl", and "skin-2" for
    one without a name.
    """
    if not any(part.side for part in motif.parts):
        return motif
    taken = {part.group for part in motif.parts if part.side not in sides}
    labels: dict[tuple[str, str], str] = {}
    elements: list[Element] = []
    for element in motif.elements:
        if isinstance(element, Part) and element.side in sides and element.side:
            key = element.side, element.figure if drawing else ""
            if key not in labels:
                labels[key] = _free(_label(*key), taken)
                taken.add(labels[key])
            elements.append(replace(element, group=labels[key]))
        else:
            elements.append(replace(element, side="") if isinstance(element, Part) else element)
    return replace(motif, elements=tuple(elements))


def _label(side: str, figure: str) -> str:
    if figure.isdecimal():
        return f"{side}-{figure}"
    return f"{figure}-{side}" if figure else side


def _free(wanted: str, taken: Collection[str]) -> str:
    """Give a name that nothing has yet, numbered where it is taken."""
    name, number = wanted, 1
    while name in taken:
        number += 1
        name = f"{wanted}-{number}" if wanted else str(number)
    return name
