"""The piece at its stages: what is inked shows its ink, all else bare paper, and at the end it is the preview."""

import itertools
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from builders import design_text, piece
from small import Tables, flat, texts, write_design

from mockup.cli.main import COMMANDS, run
from mockup.colouring.order_of_work import start_point
from mockup.errors import DesignError, SpreadError, UnknownNameError
from mockup.geometry import shapes
from mockup.jobs.handwork import handwork
from mockup.jobs.looks import frame_of, look_of
from mockup.jobs.piece import Piece, recoloured
from mockup.jobs.planned import Spreading
from mockup.jobs.preview import preview_scene
from mockup.jobs.spreading import replan, spread_piece
from mockup.jobs.stages import QUIET, stages_scene
from mockup.pattern.field import cut
from mockup.rendering.canvas import pixels
from mockup.rendering.canvas_text import text_width
from mockup.rendering.pattern import painted
from mockup.rendering.scene import Fill, Item, Scene, Stroke, Text, fingerprint
from mockup.sheets.stages import Course, Shown, Stage, picture

SKIN = (
    '[[palette.side]]\nname = "skin"\nink = [{ name = "honey", colour = "#e9bf98" },'
    ' { name = "umber", colour = "#6f4630" }]\n'
)
CLOTH = 'repeat = "half-drop"\ntile = [50, 60]\ngrid = [1, 2]\nmotifs = ["pear", "moth"]'
FIGURES = 'repeat = "half-drop"\nmotifs = ["gardener", "leaflet"]\ntile = [60, 45]'
PIECES = {
    "light ground": (CLOTH, 'ground = "light"\nstart = "bottom-left"', ""),
    "paper ground, one sheet": (CLOTH, 'ground = "paper"\ncolour_repeat = "none"', ""),
    "dark ground": (CLOTH, 'ground = "dark"\nstart = "top-right"', '[line]\nink = "none"\n'),
    "figures": (FIGURES, 'ground = "clay"', SKIN),
}


def spread(name: str) -> Spreading:
    pattern, colouring, more = PIECES[name]
    return spread_piece(piece(f"{design_text(5, pattern, colouring)}{more}".replace('"A4"', '"A5"')))


@pytest.fixture(scope="module", params=PIECES)
def spreading(request: pytest.FixtureRequest) -> Spreading:
    return spread(request.param)


@pytest.fixture(scope="module")
def dark() -> Spreading:
    return spread("dark ground")


def courses(monkeypatch: pytest.MonkeyPatch, spreading: Spreading, last: str | None = None) -> list[Course]:
    """Give what the sheet is composed of."""
    kept: list[Course] = []

    def sheet(shown: Shown, own: list[Course], *rest: object) -> Scene:
        kept.extend(own)
        return Scene(10, 10, ())

    monkeypatch.setattr("mockup.jobs.stages.stages_sheet", sheet)
    stages_scene(spreading, last)
    return kept


def drawn(spreading: Spreading, stage: Stage) -> list[Item]:
    """Draw one stage in mm of its own sheet."""
    own = spreading.piece
    shown = Shown(own.tile, frame_of(own), own.layout.steps, look_of(own))
    crop = (0.0, 0.0, own.design.sheet.width, own.design.sheet.height)
    return picture(shown, stage, painted(own.tile, look_of(own)), crop)


def marks(items: list[Item] | tuple[Item, ...]) -> Counter[tuple[object, ...]]:
    """What of ground, inks, lines and border is drawn, and where, to 1e-4 mm."""
    found: Counter[tuple[object, ...]] = Counter()
    for item in flat(tuple(items)):
        if isinstance(item, Fill) and (item.layer in {"ground", "border"} or item.layer.startswith("ink ")):
            bleeds = item.layer == "ground"
            rings = tuple(np.round(ring, 4).tobytes() for ring in item.rings if not bleeds)
            found[item.layer, item.colour, rings] += 1
        elif isinstance(item, Stroke) and item.layer == "line":
            found[item.layer, item.colour, item.width, len(item.lines)] += 1
    return found


def test_every_copy_on_the_sheet_is_one_shape_to_ink(spreading: Spreading) -> None:
    found, own = handwork(spreading), spreading.piece
    shown = cut(own.tile, *own.field_size, own.layout.steps)
    paper = [n for n in shown if own.palette.every[spreading.plan.ink(n.node, n.i, n.j) or 0].paper]
    assert len(found.nodes) == len(shown) - len(paper) == len(found.order.nodes)
    assert len({(n.node, n.i, n.j) for n in found.nodes}) == len(found.nodes)
    assert found.work.area.sum() == pytest.approx(
        sum(shapes.area(n.seen) for n in shown) - sum(shapes.area(n.seen) for n in paper)
    )
    assert found.work.skin.any() == bool(own.palette.side)
    if own.single:
        assert len(found.nodes) == len(spreading.rows)


def test_patches_hold_every_ink_and_are_compact(spreading: Spreading) -> None:
    found = handwork(spreading)
    work, patch = found.work, found.order.patch
    inks = np.unique(work.ink[~work.skin])
    assert found.order.patches > 4
    for number in range(found.order.patches):
        assert set(inks) <= set(work.ink[patch == number])
    chance = np.random.default_rng(2).permutation(patch)
    assert _wide(work.place, patch) < 1.4 / np.sqrt(found.order.patches) * _wide(work.place, chance)


def test_work_begins_where_the_design_says(spreading: Spreading) -> None:
    found = handwork(spreading)
    order = found.order
    at = np.array([found.work.place[order.patch == p].mean(axis=0) for p in range(order.patches)])
    start = start_point(spreading.piece.design.colouring.start, spreading.piece.field_size)
    assert np.hypot(*(at - start).T).argmin() == 0


def _wide(place: "np.ndarray[tuple[int, int], np.dtype[np.float64]]", patch: object) -> float:
    own = [place[np.equal(patch, p)] for p in range(int(np.max(patch)) + 1)]  # type: ignore[call-overload]
    return float(np.mean(np.concatenate([np.hypot(*(at - at.mean(axis=0)).T) for at in own])))


def test_complete_it_is_the_preview(spreading: Spreading, monkeypatch: pytest.MonkeyPatch) -> None:
    for course in courses(monkeypatch, spreading, "night"):
        last = course.stages[-1]
        assert last.title == "100 % inked"
        assert marks(drawn(spreading, last)) == marks(preview_scene(spreading).items)


def test_what_is_inked_shows_its_ink_and_all_else_bare_paper(
    spreading: Spreading, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The pixel in the middle of the largest circle in each shape, without the lines inside of shapes."""
    own = spreading.piece
    found, plain = handwork(spreading), replace(own.tile, lines=())
    spots = [np.array(shapes.roomiest(n.seen)) for n in found.nodes]
    for stage in courses(monkeypatch, spreading)[0].stages[:3]:
        done = int(stage.about.split()[0])
        assert int((stage.plan.inks != stage.bare).sum()) == done
        bare = replace(spreading, piece=replace(own, tile=plain))
        size = own.design.sheet.width, own.design.sheet.height
        seen = pixels(Scene(*size, tuple(drawn(bare, stage))), 127)
        inked = set(found.order.nodes[:done].tolist())
        for number, spot in enumerate(spots):
            x, y = (5 * (spot + own.field[:2])).astype(int)
            wanted = stage.look.paper
            if number in inked:
                wanted = own.palette.every[found.work.ink[number]].colour.hex
            assert bytes(seen[y, x]).hex() == wanted[1:], own.tile.nodes[found.nodes[number].node].label


def test_each_stage_has_its_share_of_the_area(spreading: Spreading, monkeypatch: pytest.MonkeyPatch) -> None:
    area = handwork(spreading).area
    stages = courses(monkeypatch, spreading)[0].stages
    assert [stage.title for stage in stages] == [f"{share} % inked" for share in (25, 50, 75, 100)]
    for share, stage in zip((0.25, 0.5, 0.75, 1), stages, strict=True):
        done, count = map(int, re.findall(r"\d+", stage.about))
        assert count == len(area)
        assert abs(area[:done].sum() - share * area.sum()) <= area.max()


def test_the_ground_grows_with_the_patches_and_lies_round_what_is_inked(
    dark: Spreading, monkeypatch: pytest.MonkeyPatch
) -> None:
    found, field = handwork(dark), shapes.rectangle(*dark.piece.field)
    parts = [stage.ground for stage in courses(monkeypatch, dark)[0].stages]
    assert parts[-1] is None
    grounds = [shapes.intersection(part, field) for part in parts if part is not None]
    shares = [shapes.area(part) / shapes.area(field) for part in grounds]
    assert shares == pytest.approx([0.25, 0.5, 0.75], abs=0.15)
    for less, more in itertools.pairwise(grounds):
        assert shapes.area(shapes.difference(less, shapes.grown(more, 0.01))) < 1
    outlines = [shapes.outline_points(node.seen, 0.5) + dark.piece.field[:2] for node in found.nodes]
    spots = np.random.default_rng(3).uniform(dark.piece.field[:2], dark.piece.field[2:], (150, 2))
    far = np.array([[np.hypot(*(own - spot).T).min() for own in outlines] for spot in spots])
    looked = 0
    for stage, ground in zip(courses(monkeypatch, dark)[0].stages, grounds, strict=False):
        done = found.patches_done(int(stage.about.split()[0]))
        own = np.isin(found.order.patch, done)
        for spot, inked, bare in zip(spots, far[:, own].min(axis=1), far[:, ~own].min(axis=1), strict=True):
            if min(inked, bare) > 1 and abs(inked - bare) > 4:
                looked += 1
                assert shapes.covers_point(ground, *spot) == (inked < bare)
    assert looked > 100


def test_the_border_and_the_coats_come_last_unless_coats_go_along(monkeypatch: pytest.MonkeyPatch) -> None:
    for when, layers in (("last", set()), ("as-you-go", {"ink clay"})):
        pattern, colouring, _ = PIECES["light ground"]
        more = f'[shading]\nstyle = "rim"\nwhen = "{when}"\n[border]\nstyle = "plain"\n'
        own = spread_piece(piece(design_text(5, pattern, colouring) + more))
        coats = set(look_of(own.piece).inks[1].coats)
        for stage in courses(monkeypatch, own)[0].stages:
            fills = [item for item in flat(tuple(drawn(own, stage))) if isinstance(item, Fill)]
            complete = stage.bare is None
            assert any(fill.layer == "border" for fill in fills) == complete
            shaded = {fill.layer for fill in fills if fill.colour in coats}
            assert shaded == ({"ink clay"} if complete else layers)


def test_shapes_without_ink_are_outlined_whatever_the_lines(
    spreading: Spreading, monkeypatch: pytest.MonkeyPatch
) -> None:
    stages = courses(monkeypatch, spreading)[0].stages
    outlined = []
    for stage in stages:
        strokes = [item for item in flat(tuple(drawn(spreading, stage))) if isinstance(item, Stroke)]
        outlined.append(sum(len(s.lines) for s in strokes if s.title == "not inked yet"))
    assert outlined == sorted(outlined, reverse=True)
    assert outlined[0] > 0
    assert outlined[3] == 0


def test_a_held_ink_shows_nowhere_until_all_else_is_done(
    spreading: Spreading, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = spreading.piece
    for ink in (own.palette.inks[0], own.palette.inks[2], own.palette.every[-1]):
        taken = own.palette.number(ink.name) in handwork(spreading).work.ink or own.ground_name == ink.name
        if not taken:
            continue
        plain, held = courses(monkeypatch, replace(spreading, piece=replace(own, border=None)), ink.name)
        assert plain.title == "All inks, patch by patch"
        assert held.title == f"Held back to the end: {ink.name}"
        (without,) = [stage for stage in held.stages if stage.title == f"All but {ink.name}"]
        layers = {item.layer for item in flat(tuple(drawn(spreading, without))) if isinstance(item, Fill)}
        others = {other.name for other in own.palette.every if other.name != ink.name}
        assert f"ink {ink.name}" not in layers
        used = {own.palette.every[n].name for n in handwork(spreading).work.ink.tolist()}
        assert {f"ink {name}" for name in used & others} <= layers
        whole = own.ground is None or own.ground_name != ink.name
        if own.ground is not None:
            assert (without.ground is None) == whole
            assert whole or shapes.area(without.ground or shapes.EMPTY) == 0
        done = [int(stage.about.rpartition("inked, ")[2].split()[0]) for stage in held.stages]
        assert done == sorted(done)


def test_the_sheet_says_what_it_shows_and_all_of_it_fits(spreading: Spreading) -> None:
    for last in (None, "clay"):
        scene = stages_scene(spreading, last)
        said = texts(scene)
        for share in (25, 50, 75, 100):
            assert f"{share} % inked" in said
        assert said[0] == "Test piece"
        assert QUIET in said
        for ink in spreading.piece.palette.every:
            assert any(line.startswith(ink.name) for line in said)
        assert ("All but clay" in said) == (last is not None)
        for item in flat(scene.items):
            if isinstance(item, Text):
                assert 10 <= item.x <= scene.width - 10 - text_width(item.text, item.size_mm, item.weight)
                assert 10 <= item.y <= scene.height - 8
            elif isinstance(item, Fill) and item.layer == "paper":
                (ring,) = item.rings
                assert (ring.min(axis=0) >= 10).all()
                assert (ring.max(axis=0) <= [scene.width - 10, scene.height - 20]).all()


def test_pictures_do_not_lie_on_each_other_and_are_large() -> None:
    for size, last, least in (("A4", None, 0.29), ("[297, 210]", None, 0.3), ("[90, 400]", "clay", 0.2)):
        own = spread_piece(
            piece(design_text(5, CLOTH, 'ground = "light"').replace('"A4"', size.replace("A4", '"A4"')))
        )
        scene = stages_scene(own, last)
        papers = [
            np.concatenate((i.rings[0].min(axis=0), i.rings[0].max(axis=0)))
            for i in scene.items
            if isinstance(i, Fill) and i.layer == "paper"
        ]
        assert len(papers) == (8 if last else 4)
        for number, one in enumerate(papers):
            assert (one[2] - one[0]) / own.piece.design.sheet.width >= least
            for other in papers[:number]:
                apart = np.maximum(one[:2] - other[2:], other[:2] - one[2:])
                assert apart.max() >= 5


def test_a_drawing_of_its_own_has_its_ground_inked_last(tmp_path: Path) -> None:
    tables: Tables = {
        "": {"title": '"Blocks"'},
        "sheet": {"size": "[72, 80]", "margin": "8"},
        "drawing": {"file": '"blocks.svg"'},
        "colouring": {"ground": '"oat"'},
    }
    from small import spreading_of

    own = spreading_of(write_design(tmp_path, tables))
    scene = stages_scene(own)
    assert any(line.endswith("The ground, oat, comes last.") for line in texts(scene))
    grounds = [
        item
        for item in flat(scene.items)
        if isinstance(item, Fill) and (item.layer, item.colour) == ("ground", "#f1e4c8")
    ]
    assert len(grounds) == 1
    assert "3 of 4 shapes" in " ".join(texts(scene)) or "3 of 3 shapes" in " ".join(texts(scene))


def test_the_same_plan_shows_in_other_inks(dark: Spreading) -> None:
    own = dark.piece
    inks = tuple(
        replace(ink, colour=other.colour)
        for ink, other in zip(own.palette.inks, own.palette.inks[::-1], strict=True)
    )
    way: Piece = recoloured(own, replace(own.palette, inks=inks), own.ground)
    colours = {fill.colour for fill in flat(stages_scene(replan(dark, way)).items) if isinstance(fill, Fill)}
    assert {ink.colour.hex for ink in inks} <= colours


def test_an_ink_that_cannot_be_held_back_is_refused(dark: Spreading) -> None:
    with pytest.raises(UnknownNameError) as told:
        stages_scene(dark, "clai")
    assert str(told.value) == "--last: no ink is named 'clai'; did you mean 'clay'?"
    own = spread_piece(piece(design_text(5, CLOTH, 'ground = "dark"').replace('"#f1e4c8"', '"paper"')))
    with pytest.raises(DesignError) as told_too:
        stages_scene(own, "oat")
    assert str(told_too.value) == "--last: 'oat' is bare paper, which is never inked; name another ink"
    none = handwork(own)
    assert not (none.work.ink == own.piece.palette.number("oat")).any()


def test_an_ink_that_nothing_takes_is_refused(dark: Spreading) -> None:
    bare = replace(dark, plan=replace(dark.plan, inks=np.zeros_like(dark.plan.inks)))
    with pytest.raises(SpreadError) as told:
        stages_scene(bare, "clay")
    assert str(told.value) == "--last: nothing on the sheet takes 'clay'; name an ink that shows"
    for takes in ("oat", "night"):
        assert f"All but {takes}" in texts(stages_scene(bare, takes))


def test_the_sheet_is_the_same_every_time() -> None:
    prints = {fingerprint(stages_scene(spread("figures"), "honey")) for _ in range(2)}
    assert len(prints) == 1


TILED: Tables = {
    "": {"title": '"Small"'},
    "sheet": {"size": "[150, 140]", "margin": "10"},
    "pattern": {"motifs": '["pear", "leaflet"]', "repeat": '"straight"', "tile": "[60, 60]"},
    "colouring": {"ground": '"light"', "colour_repeat": "[1, 1]"},
}


def test_the_command_writes_any_form_and_says_where(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(COMMANDS, "stages", ("mockup.cli.stages", "Show a piece half inked."))
    path = write_design(tmp_path, TILED)
    assert run(["stages", str(path), "--dpi", "50"]) == 0
    target = tmp_path / "blocks-stages.png"
    assert capsys.readouterr().out.strip() == str(target)
    first = target.read_bytes()
    assert run(["stages", str(path), "--dpi", "50"]) == 0
    assert target.read_bytes() == first
    for ending, start in ((".png", b"\x89PNG"), (".svg", b"<"), (".pdf", b"%PDF")):
        named = tmp_path / f"half{ending}"
        assert run(["stages", str(path), "-o", str(named), "--last", "Clay", "--dpi", "50"]) == 0
        assert named.read_bytes().startswith(start)
    assert b"All but clay" in (tmp_path / "half.svg").read_bytes()


def test_the_command_refuses_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(COMMANDS, "stages", ("mockup.cli.stages", "Show a piece half inked."))
    monkeypatch.setattr("mockup.jobs.colourway.spread_piece", lambda piece: pytest.fail("inks were spread"))
    path = write_design(tmp_path, TILED)
    assert run(["stages", str(path), "--last", "nite"]) == 1
    assert capsys.readouterr().err == "mockup: --last: no ink is named 'nite'; did you mean 'night'?\n"
    assert run(["stages", str(path), "-o", str(tmp_path / "half.txt")]) == 1
    assert "a sheet cannot be written as '.txt'" in capsys.readouterr().err
    assert run(["stages", str(path), "--dpi", "3"]) == 2
    assert not list(tmp_path.glob("*.png"))
