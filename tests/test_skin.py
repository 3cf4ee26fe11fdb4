"""Side palettes from the design to the plan: who takes their inks, how evenly, and what they leave alone."""

from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from builders import COLOURS, NAMES, piece
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colouring.leanings import by_size
from mockup.colouring.spread import spread
from mockup.errors import DesignError, DrawingError, MockupError, UnknownNameError
from mockup.jobs.check import as_data, figures_of, in_plain_words, report_on
from mockup.jobs.piece import Piece
from mockup.jobs.planned import Spreading
from mockup.jobs.sidecheck import side_figures
from mockup.jobs.spreading import spread_piece

DOLL = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="16mm" height="26mm" viewBox="0 0 16 26">'
    '<rect data-part="skin" data-side="skin" x="1" y="10" width="4" height="8"/>'
    '<path data-part="cloth" d="M5 9h6l4 15H1z"/>'
    '<circle data-part="skin" data-side="skin" cx="8" cy="5" r="4"/>'
    '<path data-part="hair" d="M4 5a4 4 0 0 1 8 0z"/></svg>'
)
STAR = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="12mm" height="12mm" viewBox="0 0 12 12">'
    '<rect data-part="petal" width="5" height="12"/><rect data-part="leaf" x="6" width="6" height="12"/></svg>'
)
TONES = (("honey", "#e9bf98"), ("chestnut", "#b97c50"), ("umber", "#6f4630"))


def dolls(
    folder: Path,
    wishes: str = "",
    *,
    per: str = "figure",
    tones: tuple[tuple[str, str], ...] = TONES,
    inks: int = 4,
    pattern: str = 'repeat = "straight"\ntile = [40, 30]',
    doll: str = DOLL,
    side: str = "skin",
) -> Piece:
    """Read a design of dolls and stars; without tones it has no side palette."""
    (folder / "doll.svg").write_text(doll, encoding="utf-8")
    (folder / "star.svg").write_text(STAR, encoding="utf-8")
    text = '[sheet]\nsize = "A5"\n'
    for name, colour in list(zip(NAMES, COLOURS, strict=True))[:inks]:
        text += f'[[palette.ink]]\nname = "{name}"\ncolour = "{colour}"\n'
    if tones:
        listed = ", ".join(f'{{ name = "{name}", colour = "{colour}" }}' for name, colour in tones)
        text += f'[[palette.side]]\nname = "{side}"\nper = "{per}"\nink = [{listed}]\n'
    text += f'[pattern]\nmotifs = ["doll.svg", "star.svg"]\n{pattern}\n[colouring]\n{wishes}\n'
    return piece(text, folder)


def sides(spreading: Spreading) -> list[str]:
    return [spreading.piece.tile.nodes[row.node].side for row in spreading.rows]


def named(spreading: Spreading) -> dict[str, str]:
    """Ink of each row by its label."""
    every = spreading.piece.palette.every
    return {
        row.label: every[ink].name
        for row, ink in zip(spreading.rows, spreading.plan.inks.tolist(), strict=True)
    }


REPEATS = (
    ('repeat = "straight"\ntile = [40, 30]', "[2, 2]"),
    ('repeat = "half-drop"\ntile = [40, 34]', "[2, 1]"),
    ('repeat = "brick"\ndrop = "1/3"\ntile = [44, 30]', "[1, 3]"),
    ('repeat = "straight"\ntile = [30, 28]\ngrid = [2, 1]', '"none"'),
)


@given(
    inks=st.integers(3, 6),
    tones=st.integers(1, 3),
    per=st.sampled_from(("figure", "piece")),
    repeat=st.sampled_from(REPEATS),
    ground=st.sampled_from(("paper", "light", "dark")),
    balance=st.sampled_from(("even", "led")),
    variant=st.integers(1, 99),
)
@settings(max_examples=10)
def test_only_their_own_parts_take_the_inks_of_a_side_and_they_take_no_others(
    tmp_path_factory: pytest.TempPathFactory,
    inks: int,
    tones: int,
    per: str,
    repeat: tuple[str, str],
    ground: str,
    balance: str,
    variant: int,
) -> None:
    wishes = f'ground = "{ground}"\nbalance = "{balance}"\nvariant = {variant}\ncolour_repeat = {repeat[1]}'
    own = dolls(
        tmp_path_factory.getbasetemp(), wishes, per=per, tones=TONES[:tones], inks=inks, pattern=repeat[0]
    )
    found = spread_piece(own)
    kinds = own.palette.sides
    assert sides(found) == [kinds[ink] for ink in found.plan.inks.tolist()]
    assert sides(found) == sorted(sides(found))
    assert found.problem.count == sides(found).count("")
    assert found.problem.inks == inks
    figures = figures_of(found)
    assert figures.shares.sum() == pytest.approx(1)
    # other skin, the same figures
    other = inks + (found.skin - inks + 1) % tones
    repainted = replace(found, plan=replace(found.plan, inks=np.concatenate((found.inks, other))))
    again = figures_of(repainted)
    for key in ("conflicts", "own_copies", "wished", "contact", "share_error", "lump_ratio", "lump_max"):
        assert getattr(again, key) == getattr(figures, key)
    assert (again.shares == figures.shares).all()


HALF_DROP = 'repeat = "half-drop"\ntile = [40, 34]'


@pytest.mark.parametrize(
    ("repeat", "count"), [("[2, 3]", 6), ("[6, 1]", 6), ("[4, 1]", 4), ("[2, 1]", 2), ("[4, 2]", 8)]
)
def test_skin_by_figure_is_dealt_as_evenly_as_can_be(tmp_path: Path, repeat: str, count: int) -> None:
    found = spread_piece(dolls(tmp_path, f"colour_repeat = {repeat}", pattern=HALF_DROP))
    dealt = Counter(found.skin.tolist())
    assert sum(dealt.values()) == count
    assert max(dealt.values()) - min(dealt.get(ink, 0) for ink in range(4, 7)) <= 1


def test_neighbours_in_a_half_drop_differ_in_three_tones(tmp_path: Path) -> None:
    found = spread_piece(dolls(tmp_path, "colour_repeat = [6, 1]", pattern=HALF_DROP))
    node = next(number for number, own in enumerate(found.piece.tile.nodes) if own.side)
    for i in range(6):
        here = found.plan.ink(node, i, 0)
        assert found.plan.ink(node, i + 1, 0) != here


def test_skin_by_piece_is_the_first_ink_of_its_set(tmp_path: Path) -> None:
    found = spread_piece(dolls(tmp_path, "colour_repeat = [2, 2]", per="piece"))
    assert set(found.skin.tolist()) == {4}
    assert found.rules.pinned[found.problem.count :].all()
    other = spread_piece(dolls(tmp_path, 'colour_repeat = [2, 2]\nonly = { skin = ["umber"] }', per="piece"))
    assert set(other.skin.tolist()) == {6}


def test_another_variant_deals_other_skins_and_the_same_one_the_same(tmp_path: Path) -> None:
    dealt = [
        tuple(spread_piece(dolls(tmp_path, f"colour_repeat = [2, 2]\nvariant = {n}")).skin.tolist())
        for n in (1, 1, 2, 3, 4)
    ]
    assert dealt[0] == dealt[1]
    assert len(set(dealt)) > 1


def test_a_figure_is_fixed_by_its_label_and_a_part_by_its_name(tmp_path: Path) -> None:
    wishes = 'colour_repeat = [2, 1]\nfixed = { "doll-1/skin" = "umber", "doll-1@2,1/skin" = "honey" }'
    found = named(spread_piece(dolls(tmp_path, wishes)))
    assert (found["doll-1/skin"], found["doll-1@2,1/skin"]) == ("umber", "honey")
    wishes = 'colour_repeat = [2, 2]\nonly = { skin = ["chestnut"], petal = ["clay", "night"] }'
    own = spread_piece(dolls(tmp_path, wishes))
    assert {ink for label, ink in named(own).items() if label.endswith("/skin")} == {"chestnut"}
    assert {ink for label, ink in named(own).items() if label.endswith("/petal")} <= {"clay", "night"}
    assert own.rules.pinned[own.problem.count :].all()


REFUSED = [
    (
        'fixed = { "doll-1/cloth" = "honey" }',
        "test.toml, [colouring] fixed: doll-1/cloth may not take 'honey', an ink of the side palette 'skin': "
        "it is no part of that; name an ink of the palette",
    ),
    (
        'fixed = { "doll-1/skin" = "clay" }',
        "test.toml, [colouring] fixed: doll-1/skin may not take 'clay', an ink of the palette: "
        "it takes inks of the side palette 'skin' only; name an ink of the side palette 'skin'",
    ),
    (
        'only = { hair = ["clay", "umber"] }',
        "test.toml, [colouring] only: hair may not take 'umber', an ink of the side palette 'skin': "
        "it is no part of that; name an ink of the palette",
    ),
    (
        'only = { skin = ["honey", "moss"] }',
        "test.toml, [colouring] only: skin may not take 'moss', an ink of the palette: "
        "it takes inks of the side palette 'skin' only; name an ink of the side palette 'skin'",
    ),
    (
        'ground = "honey"',
        "test.toml, [colouring] ground: 'honey' is an ink of the side palette 'skin', which stands apart; "
        "the inks are oat, clay, night, moss",
    ),
    (
        'fixed = { "doll-1/skin" = "hony" }',
        "test.toml, [colouring]: no ink is named 'hony'; did you mean 'honey'?",
    ),
]


@pytest.mark.parametrize(("wishes", "told"), REFUSED)
def test_an_ink_on_the_wrong_side_is_refused_by_name(tmp_path: Path, wishes: str, told: str) -> None:
    with pytest.raises(MockupError) as refusal:
        spread_piece(dolls(tmp_path, f"colour_repeat = [1, 1]\n{wishes}"))
    assert str(refusal.value) == told


def test_wishes_that_leave_no_one_ink_for_the_piece_are_refused(tmp_path: Path) -> None:
    wishes = 'colour_repeat = [2, 1]\nfixed = { "doll-1@1,1/skin" = "umber", "doll-1@2,1/skin" = "honey" }'
    with pytest.raises(DesignError, match=r'leave no one ink for all of skin, as per = "piece" asks'):
        spread_piece(dolls(tmp_path, wishes, per="piece"))


def test_a_side_palette_that_no_part_belongs_to_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UnknownNameError) as refusal:
        dolls(tmp_path, side="skim")
    assert str(refusal.value) == (
        "test.toml, [[palette.side]]: no part belongs to the side palette 'skim'; did you mean 'skin'?"
    )
    with pytest.raises(UnknownNameError, match='give its parts data-side="skin" in the drawing, or leave'):
        dolls(tmp_path, doll=STAR)


def test_a_pattern_of_nothing_but_skin_is_refused(tmp_path: Path) -> None:
    bare = DOLL.replace('data-part="cloth"', 'data-side="skin"').replace(
        'data-part="hair"', 'data-side="skin"'
    )
    (tmp_path / "bare.svg").write_text(bare, encoding="utf-8")
    text = '[[palette.ink]]\nname = "clay"\ncolour = "red"\n[[palette.side]]\nink = [{ name = "a", colour = "tan" }]\n'
    with pytest.raises(DrawingError, match="every part belongs to a side palette"):
        piece(f'{text}[pattern]\nmotifs = ["bare.svg"]\n', tmp_path)


def test_two_inks_of_one_name_are_refused(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match='"Clay" is an ink of the palette too; give one of the two another'):
        dolls(tmp_path, tones=(("Clay", "#e9bf98"),))


def test_without_a_side_palette_skin_is_a_part_like_any_other(tmp_path: Path) -> None:
    plain = DOLL.replace(' data-side="skin"', "")
    wishes = "colour_repeat = [2, 1]"
    one = spread_piece(dolls(tmp_path, wishes, tones=()))
    other = spread_piece(dolls(tmp_path, wishes, tones=(), doll=plain))
    assert named(one) == named(other)
    assert "doll-1/skin-2" in named(one)
    told = "skin      takes the palette's inks: no [[palette.side]] has that name"
    assert in_plain_words(report_on(one))[-1] == told
    assert told not in in_plain_words(report_on(other))


def test_check_tells_of_skin_apart_from_the_shares(tmp_path: Path) -> None:
    found = spread_piece(dolls(tmp_path, "colour_repeat = [2, 1]"))
    report = report_on(found)
    lines = in_plain_words(report)
    dealt = Counter(named(found)[label] for label in named(found) if label.endswith("/skin"))
    used = ", ".join(f"{name} {dealt[name]}" for name, _ in TONES if dealt[name])
    assert f"skin      2 shapes, apart from the shares: {used}" in lines
    idle = next(name for name, _ in TONES if not dealt[name])
    assert any(line.startswith(f"          {idle} on none") for line in lines)
    assert lines[0].startswith("test: four inks on 8 shapes")
    told = as_data(report)
    assert told["shapes"] == 8
    assert len(told["inks"]) == 4
    (own,) = told["side"]
    assert (own["name"], own["per"], own["shapes"]) == ("skin", "figure", 2)
    assert own["inks"] == [{"name": name, "shapes": dealt[name]} for name, _ in TONES]


def test_the_weakest_contrast_beside_skin_is_told_with_its_ink(tmp_path: Path) -> None:
    near = (("peach", COLOURS[1]),)
    wishes = 'colour_repeat = [1, 1]\nonly = { cloth = ["clay"] }'
    (own,) = side_figures(spread_piece(dolls(tmp_path, wishes, tones=near)))
    assert own.nearest == "clay"
    assert own.contrast == pytest.approx(0, abs=1e-9)


def test_copies_that_are_inked_alike_have_one_skin(tmp_path: Path) -> None:
    wishes = 'colour_repeat = [4, 2]\ncopies = "alike"'
    found = spread_piece(dolls(tmp_path, wishes, pattern=HALF_DROP))
    assert len(set(found.skin.tolist())) == 1
    two = 'repeat = "half-drop"\ntile = [60, 60]\ngrid = [2, 2]'
    assert len(set(spread_piece(dolls(tmp_path, wishes, pattern=two)).skin.tolist())) == 1


def test_every_part_of_a_figure_takes_its_one_ink(tmp_path: Path) -> None:
    found = spread_piece(dolls(tmp_path, "colour_repeat = [2, 2]"))
    nodes = [node for node in found.piece.tile.nodes if node.side]
    assert [node.label for node in nodes] == ["doll-1/skin"]
    skin = [number for number, node in enumerate(found.piece.tile.nodes) if node.side]
    assert sum(region.node in skin for region in found.piece.tile.regions) == 2


def test_clothes_lean_away_from_a_skin_of_their_colour(tmp_path: Path) -> None:
    pale = (("peach", "#f0dfc2"),)
    pattern = 'repeat = "half-drop"\ntile = [60, 60]\ngrid = [2, 2]'
    wishes = 'ground = "paper"\ncolour_repeat = [2, 2]'
    found = spread_piece(dolls(tmp_path, wishes, tones=pale, inks=5, pattern=pattern))
    problem = found.problem
    assert problem.leaning is not None
    price = problem.leaning - by_size(problem.area, [ink.role for ink in found.piece.palette.inks])
    assert price.max() == price[:, 0].max() > 0
    assert price[:, 1:4].max() == pytest.approx(0, abs=1e-12)
    rows = np.arange(problem.count)
    leant = [spread(problem, seed).inks for seed in range(1, 4)]
    plain = [spread(replace(problem, leaning=None), seed).inks for seed in range(1, 4)]
    assert sum(price[rows, inks].sum() for inks in leant) < sum(price[rows, inks].sum() for inks in plain)
    assert all(problem.contact(inks) == 0 for inks in leant)


def test_figures_of_a_drawing_take_a_skin_each(tmp_path: Path) -> None:
    girl = DOLL[DOLL.index(">") + 1 : -len("</svg>")]
    girls = "".join(
        f'<g id="{name}" transform="translate({20 * number} 0)">{girl}</g>'
        for number, name in enumerate(("ann", "bea", "cleo"))
    )
    drawn = f'<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="26mm" viewBox="0 0 60 26">{girls}</svg>'
    (tmp_path / "beach.svg").write_text(drawn, encoding="utf-8")
    text = "".join(
        f'[[palette.ink]]\nname = "{name}"\ncolour = "{colour}"\n'
        for name, colour in zip(NAMES, COLOURS, strict=True)
    )
    tones = ", ".join(f'{{ name = "{name}", colour = "{colour}" }}' for name, colour in TONES)
    text += f"[[palette.side]]\nink = [{tones}]\n"
    found = named(spread_piece(piece(f'{text}[drawing]\nfile = "beach.svg"\n', tmp_path)))
    skin = {label: ink for label, ink in found.items() if label.endswith("-skin")}
    assert set(skin) == {"beach-1/ann-skin", "beach-1/bea-skin", "beach-1/cleo-skin"}
    assert set(skin.values()) == {name for name, _ in TONES}
    assert set(found.values()) - set(skin.values()) <= set(NAMES)
