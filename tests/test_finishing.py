"""Finishing a piece that is partly inked: what is on the paper stays, and the rest makes the best of it."""

import numpy as np
import pytest
from builders import design_text, dots, piece, svg

from mockup.colouring.measure import RATIO_BLUR, lump_field
from mockup.colouring.problem import Ints
from mockup.jobs.check import report_on
from mockup.jobs.exchanging import nodes_of
from mockup.jobs.planned import Spreading
from mockup.jobs.spreading import spread_piece

PLACES = [(x + 2 * (y % 20 == 5), y) for y in range(5, 80, 10) for x in range(5, 76, 10)]
INKED = 0.7


@pytest.fixture(scope="module")
def half_done(tmp_path_factory: pytest.TempPathFactory) -> tuple[Spreading, dict[str, str]]:
    """One sheet of discs, seven in ten of them inked already, at random and badly."""
    folder, rng = tmp_path_factory.mktemp("half"), np.random.default_rng(8)
    (folder / "own.svg").write_text(svg(80, 80, dots(PLACES, 3.6)), encoding="utf-8")
    done = rng.permutation(len(PLACES))[: round(INKED * len(PLACES))]
    names = ("oat", "clay", "night", "moss", "ochre")
    fixed = {
        f"own-1/d{number}": str(rng.choice(names[1:3] if PLACES[number][0] < 40 else names))
        for number in done
    }
    told = ", ".join(f'"{label}" = "{ink}"' for label, ink in fixed.items())
    wishes = f'ground = "paper"\nfixed = {{ {told} }}'
    return spread_piece(piece(design_text(5, 'file = "own.svg"', wishes, drawing=True), folder)), fixed


def unevenness(spreading: Spreading, inks: Ints) -> float:
    """Mean square of the lump field, and of the shares' distance from their targets."""
    field, _ = lump_field(nodes_of(spreading), inks, spreading.problem.target, RATIO_BLUR)
    off = spreading.problem.shares(inks) - spreading.problem.target
    return float(np.nanmean(field**2) + (off**2).mean())


def test_none_that_is_inked_is_moved(half_done: tuple[Spreading, dict[str, str]]) -> None:
    spreading, fixed = half_done
    names = [ink.name for ink in spreading.piece.palette.inks]
    found = {row.label: names[ink] for row, ink in zip(spreading.rows, spreading.plan.inks, strict=True)}
    assert len(fixed) == round(INKED * len(PLACES))
    assert {label: found[label] for label in fixed} == fixed
    assert set(found) > set(fixed)


def test_contact_among_what_is_inked_is_counted_as_wished(
    half_done: tuple[Spreading, dict[str, str]],
) -> None:
    spreading, fixed = half_done
    graph, inks = spreading.facing, spreading.inks
    inked = np.array([row.label in fixed for row in spreading.rows])
    alike = graph.faces & (inks[graph.a] == inks[graph.b])
    figures = report_on(spreading).figures
    assert figures.wished == int((alike & inked[graph.a] & inked[graph.b]).sum()) > 0
    assert figures.conflicts == int((alike & ~(inked[graph.a] & inked[graph.b])).sum())


def test_the_rest_does_better_than_finishing_at_random(half_done: tuple[Spreading, dict[str, str]]) -> None:
    spreading, fixed = half_done
    own, rng = spreading.problem, np.random.default_rng(3)
    free = np.array([row.label not in fixed for row in spreading.rows])
    contact, uneven = [], []
    for _ in range(100):
        inks = spreading.inks.copy()
        for node in np.flatnonzero(free).tolist():
            inks[node] = rng.choice(np.flatnonzero(own.allowed[node]))
        contact.append(own.contact(inks))
        uneven.append(unevenness(spreading, inks))
    assert own.contact(spreading.inks) < min(contact)
    assert unevenness(spreading, spreading.inks) < np.quantile(uneven, 0.1)
