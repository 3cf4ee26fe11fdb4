"""``copies = "alike"`` and ``symmetry = true`` from the design file to the plan: what is tied takes one ink."""

import itertools
from pathlib import Path

import numpy as np
import pytest
from builders import design_text, drawn_piece, piece, svg
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colouring.ceiling import closest
from mockup.errors import DesignError
from mockup.jobs.check import Report, as_data, in_plain_words, report_on
from mockup.jobs.planned import Spreading
from mockup.jobs.spreading import spread_piece

HOOK = "M0 0L6 1L5 4L1 3Z"


def ink_of(spreading: Spreading) -> dict[str, str]:
    """Name of the ink of every row, by its label."""
    names = [ink.name for ink in spreading.piece.palette.every]
    inks = spreading.plan.inks
    return {row.label: names[ink] for row, ink in zip(spreading.rows, inks, strict=True)}


def groups(spreading: Spreading) -> set[frozenset[str]]:
    """Labels of what is tied together."""
    tied = spreading.ties.tied
    assert tied is not None
    rows = [row.label for row in spreading.rows]
    return {
        frozenset(label for label, own in zip(rows, tied, strict=True) if own == tie)
        for tie in np.unique(tied)
    }


def keeps_its_ties(spreading: Spreading) -> bool:
    inks = ink_of(spreading)
    return all(len({inks[label] for label in group}) == 1 for group in groups(spreading))


def lines_of(report: Report) -> list[str]:
    """Lines that ``check`` gives to ties, without their heading."""
    lines = in_plain_words(report)
    start = next(number for number, line in enumerate(lines) if line.startswith("ties"))
    return [
        line[10:] for line in itertools.takewhile(lambda line: line[:4] in ("ties", "    "), lines[start:])
    ]


def mirrored(parts: str, width: float, height: float) -> str:
    """Draw parts twice: as they are, and flipped left to right about the middle of the drawing."""
    return f'<g>{parts}</g><g transform="matrix(-1 0 0 1 {width} 0)">{parts}</g>'


MOTIFS = ("leaflet", "acorn", "pear", "drop", "moth")


@settings(max_examples=12)
@given(
    st.lists(st.sampled_from(MOTIFS), min_size=1, max_size=3),
    st.sampled_from(["straight", "half-drop", "brick"]),
    st.sampled_from(["smallest", "none", "[2, 2]"]),
    st.booleans(),
    st.integers(1, 9),
)
def test_tied_shapes_are_alike_in_every_plan(
    motifs: list[str], repeat: str, colours: str, symmetry: bool, variant: int
) -> None:
    named = ", ".join(f'"{name}"' for name in motifs)
    quoted = colours if colours.startswith("[") else f'"{colours}"'
    wishes = (
        f'copies = "alike"\nsymmetry = {str(symmetry).lower()}\ncolour_repeat = {quoted}\nvariant = {variant}'
    )
    made = piece(design_text(4, f'repeat = "{repeat}"\ntile = [44, 44]\nmotifs = [{named}]', wishes))
    spreading = spread_piece(made)
    assert keeps_its_ties(spreading)
    seen: dict[tuple[str, str], str] = {}
    for label, ink in ink_of(spreading).items():
        place, group = label.split("/")
        assert seen.setdefault((place.split("-")[0], group), ink) == ink
    if colours == "smallest":
        assert spreading.plan.tiles == spreading.piece.tile.lattice.multiples


def test_copies_count_as_copies_with_another_turn_and_scale_and_where_the_border_cuts_them() -> None:
    motifs = 'motifs = ["acorn", { name = "acorn", scale = 0.6, turn = 70 }, "leaflet"]'
    wishes = 'copies = "alike"\ncolour_repeat = "none"'
    spreading = spread_piece(piece(design_text(5, f"{motifs}\ntile = [60, 60]\ngrid = [2, 2]", wishes)))
    cut = [
        row for row in spreading.rows if row.seen.area < 0.5 * spreading.piece.tile.nodes[row.node].seen.area
    ]
    assert cut
    assert keeps_its_ties(spreading)
    assert len(groups(spreading)) == len(
        {label.split("-")[0] + label.split("/")[1] for label in ink_of(spreading)}
    )


def test_two_drawings_of_one_name_are_not_copies(tmp_path: Path) -> None:
    for folder, height in (("a", 8), ("b", 12)):
        (tmp_path / folder).mkdir()
        body = f'<rect data-part="p" width="8" height="{height}"/>'
        (tmp_path / folder / "box.svg").write_text(svg(8, height, body), encoding="utf-8")
    pattern = 'repeat = "straight"\nmotifs = ["a/box.svg", "b/box.svg", "a/box.svg"]\ntile = [60, 20]\ngrid = [3, 1]'
    spreading = spread_piece(piece(design_text(4, pattern, 'copies = "alike"'), tmp_path))
    assert groups(spreading) == {frozenset({"box-1/p", "box-3/p"}), frozenset({"box-2/p"})}


def test_the_copies_of_a_drawing_are_its_regions_in_further_tiles(tmp_path: Path) -> None:
    body = '<rect data-part="a" width="9" height="9"/><rect data-part="b" x="10" width="9" height="9"/>'
    wishes = 'copies = "alike"\ncolour_repeat = [2, 1]\nground = "paper"'
    spreading = spread_piece(drawn_piece(tmp_path, body, (20, 20), 4, wishes))
    assert groups(spreading) == {
        frozenset({"own-1/a", "own-1@2,1/a"}),
        frozenset({"own-1/b", "own-1@2,1/b"}),
    }


def test_a_copy_that_faces_itself_is_a_wish_and_no_conflict(tmp_path: Path) -> None:
    body = '<rect data-part="a" width="19" height="19"/>'
    report = report_on(
        spread_piece(drawn_piece(tmp_path, body, (20, 20), 4, 'copies = "alike"\nground = "paper"'))
    )
    assert report.spreading.plan.tiles == (1, 1)
    assert (report.figures.conflicts, report.figures.own_copies, report.figures.wished) == (0, 0, 1)
    assert report.reasons == ()
    assert "own-1/a faces its own copy and is tied to it by the like copies that you asked for" in lines_of(
        report
    )


BUTTERFLY = mirrored(f'<path data-part="wing" transform="translate(2 4)" d="{HOOK}"/>', 20, 14)
"""Two wings, each the mirror image of the other, 4 mm apart."""


def test_left_and_right_are_tied_and_their_facing_is_told_as_a_wish(tmp_path: Path) -> None:
    body = BUTTERFLY + '<rect data-part="body" x="9" y="10" width="2" height="3"/>'
    wishes = 'symmetry = true\nground = "paper"\ncolour_repeat = [1, 1]\nreach = 20'
    report = report_on(spread_piece(drawn_piece(tmp_path, body, (20, 14), 4, wishes)))
    assert groups(report.spreading) == {frozenset({"own-1/wing", "own-1/wing-2"}), frozenset({"own-1/body"})}
    inks = ink_of(report.spreading)
    assert inks["own-1/wing"] == inks["own-1/wing-2"] != inks["own-1/body"]
    assert report.figures.wished == 1
    assert lines_of(report)[0] == "symmetry is kept: 3 shapes take their inks in 2 groups"
    told = "own-1/wing and own-1/wing-2 face each other and are tied by the symmetry that you asked for"
    assert told in lines_of(report)
    assert as_data(report)["ties"] == {
        "copies": False,
        "symmetry": True,
        "groups": 2,
        "facing": [["own-1/wing", "own-1/wing-2"]],
    }
    # what is left is the body and the wings that face their own copies in the tiles all round
    assert not any("wing and own-1/wing-2" in reason for reason in report.reasons)


def test_tied_shapes_stay_tied_in_the_smallest_colour_repeat_that_works(tmp_path: Path) -> None:
    body = BUTTERFLY + '<rect data-part="body" x="9" y="10" width="2" height="3"/>'
    wishes = 'symmetry = true\nground = "paper"'
    spreading = spread_piece(drawn_piece(tmp_path, body, (20, 14), 4, wishes))
    assert spreading.plan.tiles is not None
    assert np.prod(spreading.plan.tiles) > 1
    assert keeps_its_ties(spreading)
    assert any(len(group) == 2 for group in groups(spreading))


@pytest.mark.parametrize("turns", [2, 3, 5, 6])
def test_a_drawing_that_does_not_repeat_keeps_its_turns(tmp_path: Path, turns: int) -> None:
    petals = "".join(
        f'<path data-part="p" transform="rotate({360 * n / turns} 40 40) translate(50 30)" d="{HOOK}"/>'
        for n in range(turns)
    )
    body = petals + '<circle data-part="eye" cx="40" cy="40" r="4"/>'
    (tmp_path / "own.svg").write_text(svg(80, 80, body), encoding="utf-8")
    wishes = 'symmetry = true\nground = "paper"'
    spreading = spread_piece(piece(design_text(4, 'file = "own.svg"', wishes, drawing=True), tmp_path))
    assert sorted(map(len, groups(spreading))) == [1, turns]
    assert keeps_its_ties(spreading)


def test_where_there_is_no_symmetry_that_is_told(tmp_path: Path) -> None:
    body = f'<path data-part="a" d="{HOOK}"/><rect data-part="b" x="9" y="1" width="4" height="9"/>'
    wishes = 'symmetry = true\nground = "paper"\ncolour_repeat = [1, 1]'
    report = report_on(spread_piece(drawn_piece(tmp_path, body, (18, 14), 4, wishes)))
    assert lines_of(report) == [
        "no two shapes are tied",
        "no rotation or mirror of this colour repeat brings one shape onto another, plain copies apart",
    ]


def test_plain_designs_say_nothing_of_ties() -> None:
    report = report_on(spread_piece(piece(design_text(4, 'motifs = ["acorn"]\ntile = [40, 40]'))))
    assert as_data(report)["ties"] is None
    assert not any(line.startswith("ties") for line in in_plain_words(report))


def test_few_unlike_groups_are_told_to_miss_the_targets_whatever_the_plan(tmp_path: Path) -> None:
    body = '<rect data-part="a" width="15" height="15"/><rect data-part="b" x="18" width="4" height="4"/>'
    wishes = 'copies = "alike"\nground = "paper"'
    report = report_on(spread_piece(drawn_piece(tmp_path, body, (30, 20), 4, wishes)))
    bound = closest(report.spreading.problem)
    assert bound == pytest.approx(225 / 241 - 0.25, abs=1e-3)
    assert report.figures.share_error == pytest.approx(bound, abs=1e-3)
    assert (
        f"no plan without contact that keeps them comes nearer than {bound:.1%} to every target"
        in lines_of(report)
    )


def test_what_is_fixed_on_one_copy_holds_for_all() -> None:
    pattern = 'motifs = ["acorn", "acorn", "leaflet"]\ntile = [60, 60]\ngrid = [2, 2]'
    wishes = 'copies = "alike"\nfixed = { "acorn-2/seed" = "clay" }'
    made = piece(design_text(4, pattern, wishes))
    label = next(node.label for node in made.tile.nodes if node.label.startswith("acorn-2/"))
    spreading = spread_piece(piece(design_text(4, pattern, wishes.replace("acorn-2/seed", label))))
    inks, group = ink_of(spreading), label.split("/")[1]
    assert inks[f"acorn-1/{group}"] == inks[label] == "clay"
    pinned = {row.label for row, held in zip(spreading.rows, spreading.rules.pinned, strict=True) if held}
    assert pinned == {own for own in inks if own.startswith("acorn") and own.endswith(f"/{group}")}
    with pytest.raises(DesignError) as refused:
        spread_piece(
            piece(
                design_text(
                    4,
                    pattern,
                    f'copies = "alike"\nfixed = {{ "{label}" = "clay", "acorn-1/{group}" = "moss" }}',
                )
            )
        )
    assert str(refused.value) == (
        f"test.toml, [colouring] fixed: acorn-1/{group} is fixed to 'moss' and {label} to 'clay', but the two are tied "
        "and take one ink; fix both to one ink, or one of them only"
    )


def test_too_few_inks_are_told_of_the_groups(tmp_path: Path) -> None:
    # four strips round a ring of tiles: two inks do, but not with the first and the third of unlike width tied
    body = "".join(
        f'<rect data-part="{name}" x="{x}" width="9" height="20"/>'
        for x, name in ((0, "a"), (10, "b"), (20, "c"))
    )
    wishes = 'copies = "alike"\nground = "paper"\ncolour_repeat = [2, 1]\nreach = 3'
    report = report_on(spread_piece(drawn_piece(tmp_path, body, (30, 40), 2, wishes)))
    assert report.figures.conflicts > 0
    assert report.reasons[0].startswith(
        "two inks cannot do: these three shapes, each with what is tied to it, all face each other: own-1/a, own-1/b, "
    )
    assert report.reasons[1] == "three inks would do"


@pytest.mark.parametrize("per", ["figure", "piece"])
def test_the_skin_of_copies_is_alike_too(per: str) -> None:
    text = design_text(
        4, 'motifs = ["gardener", "acorn"]\ntile = [90, 90]\ngrid = [2, 2]', 'copies = "alike"'
    )
    skin = f'[[palette.side]]\nname = "skin"\nper = "{per}"\nink = [{{ name = "tan", colour = "#c99" }}, {{ name = "umber", colour = "#754" }}]\n'
    spreading = spread_piece(piece(text + skin))
    assert len(spreading.skin) > 2
    assert len(set(spreading.skin.tolist())) == 1
    assert keeps_its_ties(spreading)
