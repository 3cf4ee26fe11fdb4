"""The exchanges that would lighten a plan's heaviest places: found, told, and as entries of ``fixed``."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from mockup.colouring.exchanges import Exchange, Step, exchanged, exchanges
from mockup.colouring.measure import Nodes
from mockup.jobs.planned import Spreading


def nodes_of(spreading: Spreading) -> Nodes:
    """Give what the measures look at."""
    problem = spreading.problem
    return Nodes(problem.area, problem.place, spreading.cell, problem.cell is not None)


def steps_of(spreading: Spreading) -> tuple[Step, ...]:
    """Find the fewest exchanges that help; none where the plan is even enough."""
    return exchanges(nodes_of(spreading), spreading.problem, spreading.inks)


def improved(spreading: Spreading, steps: Sequence[Step]) -> Spreading:
    """Carry exchanges out."""
    inks = exchanged(spreading.inks, tuple(one for step in steps for one in step.exchanges))
    plan = replace(spreading.plan, inks=np.concatenate((inks, spreading.skin)))
    return replace(spreading, plan=plan, energy=np.nan)


def step_in_words(spreading: Spreading, step: Step) -> str:
    """Say which shapes to exchange, and what that does."""
    told = ", and ".join(_exchange(spreading, one) for one in step.exchanges)
    return f"{told}: the heaviest place falls from {100 * step.before:.0f} to {step.after:.0%}".replace(
        "%", " %"
    )


def step_as_data(spreading: Spreading, step: Step) -> dict[str, Any]:
    """Give a step as plain data for JSON."""
    names = [ink.name for ink in spreading.piece.palette.inks]
    return {
        "exchanges": [
            {
                "shapes": _labels(spreading, one.first),
                "with": _labels(spreading, one.second),
                "from": names[one.gives],
                "to": names[one.gets],
            }
            for one in step.exchanges
        ],
        "lump_max_before": round(step.before, 4),
        "lump_max_after": round(step.after, 4),
    }


def fixed_by(spreading: Spreading, steps: Sequence[Step]) -> dict[str, str]:
    """Give the entries of ``fixed`` that keep what steps change, (place, ink), each shape once, as it is in the end."""
    names = [ink.name for ink in spreading.piece.palette.inks]
    fixed: dict[str, str] = {}
    for one in (one for step in steps for one in step.exchanges):
        for nodes, ink in ((one.first, one.gets), (one.second, one.gives)):
            fixed |= dict.fromkeys(_places(spreading, nodes), names[ink])
    return fixed


def _exchange(spreading: Spreading, one: Exchange) -> str:
    first = _named(spreading, one.first)
    if one.second:
        return f"exchange {first} with {_named(spreading, one.second)}"
    names = [ink.name for ink in spreading.piece.palette.inks]
    return f"give {first} {names[one.gets]} instead of {names[one.gives]}"


def _labels(spreading: Spreading, nodes: Sequence[int]) -> list[str]:
    return [spreading.rows[node].label for node in nodes]


def _named(spreading: Spreading, nodes: Sequence[int]) -> str:
    """Name what takes one ink together: one shape, every copy of one, or the first of several."""
    if len(nodes) == 1:
        return spreading.rows[nodes[0]].label
    places = _places(spreading, nodes)
    return places[0] if len(places) == 1 else f"{places[0]} and the {len(places) - 1} that go with it"


def _places(spreading: Spreading, nodes: Sequence[int]) -> list[str]:
    """Name shapes as ``fixed`` does: a bare name stands for every copy, so one copy is named with its tile."""
    firsts = [spreading.piece.tile.nodes[row.node].label for row in spreading.rows]
    copies, own = Counter(firsts), Counter(firsts[node] for node in nodes)
    places = []
    for node in nodes:
        first, label = firsts[node], spreading.rows[node].label
        if own[first] == copies[first]:
            places.append(first)
        else:
            motif, _, group = label.rpartition("/")
            places.append(label if label != first else f"{motif}@1,1/{group}")
    return list(dict.fromkeys(places))
