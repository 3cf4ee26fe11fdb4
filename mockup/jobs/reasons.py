"""Why a plan has contact, told exactly: what meets what, how many inks or which colour repeat would do."""

import math
from dataclasses import replace

from mockup.colouring.exact import crowd, fewest_inks, proper
from mockup.colouring.problem import Problem
from mockup.jobs.planned import Spreading
from mockup.jobs.spreading import spread_piece

_WORDS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)
_LARGE = 1200


def in_words(number: int) -> str:
    """Write a small number as a word."""
    return _WORDS[number] if number < len(_WORDS) else str(number)


def reasons(spreading: Spreading) -> list[str]:
    """Say why there is contact, and what would cure it; empty where there is none."""
    lines = [*_own_copies(spreading), *_too_few(spreading)]
    if lines:
        lines += _larger_repeat(spreading)
    return lines


def _own_copies(spreading: Spreading) -> list[str]:
    own = spreading.facing.own_copies
    if spreading.ties.copies is not None or not len(own) or spreading.tiles is None:
        return []
    names = ", ".join(spreading.rows[int(node)].label for node in own[:3]) + (
        " and more" if len(own) > 3 else ""
    )
    across, down = spreading.tiles
    verb = "faces its own copy" if len(own) == 1 else "face their own copies"
    return [
        f"{names} {verb} when the colours repeat every {across} x {down} tiles; more inks cannot cure that"
    ]


def _too_few(spreading: Spreading) -> list[str]:
    """Say whether the inks are too few, and prove it where that can be done."""
    graph, inks = spreading.facing, spreading.plan.inks
    meets = graph.faces & (graph.a != graph.b) & (inks[graph.a] == inks[graph.b]) & ~spreading.wished
    if not meets.any():
        return []
    hard = graph.faces & (graph.a != graph.b) & ~spreading.wished
    problem = replace(spreading.problem, a=graph.a[hard], b=graph.b[hard], border=graph.length[hard])
    k = problem.inks
    group = crowd(problem)
    if len(group) > k:
        names = ", ".join(spreading.rows[node].label for node in group)
        shapes = "shapes" if problem.tied is None else "shapes, each with what is tied to it,"
        line = f"{in_words(k)} inks cannot do: these {in_words(len(group))} {shapes} all face each other: {names}"
        return [line, *_enough(problem)]
    answer = proper(problem)
    if answer.sure and answer.inks is None:
        held = [
            *(["the ground", "what is fixed"] if not problem.allowed.all() else []),
            *(["what is tied"] if problem.tied is not None else []),
        ]
        under = f", as {' and '.join(held)} leave them" if held else ""
        return [
            f"{in_words(k)} inks cannot do{under}: every way of spreading them was tried",
            *_enough(problem),
        ]
    if math.isnan(spreading.energy):
        return ["so has the plan that is followed; another spread may do better"]
    return [f"{int(meets.sum())} facing pairs share an ink; no better spread was found"]


def _enough(problem: Problem) -> list[str]:
    """Say how many inks would do, the ground and what is fixed staying as they are."""
    if problem.count > _LARGE:
        return []
    most = fewest_inks(problem)
    return [f"{in_words(most)} inks would do"] if most and most > problem.inks else []


def _larger_repeat(spreading: Spreading) -> list[str]:
    """Find the smallest colour repeat that does, where she set one that does not."""
    piece = spreading.piece
    if not isinstance(piece.design.colouring.colour_repeat, tuple) or spreading.ties.copies is not None:
        return []
    colouring = replace(piece.design.colouring, colour_repeat="smallest", plan=None)
    other = spread_piece(replace(piece, design=replace(piece.design, colouring=colouring)))
    graph, inks = other.facing, other.plan.inks
    if (graph.faces & (inks[graph.a] == inks[graph.b]) & ~other.wished).any() or other.tiles is None:
        return []
    across, down = other.tiles
    return [f"colour_repeat = [{across}, {down}] would do with {in_words(len(piece.palette.inks))}"]
