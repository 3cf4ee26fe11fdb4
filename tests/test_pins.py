"""What she fixed: names, further tiles, parts, the ground; what cannot be is refused in one line."""

from pathlib import Path

import numpy as np
import pytest
from builders import design_text, dots, drawn_piece, piece, svg

from mockup.colouring.pins import Named, Rules, label_of, rows_named, rules
from mockup.errors import DesignError, MockupError, UnknownNameError
from mockup.jobs.check import report_on
from mockup.jobs.planned import Spreading
from mockup.jobs.spreading import spread_piece

INKS = ("oat", "clay", "moss")
NAMED = Named(
    ["pear-1/body", "pear-1/leaf", "pear-1@2,1/body", "pear-1@2,1/leaf"],
    ["pear-1/body", "pear-1/leaf", "pear-1/body", "pear-1/leaf"],
    ["body", "leaf", "body", "leaf"],
)
BARE = np.zeros(4, dtype=bool)


def ruled(
    on_ground: list[bool] | None = None,
    ground: int | None = None,
    only: dict[str, list[int]] | None = None,
    fixed: dict[int, int] | None = None,
) -> Rules:
    touching = BARE if on_ground is None else np.array(on_ground)
    return rules(NAMED, INKS, touching, ground, only or {}, fixed or {})


@pytest.mark.parametrize(
    ("place", "rows"),
    [
        ("pear-1/body", [0, 2]),
        ("pear-1@2,1/body", [2]),
        ("pear-1@1,1/leaf", [1]),
    ],
)
def test_a_name_stands_for_every_copy_and_a_tile_for_one(place: str, rows: list[int]) -> None:
    assert rows_named(place, NAMED) == rows


def test_an_at_sign_in_a_motif_s_name_is_no_tile() -> None:
    named = Named(["a@b-1/x", "a@b-1@2,1/x"], ["a@b-1/x", "a@b-1/x"], ["x", "x"])
    assert rows_named("a@b-1/x", named) == [0, 1]
    assert rows_named("a@b-1@2,1/x", named) == [1]


@pytest.mark.parametrize(
    ("place", "message"),
    [
        ("pear-1/bodi", "[colouring] fixed: the layout has no 'pear-1/bodi'; did you mean 'pear-1/body'?"),
        ("zzz", "[colouring] fixed: the layout has no 'zzz'; `mockup preview --names` shows the names"),
    ],
)
def test_unknown_names_give_the_nearest(place: str, message: str) -> None:
    with pytest.raises(UnknownNameError) as refusal:
        rows_named(place, NAMED)
    assert str(refusal.value) == message


def test_labels_of_further_tiles() -> None:
    assert label_of("pear-3/body", 0, 0) == "pear-3/body"
    assert label_of("pear-3/body", 1, 0) == "pear-3@2,1/body"
    assert label_of("pear-3/body", 0, 2) == "pear-3@1,3/body"


def test_the_ground_s_ink_is_barred_where_a_node_touches_the_ground() -> None:
    found = ruled([True, False, True, False], 0)
    assert found.allowed[:, 0].tolist() == [False, True, False, True]
    assert not found.pinned.any()


def test_only_leaves_a_part_its_inks() -> None:
    found = ruled(only={"leaf": [1, 2]})
    assert found.allowed[1].tolist() == [False, True, True]
    assert found.allowed[0].all()
    assert not found.pinned.any()


def test_a_wish_that_leaves_one_ink_pins() -> None:
    assert ruled(only={"leaf": [2]}).pinned.tolist() == [False, True, False, True]
    assert ruled(fixed={0: 1}).pinned.tolist() == [True, False, False, False]
    # the ground leaves one of the two that she listed
    assert ruled([True] * 4, 0, only={"leaf": [0, 2]}).pinned.tolist() == [False, True, False, True]


def test_the_ground_alone_pins_nothing() -> None:
    found = rules(NAMED, INKS[:2], np.ones(4, dtype=bool), 0, {}, {})
    assert found.allowed.tolist() == [[False, True]] * 4
    assert not found.pinned.any()


def test_impossible_wishes_are_refused() -> None:
    with pytest.raises(DesignError) as refusal:
        ruled([True] * 4, 0, fixed={2: 0})
    assert str(refusal.value) == (
        "[colouring]: pear-1@2,1/body lies on the ground and may take no ink but the ground's own, 'oat'; "
        "give it another ink, or choose another ground"
    )


@pytest.mark.parametrize(
    ("part", "message"),
    [
        ("lief", "[colouring] only: no part of the pattern is named 'lief'; did you mean 'leaf'?"),
        ("zzzz", "[colouring] only: no part of the pattern is named 'zzzz'; its parts are body, leaf"),
    ],
)
def test_unknown_parts_give_the_nearest(part: str, message: str) -> None:
    with pytest.raises(UnknownNameError) as refusal:
        ruled(only={part: [0]})
    assert str(refusal.value) == message


FOUR = [(10.0, 10.0), (30.0, 10.0), (10.0, 30.0), (30.0, 30.0)]


def spread_drawing(folder: Path, colouring: str) -> Spreading:
    return spread_piece(drawn_piece(folder, dots(FOUR, 7), (40, 40), 5, f'ground = "paper"\n{colouring}'))


def inks_by_label(spreading: Spreading) -> dict[str, str]:
    names = [ink.name for ink in spreading.piece.palette.inks]
    return {
        row.label: names[ink] for row, ink in zip(spreading.rows, spreading.plan.inks.tolist(), strict=True)
    }


def test_fixed_by_name_tile_and_point(tmp_path: Path) -> None:
    wishes = 'colour_repeat = [2, 1]\n[colouring.fixed]\n"own-1/d0" = "moss"\n"own-1@2,1/d1" = "clay"\n"at 11,29" = "night"'
    spreading = spread_drawing(tmp_path, wishes)
    found = inks_by_label(spreading)
    assert found["own-1/d0"] == found["own-1@2,1/d0"] == "moss"
    assert found["own-1@2,1/d1"] == "clay"
    assert found["own-1/d2"] == "night"
    assert spreading.rules.pinned.sum() == 4
    assert not report_on(spreading).figures.conflicts


def test_the_narrower_wish_wins_whatever_its_order(tmp_path: Path) -> None:
    for lines in (
        ('"own-1/d0" = "moss"', '"own-1@2,1/d0" = "clay"'),
        ('"own-1@2,1/d0" = "clay"', '"own-1/d0" = "moss"'),
    ):
        wishes = "colour_repeat = [2, 1]\n[colouring.fixed]\n" + "\n".join(lines)
        found = inks_by_label(spread_drawing(tmp_path, wishes))
        assert (found["own-1/d0"], found["own-1@2,1/d0"]) == ("moss", "clay")


def test_wished_contact_is_listed_and_no_conflict(tmp_path: Path) -> None:
    wishes = 'colour_repeat = [1, 1]\nfixed = { "own-1/d0" = "moss", "own-1/d1" = "moss" }'
    figures = report_on(spread_drawing(tmp_path, wishes)).figures
    assert figures.wished == 1
    assert figures.conflicts == 0


@pytest.mark.parametrize(
    ("wishes", "message"),
    [
        (
            'fixed = { "own-1/d9" = "moss" }',
            "test.toml, [colouring] fixed: the layout has no 'own-1/d9'; did you mean 'own-1/d3'?",
        ),
        (
            'fixed = { "at 1,1" = "moss" }',
            "test.toml, [colouring] fixed: no shape lies at 1,1 mm; `mockup preview --names` shows a grid of mm",
        ),
    ],
)
def test_wishes_that_the_layout_does_not_have_are_refused(tmp_path: Path, wishes: str, message: str) -> None:
    with pytest.raises(MockupError) as refusal:
        spread_drawing(tmp_path, wishes)
    assert str(refusal.value) == message


def test_the_ground_s_ink_never_touches_the_ground(tmp_path: Path) -> None:
    (tmp_path / "eye.svg").write_text(
        svg(
            20,
            20,
            '<circle data-part="white" cx="10" cy="10" r="8"/><circle data-part="pupil" cx="10" cy="10" r="4"/>',
        ),
        encoding="utf-8",
    )
    for variant in range(4):
        text = design_text(
            4,
            'motifs = ["eye.svg"]\nrepeat = "straight"\ngrid = [3, 2]',
            f'ground = "dark"\nvariant = {variant}',
        )
        spreading = spread_piece(piece(text, tmp_path))
        names = inks_by_label(spreading)
        assert {ink for label, ink in names.items() if label.endswith("white")} <= {"oat", "clay", "moss"}
        assert "night" in {ink for label, ink in names.items() if label.endswith("pupil")}
