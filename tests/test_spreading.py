"""From a piece to its plan: published repeats, the smallest colour repeat, and reasons told exactly."""

import csv
import json
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from builders import PUBLISHED, design_text, dots, drawn_piece, piece

from mockup.colouring.exact import crowd
from mockup.errors import DesignError
from mockup.jobs.check import Report, figures_of, report_on
from mockup.jobs.piece import Piece
from mockup.jobs.planned import Spreading
from mockup.jobs.smallest import SHARE_SLACK
from mockup.jobs.spreading import spread_piece

SEEDS = json.loads((PUBLISHED / "torus_colouring.json").read_text(encoding="utf-8"))["square_torus_voronoi"][
    "seeds"
]
WIDE, HIGH = 50.0, 40.0
"""At 5 to 4 each of the seven meets each other along more than 8 % of its border."""


def seven(folder: Path, inks: int, repeat: str) -> Report:
    """Spread inks over the published repeat in which seven cells all face each other, drawn as discs."""
    places = [(WIDE * float(Fraction(x)) + 5, HIGH * float(Fraction(y)) + 5) for x, y in SEEDS]
    wishes = f'ground = "paper"\ncolour_repeat = {repeat}\nreach = 60'
    return report_on(spread_piece(drawn_piece(folder, dots(places, 4), (WIDE, HIGH), inks, wishes)))


def test_seven_cells_that_all_face_each_other_need_seven_inks(tmp_path: Path) -> None:
    report = seven(tmp_path, 7, "[1, 1]")
    assert report.figures.conflicts == 0
    assert crowd(report.spreading.problem) == list(range(7))
    assert sorted(report.spreading.plan.inks.tolist()) == list(range(7))


def test_six_inks_are_told_to_be_too_few_and_why(tmp_path: Path) -> None:
    report = seven(tmp_path, 6, "[1, 1]")
    assert report.figures.conflicts == 1
    names = ", ".join(f"own-1/d{number}" for number in range(7))
    assert report.reasons[:2] == (
        f"six inks cannot do: these seven shapes all face each other: {names}",
        "seven inks would do",
    )
    assert report.reasons[2].endswith(" would do with six")


@pytest.mark.parametrize(
    ("repeat", "inks"), [("[2, 1]", 5), ("[1, 2]", 5), pytest.param("[2, 2]", 4, marks=pytest.mark.long)]
)
def test_larger_colour_repeats_of_the_seven_cells_do_with_fewer(
    tmp_path: Path, repeat: str, inks: int
) -> None:
    assert seven(tmp_path, inks, repeat).figures.conflicts == 0
    fewer = seven(tmp_path, inks - 1, repeat)
    assert fewer.figures.conflicts > 0
    assert any("cannot do" in reason for reason in fewer.reasons)


def board(folder: Path, across: int, down: int, inks: int, triangular: bool = False) -> Spreading:
    """Spread inks over a grid of discs; in a triangular one every other row is moved by half a step."""
    rise = 10 * 3**0.5 / 2 if triangular else 10.0
    places = [
        (10 * x + 5 + (5 * (y % 2) if triangular else 0), rise * (y + 0.5))
        for y in range(down)
        for x in range(across)
    ]
    wishes = 'ground = "paper"\ncolour_repeat = [1, 1]\nreach = 20'
    return spread_piece(drawn_piece(folder, dots(places, 3.5), (10 * across, rise * down), inks, wishes))


def published(kind: str) -> list[tuple[int, int, int]]:
    lines = (PUBLISHED / "chromatic_numbers.csv").read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    found = []
    for row in rows:
        if row["name"].startswith(f"torus_{kind}_"):
            across, down = map(int, row["name"].split("_")[2].split("x"))
            found.append((across, down, int(row["chi"])))
    return [own for own in found if own[0] > 2]


@pytest.mark.parametrize(("across", "down", "inks"), published("square"))
def test_square_grids_of_discs_need_the_published_inks(
    tmp_path: Path, across: int, down: int, inks: int
) -> None:
    assert figures_of(board(tmp_path, across, down, inks)).conflicts == 0
    if inks > 2:
        assert figures_of(board(tmp_path, across, down, inks - 1)).conflicts > 0


@pytest.mark.parametrize(("across", "down", "inks"), [(3, 6, 3), (6, 6, 3), (4, 4, 4)])
def test_triangular_grids_of_discs(tmp_path: Path, across: int, down: int, inks: int) -> None:
    assert figures_of(board(tmp_path, across, down, inks, triangular=True)).conflicts == 0
    assert figures_of(board(tmp_path, across, down, inks - 1, triangular=True)).conflicts > 0


def test_equal_discs_on_a_square_grid_are_as_even_as_can_be(tmp_path: Path) -> None:
    figures = figures_of(board(tmp_path, 6, 6, 4))
    assert figures.share_error == pytest.approx(0, abs=1e-6)
    assert figures.lump_ratio < 0.35


LONE = 'repeat = "straight"\nmotifs = ["pear"]'


def test_the_smallest_colour_repeat_is_found_for_a_motif_that_faces_itself() -> None:
    found = spread_piece(piece(design_text(5, LONE, 'ground = "paper"')))
    assert found.plan.tiles is not None
    figures = figures_of(found)
    assert (figures.conflicts, figures.own_copies) == (0, 0)
    assert figures.share_error <= SHARE_SLACK


def test_a_colour_repeat_that_is_too_small_is_told_with_the_one_that_does(tmp_path: Path) -> None:
    wishes = 'ground = "paper"\ncolour_repeat = [1, 1]'
    report = report_on(spread_piece(drawn_piece(tmp_path, dots([(10, 10)], 6), (20, 20), 4, wishes)))
    assert (report.figures.conflicts, report.figures.own_copies) == (1, 1)
    assert report.reasons == (
        "own-1/d0 faces its own copy when the colours repeat every 1 x 1 tiles; more inks cannot cure that",
        "colour_repeat = [2, 2] would do with four",
    )


@pytest.mark.parametrize(
    ("pattern", "wish", "near"),
    [
        ('repeat = "half-drop"\nmotifs = ["pear"]', "[3, 1]", "[4, 1]"),
        ('repeat = "half-drop"\ndrop = "1/3"\nmotifs = ["pear"]', "[1, 2]", "[3, 2]"),
        ('repeat = "brick"\nmotifs = ["pear"]', "[2, 1]", "[2, 2]"),
    ],
)
def test_a_colour_repeat_that_does_not_fit_is_refused(pattern: str, wish: str, near: str) -> None:
    with pytest.raises(DesignError) as refusal:
        spread_piece(piece(design_text(5, pattern, f"colour_repeat = {wish}")))
    message = str(refusal.value)
    assert message.startswith("test.toml, [colouring] colour_repeat: a colour repeat of ")
    assert message.endswith(f"write {near}")


GARDEN = 'repeat = "half-drop"\ntile = [70, 70]\ngrid = [2, 2]\nmotifs = ["pear", "wren", "trio", "tulip"]'


def garden(wishes: str = "", inks: int = 5) -> Piece:
    return piece(design_text(inks, GARDEN, f'ground = "light"\n{wishes}'))


@pytest.mark.parametrize("wishes", ["", 'balance = "led"', 'colour_repeat = "none"', "variant = 9"])
def test_a_plan_takes_no_barred_ink_and_has_no_contact(wishes: str) -> None:
    found = spread_piece(garden(wishes))
    assert found.rules.allowed[np.arange(len(found.rows)), found.plan.inks].all()
    figures = figures_of(found)
    assert figures.conflicts == 0
    assert figures.share_error <= SHARE_SLACK
    assert figures.lump_ratio < 0.8
    assert figures.shares == pytest.approx(found.problem.shares(found.plan.inks))


def test_another_variant_is_another_plan_and_the_same_one_the_same() -> None:
    first, again, other = (spread_piece(garden(f"variant = {n}")).plan.inks for n in (1, 1, 2))
    assert np.array_equal(first, again)
    assert len(first) != len(other) or not np.array_equal(first, other)


def test_every_copy_of_a_node_has_the_ink_of_the_one_it_repeats() -> None:
    found = spread_piece(garden())
    assert found.plan.tiles is not None
    across, down = found.plan.tiles
    for row, ink in zip(found.rows, found.plan.inks.tolist(), strict=True):
        # half-drop: whole rectangles away in both directions
        assert found.plan.ink(row.node, row.i + 2 * across, row.j - across) == ink
        assert found.plan.ink(row.node, row.i, row.j - 3 * down) == ink


def test_a_single_sheet_knows_only_the_copies_it_shows() -> None:
    found = spread_piece(garden('colour_repeat = "none"'))
    assert found.plan.tiles is None
    assert found.plan.ink(0, 99, 99) is None
    assert found.cell == pytest.approx(found.piece.field_size)


def test_where_no_plan_is_without_contact_the_proof_is_told(tmp_path: Path) -> None:
    # rows of five are odd rings; no three face each other, so that all must be tried
    report = report_on(board(tmp_path, 5, 4, 2))
    assert report.figures.conflicts > 0
    assert report.reasons[:2] == (
        "two inks cannot do: every way of spreading them was tried",
        "three inks would do",
    )
    assert report.reasons[2] == "colour_repeat = [2, 1] would do with two"
