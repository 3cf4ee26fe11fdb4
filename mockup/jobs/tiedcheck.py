"""What ``check`` tells of ties: how many choices of ink they leave, and which shapes they let meet in one ink."""

from typing import Any, Final

import numpy as np

from mockup.colouring.ceiling import closest
from mockup.jobs.planned import Spreading
from mockup.jobs.smallest import SHARE_SLACK

_TOLD: Final = 3


def tie_lines(spreading: Spreading) -> list[str]:
    """Say it in plain words, a heading of ten signs before the first line; nothing where nothing was to be tied."""
    ties = spreading.ties
    if ties.tied is None:
        return []
    count, groups = len(ties.tied), len(np.unique(ties.tied))
    wishes = [
        *([f"{ties.copied} are alike"] if ties.copies is not None else []),
        *(["symmetry is kept"] if ties.symmetric is not None else []),
        *(["what runs on over the seam is one"] if ties.running is not None else []),
    ]
    lines = ["no two shapes are tied"]
    if groups < count or ties.copies is not None:
        lines = [f"{' and '.join(wishes)}: {count} shapes take their inks in {groups} groups"]
        lines += _nearest(spreading)
    if ties.symmetric is not None and len(np.unique(ties.symmetric)) == count:
        lines.append(_no_symmetry(spreading))
    lines += _meetings(spreading)
    return [f"{'ties' if not number else '':<9} {line}" for number, line in enumerate(lines)]


def tie_data(spreading: Spreading) -> dict[str, Any] | None:
    """Give it as plain data for JSON; None where nothing was to be tied."""
    ties = spreading.ties
    if ties.tied is None:
        return None
    return {
        "copies": ties.copies is not None and ties.copied == "copies",
        "symmetry": ties.symmetric is not None,
        "groups": len(np.unique(ties.tied)),
        "facing": [
            [spreading.rows[one].label, spreading.rows[other].label] for one, other in _within(spreading)
        ],
    }


def _nearest(spreading: Spreading) -> list[str]:
    """Say it where the groups are too few or too unlike for the targets, whatever the plan."""
    problem = spreading.problem
    if problem.tied is None or problem.share_error(spreading.inks) <= SHARE_SLACK:
        return []
    bound = closest(problem)
    if bound is None or bound <= SHARE_SLACK:
        return []
    return [f"no plan without contact that keeps them comes nearer than {bound:.1%} to every target"]


def _no_symmetry(spreading: Spreading) -> str:
    over = "sheet" if spreading.plan.tiles is None else "colour repeat"
    return f"no rotation or mirror of this {over} brings one shape onto another, plain copies apart"


def _within(spreading: Spreading) -> list[tuple[int, int]]:
    """Facing pairs of tied rows, those with the longest border first."""
    graph = spreading.facing
    own = np.flatnonzero(graph.faces & spreading.ties.within(graph))
    own = own[np.argsort(-graph.length[own], kind="stable")]
    return [(int(graph.a[pair]), int(graph.b[pair])) for pair in own]


def _meetings(spreading: Spreading) -> list[str]:
    """Say which tied shapes face each other: no choice of inks can part them."""
    pairs = _within(spreading)
    lines = [_meeting(spreading, *pair) for pair in pairs[:_TOLD]]
    if len(pairs) > _TOLD:
        lines.append(f"and so are {len(pairs) - _TOLD} further pairs that face each other")
    return lines


def _meeting(spreading: Spreading, one: int, other: int) -> str:
    ties, label, second = spreading.ties, spreading.rows[one].label, spreading.rows[other].label
    if one == other:
        return f"{label} faces its own copy and is tied to it by the like {ties.copied} that you asked for"
    by_copies = ties.copies is not None and ties.copies[one] == ties.copies[other]
    by_symmetry = ties.symmetric is not None and ties.symmetric[one] == ties.symmetric[other]
    if by_copies:
        wish = f"the like {ties.copied} that you asked for"
    elif by_symmetry:
        wish = "the symmetry that you asked for"
    else:
        wish = f"the like {ties.copied} and the symmetry that you asked for"
    return f"{label} and {second} face each other and are tied by {wish}"
