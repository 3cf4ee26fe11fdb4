"""A plan that is named is followed as it is, or refused with what changed."""

import json
import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from builders import design_text, dots, piece, svg

from mockup.errors import DesignError
from mockup.jobs.check import check_design
from mockup.jobs.followed import Chosen
from mockup.jobs.piece import Piece
from mockup.jobs.plan import plan_bytes
from mockup.jobs.planned import Spreading
from mockup.jobs.preview import preview_scene
from mockup.jobs.spreading import follow_plan, spread_piece
from mockup.rendering.scene import fingerprint
from mockup.sheets.planfile import parse_plan

DOTS = [(10, 10), (30, 10), (50, 10), (10, 30), (30, 30), (50, 30)]
PATTERNS = {
    "straight": ('repeat = "straight"\ntile = [40, 40]\nmotifs = ["pear"]', "", False),
    "half-drop": ('repeat = "half-drop"\ntile = [40, 50]\nmotifs = ["fig"]', "colour_repeat = [2, 2]", False),
    "brick": ('repeat = "brick"\ndrop = "1/3"\ntile = [40, 40]\nmotifs = ["tulip"]', "", False),
    "sheet": ('repeat = "half-drop"\ntile = [60, 60]\nmotifs = ["pear", "leaflet"]', 'colour_repeat = "none"', False),
    "drawing": ('file = "own.svg"', "", True),
    "drawn repeat": ('file = "own.svg"\nrepeat = "brick"', "", True),
}  # fmt: skip


def text_of(name: str, wishes: str = "", inks: int = 5, pattern: str = "") -> str:
    told, more, drawn = PATTERNS[name]
    return design_text(inks, pattern or told, f'ground = "light"\n{more}\n{wishes}', drawing=drawn)


def small(folder: Path, wishes: str = "", places: Sequence[tuple[float, float]] | None = None, inks: int = 4, more: str = "", head: str = 'repeat = "straight"', radius: float = 6) -> Piece:  # fmt: skip
    """A drawing of six discs that repeats."""
    body = dots(places or DOTS, radius) + more
    (folder / "own.svg").write_text(svg(60, 40, body), encoding="utf-8")
    return piece(
        design_text(inks, f'file = "own.svg"\n{head}', f'ground = "paper"\n{wishes}', drawing=True), folder
    )


def plan_of(spreading: Spreading) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(plan_bytes(spreading, "made"))
    return found


def followed(own: Piece, plan: dict[str, Any], *, bound: bool = True) -> Spreading:
    found = parse_plan(json.dumps(plan).encode(), "chosen.geojson")
    return follow_plan(own, Chosen(found, "test.toml, [colouring] plan" if bound else "", bound))


def refused(own: Piece, plan: dict[str, Any], *, bound: bool = True) -> str:
    with pytest.raises(DesignError) as caught:
        followed(own, plan, bound=bound)
    line = str(caught.value)
    start = "test.toml, [colouring] plan: chosen.geojson: " if bound else "chosen.geojson: "
    assert line.startswith(start)
    assert caught.value.remedy
    return line.removeprefix(start)


@pytest.mark.parametrize("name", PATTERNS)
def test_a_plan_comes_back_bit_for_bit(name: str, tmp_path: Path) -> None:
    (tmp_path / "own.svg").write_text(svg(60, 40, dots(DOTS, 6)), encoding="utf-8")
    spread = spread_piece(piece(text_of(name), tmp_path))
    content = plan_bytes(spread, "made")
    (tmp_path / "chosen.geojson").write_bytes(content)
    again = spread_piece(piece(text_of(name, 'plan = "chosen.geojson"'), tmp_path))
    assert np.array_equal(again.plan.inks, spread.plan.inks)
    assert plan_bytes(again, "made") == content
    assert fingerprint(preview_scene(again)) == fingerprint(preview_scene(spread))


def test_any_colouring_is_followed_and_never_solved_again(tmp_path: Path) -> None:
    own = small(tmp_path)
    plan = plan_of(spread_piece(own))
    rng = np.random.default_rng(3)
    for _ in range(5):
        for feature in plan["features"]:
            feature["properties"]["ink"] = str(rng.choice(["oat", "clay", "night", "moss"]))
        told = {f["properties"]["label"]: f["properties"]["ink"] for f in plan["features"]}
        found = followed(own, plan)
        names = [ink.name for ink in own.palette.inks]
        assert {row.label: names[ink] for row, ink in zip(found.rows, found.plan.inks, strict=True)} == told


def test_a_plan_of_the_least_words_will_do(tmp_path: Path) -> None:
    own = small(tmp_path, "colour_repeat = [1, 1]")
    spread = spread_piece(own)
    plan = plan_of(spread)
    del plan["mockup"]
    for feature in plan["features"]:
        feature["properties"] = {"ink": feature["properties"]["ink"]}
    plan["features"].reverse()
    assert np.array_equal(followed(own, plan).plan.inks, spread.plan.inks)


def test_a_shape_may_be_given_in_any_copy(tmp_path: Path) -> None:
    spread = spread_piece(small(tmp_path))
    plan = plan_of(spread)
    width, height = plan["mockup"]["cell"]
    for number, feature in enumerate(plan["features"]):
        ring = feature["geometry"]["coordinates"][0]
        feature["geometry"]["coordinates"] = [
            [[x + width * (number % 3), y - height * number] for x, y in ring]
        ]
    assert np.array_equal(followed(spread.piece, plan).plan.inks, spread.plan.inks)


def test_regions_without_a_name_may_be_numbered_anew(tmp_path: Path) -> None:
    body = "".join(f'<circle cx="{x}" cy="{y}" r="{4 + n}"/>' for n, (x, y) in enumerate(DOTS))
    back = "".join(
        f'<circle cx="{x}" cy="{y}" r="{4 + n}"/>' for n, (x, y) in reversed(list(enumerate(DOTS)))
    )
    spread = spread_piece(small(tmp_path, places=[(20, 20)], radius=1, more=body))
    again = followed(small(tmp_path, places=[(20, 20)], radius=1, more=back), plan_of(spread))
    assert {(x.label) for x in again.rows} == {x.label for x in spread.rows}

    def by_place(one: Spreading) -> dict[tuple[int, ...], int]:
        place = np.rint(one.problem.place * 100).astype(int).tolist()
        return dict(zip(map(tuple, place), one.inks.tolist(), strict=True))

    assert by_place(again) == by_place(spread)
    assert not np.array_equal(again.problem.place, spread.problem.place)


def test_other_colours_are_fine_and_other_names_are_not(tmp_path: Path) -> None:
    plan = plan_of(spread_piece(small(tmp_path)))
    own = small(tmp_path)
    text = design_text(4, 'file = "own.svg"\nrepeat = "straight"', 'ground = "paper"', drawing=True)
    recoloured = piece(text.replace("#b9522b", "#2255aa"), tmp_path)
    assert followed(recoloured, plan).plan.inks.tolist() == followed(own, plan).plan.inks.tolist()
    renamed = piece(text.replace('"moss"', '"fern"'), tmp_path)
    assert refused(renamed, plan).startswith("its ink 'moss' is not in the palette; rename 'fern' back, or ")
    assert refused(small(tmp_path, inks=3), plan).startswith("its ink 'moss' is not in the palette; ")
    assert refused(small(tmp_path, inks=5), plan).startswith("does not know the ink 'ochre', which is new")


def test_a_ground_that_a_shape_would_take_is_told(tmp_path: Path) -> None:
    spread = spread_piece(small(tmp_path))
    other = small(tmp_path).palette.inks[1].name
    own = piece(
        design_text(4, 'file = "own.svg"\nrepeat = "straight"', f'ground = "{other}"', drawing=True), tmp_path
    )
    line = refused(own, plan_of(spread))
    assert re.match(r"own-1(@\d,\d)?/d\d lies on the ground and would take its ink 'clay'", line)


CHANGES: list[tuple[str, Callable[[dict[str, Any]], object], str]] = [
    ("repeat", lambda head: head.update(repeat="brick"), "the repeat was brick, and is straight now"),
    ("tile", lambda head: head.update(tile=[50, 40]), "the tile was 50 x 40 mm, and is 60 x 40 mm now"),
    ("drop", lambda head: head.update(drop="1/2"), "the drop was 1/2, and is 0 now"),
    ("cell", lambda head: head.update(cell=[90, 40]), "its cell of 90 x 40 mm is no whole number of tiles of 60 x 40 mm"),
    ("far cell", lambda head: head.update(cell=[60000, 40]), "its cell of 60000 x 40 mm is no whole number of tiles"),
    ("sheet", lambda head: head.update(wraps=False), "was made for one sheet, and the design is a repeat"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("change", "line"), [case[1:] for case in CHANGES], ids=[case[0] for case in CHANGES]
)
def test_another_head_is_told(change: Callable[[dict[str, Any]], object], line: str, tmp_path: Path) -> None:
    own = small(tmp_path)
    plan = plan_of(spread_piece(own))
    change(plan["mockup"])
    assert refused(own, plan).startswith(line)
    assert refused(own, plan, bound=False).startswith(line)


def test_a_repeat_is_no_sheet_and_a_sheet_keeps_its_size(tmp_path: Path) -> None:
    drawn = small(tmp_path, head="")
    plan = plan_of(spread_piece(drawn))
    assert refused(small(tmp_path), plan).startswith("was made for one sheet, and the design is a repeat")
    assert refused(drawn, plan_of(spread_piece(small(tmp_path)))).startswith(
        "was made for a repeat, and the design"
    )
    (tmp_path / "own.svg").write_text(svg(61, 40, dots(DOTS, 6)), encoding="utf-8")
    wider = piece(design_text(4, 'file = "own.svg"', 'ground = "paper"', drawing=True), tmp_path)
    assert refused(wider, plan).startswith("the tile was 60 x 40 mm, and is 61 x 40 mm now")
    del plan["mockup"]["tile"]
    assert refused(wider, plan).startswith("the field was 60 x 40 mm, and is 61 x 40 mm now")


def test_a_plan_that_does_not_say_its_cell_is_refused(tmp_path: Path) -> None:
    own = small(tmp_path)
    plan = plan_of(spread_piece(own))
    del plan["mockup"]["cell"], plan["mockup"]["colour_repeat"]
    assert refused(own, plan).startswith("does not say its cell; ")


def test_a_colour_repeat_in_conflict_is_told_and_only_measured_otherwise(tmp_path: Path) -> None:
    plan = plan_of(spread_piece(small(tmp_path, "colour_repeat = [1, 2]")))
    own = small(tmp_path, "colour_repeat = [2, 2]")
    told = "repeats every 1 x 2 tiles, and colour_repeat asks for 2 x 2; write colour_repeat = [1, 2], or leave it out"
    assert refused(own, plan) == told
    assert followed(own, plan, bound=False).plan.tiles == (1, 2)
    assert followed(small(tmp_path, "colour_repeat = [1, 2]"), plan).plan.tiles == (1, 2)


def test_shapes_that_are_gone_or_new_are_named_and_counted(tmp_path: Path) -> None:
    plan = plan_of(spread_piece(small(tmp_path, "colour_repeat = [1, 1]")))
    fewer = small(tmp_path, "colour_repeat = [1, 1]", places=DOTS[:1])
    assert refused(fewer, plan).startswith(
        "the design does not have own-1/d1, own-1/d2, own-1/d3 and 2 more; change it"
    )
    more = small(tmp_path, "colour_repeat = [1, 1]", places=[*DOTS, (20, 20)], radius=5)
    assert "it does not have own-1/d6" in refused(more, plan)


def test_a_plan_of_some_shapes_only_is_refused_when_measured_too(tmp_path: Path) -> None:
    own = small(tmp_path, "colour_repeat = [1, 1]")
    plan = plan_of(spread_piece(own))
    plan["features"] = plan["features"][:2]
    line = refused(own, plan, bound=False)
    assert line.startswith(
        "it does not have own-1/d2, own-1/d3, own-1/d4 and 1 more; give every shape an ink"
    )


def test_a_shape_that_moved_or_grew_is_told_by_how_much(tmp_path: Path) -> None:
    plan = plan_of(spread_piece(small(tmp_path, "colour_repeat = [1, 1]")))
    moved = [(10, 10), (33, 14), *DOTS[2:]]
    own = small(tmp_path, "colour_repeat = [1, 1]", places=moved)
    assert refused(own, plan).startswith("own-1/d1 lies 5 mm off its place; ")
    grown = small(tmp_path, "colour_repeat = [1, 1]", radius=7)
    area = (np.pi * 49, np.pi * 36)
    line = refused(grown, plan)
    found = re.match(r"own-1/d0 is ([\d.]+) mm2 large, and was ([\d.]+); ", line)
    assert found
    assert [float(found[1]), float(found[2])] == pytest.approx(area, rel=0.01)
    assert " and 3 more" in line


def test_a_shape_of_like_size_and_place_may_have_another_outline(tmp_path: Path) -> None:
    bar = '<path id="bar" data-part="bar" d="M{}"/>'
    plan = plan_of(spread_piece(small(tmp_path, places=DOTS[:1], more=bar.format("36 18h12v4h-12z"))))
    own = small(tmp_path, places=DOTS[:1], more=bar.format("40 14h4v12h-4z"))
    assert re.match(r"own-1(@1,\d|@\d,1)?/bar has another outline", refused(own, plan))


@pytest.mark.parametrize(
    ("wish", "line"),
    [
        ('fixed = { "own-1/d0" = "clay" }', "own-1/d0 takes 'moss', and the design fixes it to 'clay'"),
        (
            'only = { d0 = ["clay", "oat"] }',
            "own-1/d0 takes 'moss', which [colouring] only does not let a d0 take",
        ),
    ],
)
def test_a_plan_against_her_wishes_is_told(wish: str, line: str, tmp_path: Path) -> None:
    free = small(tmp_path, "colour_repeat = [1, 1]")
    plan = plan_of(spread_piece(free))
    for feature in plan["features"]:
        if feature["properties"]["label"] == "own-1/d0":
            feature["properties"]["ink"] = "moss"
    own = small(tmp_path, f"colour_repeat = [1, 1]\n{wish}")
    assert refused(own, plan).startswith(line)
    (tmp_path / "test.toml").write_text(
        design_text(4, 'file = "own.svg"\nrepeat = "straight"', f'ground = "paper"\ncolour_repeat = [1, 1]\n{wish}', drawing=True)
    )  # fmt: skip
    (tmp_path / "chosen.geojson").write_text(json.dumps(plan))
    report = check_design(tmp_path / "test.toml", tmp_path / "chosen.geojson")
    assert report.against == (line,)
    assert report.plan == "chosen.geojson"


def test_measured_figures_are_those_of_the_plan_itself(tmp_path: Path) -> None:
    own = small(tmp_path)
    text = design_text(4, 'file = "own.svg"\nrepeat = "straight"', 'ground = "paper"', drawing=True)
    (tmp_path / "test.toml").write_text(text)
    plan = tmp_path / "chosen.geojson"
    plan.write_bytes(plan_bytes(spread_piece(own), "made"))
    first, again = check_design(tmp_path / "test.toml"), check_design(tmp_path / "test.toml", plan)
    for name in ("conflicts", "contact", "share_error", "lump_ratio", "lump_max", "worst", "contrast_low"):
        assert getattr(first.figures, name) == getattr(again.figures, name)
    told = json.loads(plan.read_text())
    for feature in told["features"]:
        feature["properties"]["ink"] = "clay"
    plan.write_text(json.dumps(told))
    alike = check_design(tmp_path / "test.toml", plan)
    faces = alike.spreading.facing.faces
    assert alike.figures.conflicts == int(faces.sum())
    assert alike.figures.shares.tolist() == pytest.approx([0, 1, 0, 0])


def test_what_spreads_again_lets_go_of_the_plan(tmp_path: Path) -> None:
    """Contact in a plan that is followed is told as the plan's own, and a larger repeat is looked for without it."""
    own = small(tmp_path, "colour_repeat = [1, 1]")
    plan = plan_of(spread_piece(own))
    for feature in plan["features"]:
        feature["properties"]["ink"] = "clay"
    (tmp_path / "chosen.geojson").write_text(json.dumps(plan))
    colouring = replace(own.design.colouring, plan="chosen.geojson")
    named = replace(own, design=replace(own.design, colouring=colouring))
    from mockup.jobs.check import report_on

    told = report_on(spread_piece(named)).reasons
    assert any("so has the plan that is followed" in line for line in told)
