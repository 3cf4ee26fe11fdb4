"""Colourways: the same plan in other inks, far enough apart, sound, written so that each comes back unchanged."""

import io
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import redirect_stderr, redirect_stdout
from itertools import combinations, permutations
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest
from builders import COLOURS, NAMES, design_text
from coloraide import Color
from PIL import Image
from skimage.color import deltaE_ciede2000
from small import BLOCKS, toml

from mockup.cli.main import run as mockup_run
from mockup.colour.conversion import from_srgb
from mockup.colour.difference import ciede2000
from mockup.colour.ink import Ink
from mockup.colouring.choosing import smallest
from mockup.design.reading import read_design
from mockup.jobs import choosing, colourways, planned, waypictures
from mockup.jobs.candidates import Candidate, exchanges, hue_turns
from mockup.jobs.check import figures_of
from mockup.jobs.choosing import LEAST, choose, field_of, steered
from mockup.jobs.colourway import Colourway, sold
from mockup.jobs.colourways import SIDE, shown_size, write_colourways
from mockup.jobs.looks import look_of
from mockup.jobs.offering import Wish, offered
from mockup.jobs.piece import read_piece
from mockup.jobs.planned import Spreading
from mockup.jobs.progress import quiet
from mockup.jobs.respreading import respread
from mockup.jobs.slots import keeps_order, slots_of
from mockup.jobs.spreading import spread_piece
from mockup.jobs.wayfiles import write_way
from mockup.jobs.waypictures import Order, draw_all, shared_of
from mockup.resources import data

PATTERN = 'repeat = "straight"\ntile = [60, 40]\ngrid = [2, 1]\nmotifs = ["pear", "lemon"]'


def text_of(ground: str = "light", inks: int = 5, more: str = "") -> str:
    return design_text(inks, PATTERN, f'ground = "{ground}"\ncolour_repeat = [1, 1]\n{more}')


def written(folder: Path, text: str) -> Path:
    path = folder / "wall.toml"
    path.write_text(text, encoding="utf-8")
    return path


def spread_of(path: Path) -> Spreading:
    return spread_piece(read_piece(read_design(path)))


@pytest.fixture(scope="module", params=["light", "paper", pytest.param("dark", marks=pytest.mark.long)])
def found(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, Spreading, list[Colourway]]:
    path = written(tmp_path_factory.mktemp(request.param), text_of(request.param))
    spreading = spread_of(path)
    return path, spreading, offered(spreading, path.read_text(encoding="utf-8"), Wish(6))


Found = tuple[Path, Spreading, list[Colourway]]


class Told(NamedTuple):
    exit_code: int
    stdout: str
    stderr: str


def told(*words: str) -> Told:
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2))
    with redirect_stdout(out), redirect_stderr(err):
        code = mockup_run(words)
    said = [stream.buffer.getvalue().decode() for stream in (out, err)]
    return Told(code, *said)


def refused(*words: str) -> str:
    result = told(*words)
    assert result.exit_code in {1, 2}
    assert result.stderr.count("\n") == 1
    return result.stderr.strip()


# The same plan


def test_hers_comes_first_and_is_unchanged(found: Found) -> None:
    path, spreading, ways = found
    assert (ways[0].code, ways[0].kind) == ("A", "yours")
    assert ways[0].spreading is spreading
    assert ways[0].text == path.read_text(encoding="utf-8")
    assert [way.code for way in ways] == list("ABCDEF")


def test_each_has_the_same_plan_contacts_and_shares_by_position(found: Found) -> None:
    _, spreading, ways = found
    first = figures_of(spreading)
    for way in ways[1:]:
        figures = figures_of(way.spreading)
        assert (way.spreading.plan.inks == spreading.plan.inks).all()
        assert figures.conflicts == first.conflicts
        count = len(first.shares)
        assert figures.shares[:count] == pytest.approx(first.shares)
        assert not figures.shares[count:].any()


def test_nothing_lies_on_a_ground_of_its_own_ink(found: Found) -> None:
    _, _, ways = found
    for way in ways:
        piece = way.spreading.piece
        on_ground = (
            ~way.spreading.rules.allowed[:, piece.ground].astype(bool) if piece.ground is not None else None
        )
        if on_ground is not None:
            assert (way.spreading.inks != piece.ground)[on_ground].all()
        bare = [number for number, ink in enumerate(piece.palette.inks) if ink.paper]
        assert not bare or piece.ground_name == "paper" or piece.ground not in bare


def test_every_position_takes_an_ink_of_its_own(found: Found) -> None:
    _, _, ways = found
    for way in ways:
        names = [pen.name for pen in way.pens]
        assert len(set(names)) == len(names)
        assert len({one.name for one in ways}) == len(ways)


def test_ground_is_the_lightest_the_darkest_or_bare_paper(found: Found) -> None:
    _, spreading, ways = found
    slots = slots_of(spreading)
    for way in ways[1:]:
        light = [pen.colour.lightness for pen in way.pens]
        ground = way.pens[slots.ground]
        assert ground.ink.paper or ground.colour.lightness in {min(light), max(light)}


def test_the_ground_is_at_an_end_even_where_too_few_are_sound(tmp_path: Path) -> None:
    near = {"#f1e4c8": "#8a8a80", "#b9522b": "#8a6a60", "#73834f": "#73834f", "#dca63f": "#9a8a60"}
    text = text_of("dark")
    for colour, other in near.items():
        text = text.replace(colour, other)
    path = written(tmp_path, text)
    spreading = spread_of(path)
    ways = offered(spreading, text, Wish(6))
    assert len(ways) > 1
    for way in ways[1:]:
        light = [pen.colour.lightness for pen in way.pens]
        ground = way.pens[slots_of(spreading).ground]
        assert ground.ink.paper or ground.colour.lightness in {min(light), max(light)}


def test_balanced_is_where_the_order_of_lightness_is_kept(found: Found) -> None:
    _, spreading, ways = found
    before = [pen.colour.lightness for pen in slots_of(spreading).pens]
    for way in ways[1:]:
        after = [pen.colour.lightness for pen in way.pens]
        crossed = any(
            before[i] - before[j] > 1 and after[i] <= after[j]
            for i in range(len(before))
            for j in range(len(before))
        )
        assert way.kind == ("unbalanced" if crossed else "balanced")
    assert keeps_order(np.array([10.0, 20.0, 20.5]), np.array([30.0, 41.0, 40.0]))
    assert not keeps_order(np.array([10.0, 20.0]), np.array([30.0, 30.0]))


# Far apart


def distance(one: Colourway, other: Colourway, share: Sequence[float]) -> float:
    """By two independent CIEDE2000, which agree."""
    pairs = [(a.colour, b.colour) for a, b in zip(one.pens, other.pens, strict=True)]
    apart = [float(deltaE_ciede2000(np.array(a.lab), np.array(b.lab))) for a, b in pairs]
    open_ = [
        Color("lab-d65", a.lab).delta_e(Color("lab-d65", b.lab), method="2000", space="lab-d65")
        for a, b in pairs
    ]
    assert apart == pytest.approx(open_, abs=1e-6)
    return float(np.dot(apart, share))


def test_no_two_are_nearer_than_eight(found: Found) -> None:
    _, spreading, ways = found
    share = slots_of(spreading).share.tolist()
    assert all(distance(one, other, share) >= LEAST - 1e-6 for one, other in combinations(ways, 2))
    field = field_of(slots_of(spreading), [Candidate(way.pens) for way in ways[1:]])
    places = np.arange(len(ways))
    table = field.distances(places, places)
    assert all(
        table[i, j] == pytest.approx(distance(ways[i], ways[j], share)) for i, j in combinations(places, 2)
    )


def test_shares_are_of_all_that_is_seen(found: Found) -> None:
    _, spreading, _ = found
    slots = slots_of(spreading)
    assert slots.share.sum() == pytest.approx(1.0, abs=1e-6)
    assert slots.share[slots.ground] > 0.2


@pytest.mark.parametrize("seed", range(4))
def test_the_chosen_set_is_that_of_brute_force(
    found: Found, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, spreading, _ = found
    slots = slots_of(spreading)
    every = [*exchanges(slots), *hue_turns(slots)]
    some = [every[int(n)] for n in np.random.default_rng(seed).choice(len(every), 14, replace=False)]
    field = field_of(slots, some)
    for sieve in ("steady", "grounded"):
        monkeypatch.setattr(choosing, sieve, lambda field, _: np.ones(len(field.candidates), dtype=bool))
    chosen = choose(field, slots, 4, lambda _: ())
    places = np.arange(len(field.candidates))
    table = field.distances(places, places)
    best = max(smallest(table, [0, *more]) for more in combinations(places[1:].tolist(), 3))
    assert best >= LEAST
    assert smallest(table, chosen) == pytest.approx(best)


# What stays


@pytest.fixture(scope="module")
def bound(tmp_path_factory: pytest.TempPathFactory) -> Found:
    more = f'fixed = {{ "pear-1/body" = "{NAMES[1]}" }}\nonly = {{ leaf = ["{NAMES[2]}", "{NAMES[3]}"] }}'
    path = written(tmp_path_factory.mktemp("bound"), text_of(more=more))
    spreading = spread_of(path)
    return path, spreading, offered(spreading, path.read_text(encoding="utf-8"), Wish(4))


def test_what_is_fixed_stays_and_what_is_listed_changes_within_its_list(bound: Found) -> None:
    _, _, ways = bound
    assert len(ways) > 1
    for way in ways:
        assert way.pens[1].name == NAMES[1]
        assert {way.pens[2].name, way.pens[3].name} == {NAMES[2], NAMES[3]}
        assert way.spreading.piece.design.colouring.fixed == {"pear-1/body": NAMES[1]}


@pytest.mark.parametrize("ground", ["paper", pytest.param("light", marks=pytest.mark.long)])
def test_skin_stays_whatever_comes_to_the_ground(tmp_path: Path, ground: str) -> None:
    skin = (
        '[[palette.side]]\nname = "skin"\nink = [{ name = "honey", colour = "#e9bf98" },'
        ' { name = "umber", colour = "#6f4630" }]\n'
    )
    pattern = 'repeat = "straight"\nmotifs = ["gardener", "leaflet"]\ntile = [60, 45]'
    path = written(tmp_path, design_text(5, pattern, f'ground = "{ground}"\n') + skin)
    spreading = spread_of(path)
    ways = offered(spreading, path.read_text(encoding="utf-8"), Wish(6))
    assert any(way.spreading.piece.ground_name != spreading.piece.ground_name for way in ways)
    for way in ways:
        write_way(way, tmp_path)
        names, again = [
            [one.piece.palette.every[ink].name for ink in one.skin.tolist()]
            for one in (way.spreading, spread_of(tmp_path / f"{way.code.lower()}.toml"))
        ]
        assert names == again == [spreading.piece.palette.every[ink].name for ink in spreading.skin.tolist()]
        assert set(names) <= {"honey", "umber"}
        assert names


def test_where_every_ink_is_bound_there_is_nothing_to_change(tmp_path: Path) -> None:
    fixed = ", ".join(
        f'"pear-1/{part}" = "{name}"' for part, name in zip(("body", "leaf"), NAMES[:2], strict=True)
    )
    path = written(tmp_path, text_of(inks=2, ground="paper", more=f"fixed = {{ {fixed} }}"))
    assert "bind every ink" in refused("colourways", str(path))


# Files


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    home = tmp_path_factory.mktemp("run")
    path = written(home, text_of("paper"))
    result = told("colourways", str(path), "-n", "4", "-o", str(home / "ways"))
    assert result.exit_code == 0, result.stderr
    return path, home / "ways"


def test_a_folder_gets_sheets_and_of_each_a_picture_a_design_and_a_plan(run: tuple[Path, Path]) -> None:
    _, ways = run
    wanted = {f"{code}.{ending}" for code in "abcd" for ending in ("png", "toml", "geojson")}
    assert {file.name for file in ways.iterdir()} == wanted | {"sheet.png", "sheet.pdf"}


def without_head(text: str) -> list[str]:
    return [line for line in text.splitlines() if not line.startswith('"mockup"')]


@pytest.mark.parametrize("code", "abcd")
def test_each_comes_back_with_exactly_its_plan(run: tuple[Path, Path], code: str) -> None:
    path, ways = run
    hers, again = spread_of(path), spread_of(ways / f"{code}.toml")
    assert (again.plan.inks == hers.plan.inks).all()
    assert again.tiles == hers.tiles
    target = ways.parent / f"{code}.geojson"
    assert told("plan", str(ways / f"{code}.toml"), "-o", str(target)).exit_code == 0
    one, other = ((file.read_text(encoding="utf-8")) for file in (target, ways / f"{code}.geojson"))
    assert without_head(one) == without_head(other)


def test_a_dark_ground_may_come_to_bare_paper(run: tuple[Path, Path]) -> None:
    path, _ = run
    spreading = spread_of(path)
    ways = offered(spreading, path.read_text(encoding="utf-8"), Wish(8))
    more = [way for way in ways if len(way.spreading.piece.palette.inks) == 6]
    assert more
    for way in more:
        assert way.spreading.plan.inks.max() < 5
        assert way.spreading.piece.ground == 5


def test_a_kept_plan_outlives_the_solver(run: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch) -> None:
    path, ways = run
    before = spread_of(path).plan.inks

    def other(*_: Any, **__: Any) -> None:
        raise AssertionError("nothing is to be solved")

    monkeypatch.setattr(planned, "spread", other)
    assert (spread_of(ways / "b.toml").plan.inks == before).all()
    with pytest.raises(AssertionError, match="solved"):
        spread_of(path)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("tile = [60, 40]", "tile = [64, 40]", "tile was 60 x 40 mm, and is 64 x 40 mm now"),
        ('"lemon"', '"snail"', "does not have"),
        ("straight", "brick", "the repeat was straight, and is brick now"),
    ],
)
def test_a_kept_plan_that_no_longer_fits_is_refused_with_what_changed(
    run: tuple[Path, Path], old: str, new: str, said: str
) -> None:
    _, ways = run
    text = (ways / "b.toml").read_text(encoding="utf-8").replace(old, new)
    other = ways.parent / "other.toml"
    other.write_text(text.replace('plan = "b', 'plan = "ways/b'), encoding="utf-8")
    line = refused("preview", str(other), "-o", str(ways.parent / "other.png"))
    assert said in line
    assert not (ways.parent / "other.png").exists()


def test_a_design_changed_by_hand_is_not_lost(run: tuple[Path, Path]) -> None:
    path, ways = run
    mine = ways / "c.toml"
    before = mine.read_bytes()
    mine.write_bytes(before.replace(b"\n", b"\n# mine\n", 1))
    try:
        assert "c.toml" in refused("colourways", str(path), "-o", str(ways))
        assert b"# mine" in mine.read_bytes()
    finally:
        mine.write_bytes(before)


def test_paths_hold_from_the_new_folder(tmp_path: Path) -> None:
    (tmp_path / "own.svg").write_text(BLOCKS, encoding="utf-8")
    tables = {"pattern": {"tile": "[50, 50]", "motifs": '["own.svg"]', "repeat": '"straight"'}}
    path = tmp_path / "own.toml"
    path.write_text(toml({**tables, "colouring": {"colour_repeat": "[1, 1]"}}), encoding="utf-8")
    assert told("colourways", str(path), "-n", "2", "-o", str(tmp_path / "deep" / "ways")).exit_code == 0
    again = read_design(tmp_path / "deep" / "ways" / "b.toml")
    assert again.pattern
    assert again.pattern.motifs[0].name == "../../own.svg"
    assert len(spread_of(tmp_path / "deep" / "ways" / "b.toml").rows) == 4


# Kept in the design


def test_what_is_kept_is_drawn_as_its_own_file_is(run: tuple[Path, Path], tmp_path: Path) -> None:
    path, ways = run
    hers = written(tmp_path, path.read_text(encoding="utf-8"))
    assert told("colourways", str(hers), "-o", str(ways), "--keep", "B", "--keep", "D").exit_code == 0
    for code in "BD":
        one, other = tmp_path / f"{code}.svg", tmp_path / f"{code}-file.svg"
        assert told("preview", str(hers), "--colourway", code, "-o", str(one)).exit_code == 0
        assert told("preview", str(ways / f"{code.lower()}.toml"), "-o", str(other)).exit_code == 0
        drawn = [file.read_text(encoding="utf-8").rpartition("<!--")[0] for file in (one, other)]
        assert drawn[0] == drawn[1]
    design = read_design(hers)
    assert [way.code for way in design.colourways] == ["B", "D"]
    assert design.colouring.plan == "wall.geojson"
    again = hers.read_text(encoding="utf-8")
    assert told("colourways", str(hers), "-o", str(ways), "--keep", "B").exit_code == 0
    assert hers.read_text(encoding="utf-8").count("[[colourway]]") == 2
    assert len(read_design(hers).colourways) == 2, again


def test_what_the_design_holds_keeps_its_letter_in_further_runs(
    run: tuple[Path, Path], tmp_path: Path
) -> None:
    path, ways = run
    hers = written(tmp_path, path.read_text(encoding="utf-8"))
    assert told("colourways", str(hers), "-o", str(ways), "--keep", "D").exit_code == 0
    text = hers.read_text(encoding="utf-8").replace('code = "D"', 'code = "C"')
    hers.write_text(text, encoding="utf-8")
    held = read_design(ways / "d.toml").palette.inks
    assert told("colourways", str(hers), "-n", "5", "-o", str(tmp_path / "again")).exit_code == 0
    assert {file.stem for file in (tmp_path / "again").glob("*.toml")} == set("abcde")
    again = read_design(tmp_path / "again" / "c.toml").palette.inks
    assert [(ink.name, ink.colour) for ink in again] == [(ink.name, ink.colour) for ink in held]


def test_long_names_are_no_trouble(tmp_path: Path) -> None:
    long = [f"{name} {'of a very long kind ' * 3}".strip()[:58] for name in NAMES]
    text = text_of()
    for name, more in zip(NAMES[:5], long, strict=False):
        text = text.replace(f'name = "{name}"', f'name = "{more}"')
    path = written(tmp_path, text.replace("Test piece", "Test piece " * 18))
    assert told("colourways", str(path), "-n", "6", "-o", str(tmp_path / "ways")).exit_code == 0
    assert told("colourways", str(path), "-o", str(tmp_path / "ways"), "--keep", "B").exit_code == 0
    for file in (path, *(tmp_path / "ways").glob("*.toml")):
        read_design(file)


def test_the_design_itself_is_colourway_a(run: tuple[Path, Path], tmp_path: Path) -> None:
    path, _ = run
    one, other = tmp_path / "one.svg", tmp_path / "other.svg"
    assert told("preview", str(path), "--colourway", "a", "-o", str(one)).exit_code == 0
    assert told("preview", str(path), "-o", str(other)).exit_code == 0
    assert one.read_bytes() == other.read_bytes()


def test_a_respread_is_not_kept_as_a_colourway_of_the_same_plan(tmp_path: Path) -> None:
    path = tmp_path / "larder.toml"
    path.write_bytes((data("gallery") / "demo" / "larder.toml").read_bytes())
    assert told("colourways", str(path), "-n", "2", "-o", str(tmp_path / "ways"), "--respread").exit_code == 0
    line = refused("colourways", str(path), "-o", str(tmp_path / "ways"), "--keep", "B")
    assert "has a plan of its own" in line
    assert "[[colourway]]" not in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("way", "said"),
    [
        (f'inks = {{ {NAMES[0]} = "{NAMES[1]}" }}', f"two positions take {NAMES[1]!r}"),
        ('inks = { pulm = "#5b2a48" }', "no ink is named 'pulm'"),
        (f'inks = {{ {NAMES[0]} = "nosuch" }}', "no ink is named 'nosuch'"),
        (f'ground = "{NAMES[4]}"', f"shapes of {NAMES[4]!r} would lie on a ground of the same ink"),
    ],
)
def test_a_colourway_that_cannot_be_is_refused_in_a_line(
    run: tuple[Path, Path], tmp_path: Path, way: str, said: str
) -> None:
    path, _ = run
    own = written(tmp_path, f"{path.read_text(encoding='utf-8')}\n[[colourway]]\n{way}\n")
    line = refused("preview", str(own), "--colourway", "B", "-o", str(tmp_path / "x.png"))
    assert said in line
    assert "[[colourway]] B" in line
    assert "no colourway 'Q'" in refused("preview", str(own), "--colourway", "Q")


def test_a_colourway_takes_names_and_colours(run: tuple[Path, Path], tmp_path: Path) -> None:
    path, _ = run
    inks = f'{{ {NAMES[0]} = "plum #5b2a48", {NAMES[1]} = "{NAMES[0]}", {NAMES[2]} = "rebeccapurple" }}'
    own = written(tmp_path, f"{path.read_text(encoding='utf-8')}\n[[colourway]]\ninks = {inks}\n")
    way, _ = sold(spread_of(own), "B", own.read_text(encoding="utf-8"))
    assert [ink.colour.hex for ink in way.piece.palette.inks[:3]] == ["#5b2a48", COLOURS[0], "#663399"]
    assert [ink.name for ink in way.piece.palette.inks[:2]] == ["plum", NAMES[0]]


# Steered


def test_what_she_liked_stays_with_its_letter_and_what_she_dropped_goes(run: tuple[Path, Path]) -> None:
    path, ways = run
    kept = read_design(ways / "c.toml").palette
    dropped = [ink.name for ink in read_design(ways / "b.toml").palette.inks]
    result = told("colourways", str(path), "-o", str(ways), "--like", "C", "--unlike", "B")
    assert result.exit_code == 0, result.stderr
    assert read_design(ways / "c.toml").palette.inks == kept.inks
    for code in "bd":
        assert [ink.name for ink in read_design(ways / f"{code}.toml").palette.inks] != dropped


def test_the_field_is_narrowed_toward_what_she_liked_and_away_from_what_she_dropped(found: Found) -> None:
    _, spreading, _ = found
    slots = slots_of(spreading)
    field = field_of(slots, [*exchanges(slots), *hue_turns(slots)])
    places = np.arange(len(field.candidates))
    every = places > 0
    like, unlike = 5, len(places) - 1
    kept = steered(field, every, [like], [], 1)
    near = field.distances(places, np.array([like]))[:, 0]
    assert 0 < kept.sum() <= len(places) // 2
    assert near[kept].max() <= near[every & ~kept].min()
    kept = steered(field, every, [], [unlike], 1)
    away = field.distances(places, np.array([unlike]))[:, 0]
    assert away[kept].min() >= LEAST
    assert (steered(field, every, [], [], 1) == every).all()


def test_what_is_named_by_its_file_has_a_letter_and_a_name_of_its_own(
    run: tuple[Path, Path], tmp_path: Path
) -> None:
    path, ways = run
    text = (ways / "b.toml").read_text(encoding="utf-8").replace('"b.geojson"', f'"{ways}/b.geojson"')
    mine = tmp_path / "mine.toml"
    mine.write_text(text, encoding="utf-8")
    target = tmp_path / "more"
    assert told("colourways", str(path), "-n", "3", "-o", str(target), "--like", str(mine)).exit_code == 0
    assert {file.stem for file in target.glob("*.toml")} == set("abc")
    inks = [ink.name for ink in read_design(mine).palette.inks]
    assert inks in [[ink.name for ink in read_design(target / f"{code}.toml").palette.inks] for code in "bc"]
    assert len({read_design(target / f"{code}.toml").title for code in "abc"}) == 3


def test_palettes_never_push_out_her_own_nor_what_she_kept(run: tuple[Path, Path], tmp_path: Path) -> None:
    path, ways = run
    three = tmp_path / "three.csv"
    three.write_text("name,colour\nplum,#5b2a48\nshell,#f3d9d0\nsoot,#1c1b1f\n", encoding="utf-8")
    words = ("-n", "2", "-o", str(tmp_path / "o"), "--palette", str(three), "--like", str(ways / "c.toml"))
    assert told("colourways", str(path), *words).exit_code == 0
    made = {file.stem: read_design(file) for file in (tmp_path / "o").glob("*.toml")}
    assert 3 in {len(design.palette.inks) for design in made.values()}
    assert [ink.name for ink in made["a"].palette.inks] == list(NAMES[:5])
    assert made["c"].palette.inks == read_design(ways / "c.toml").palette.inks


def test_a_letter_that_is_not_there_is_refused(run: tuple[Path, Path]) -> None:
    path, ways = run
    assert "there are A, B, C, D" in refused("colourways", str(path), "-o", str(ways), "--like", "Q")
    assert "always there" in refused("colourways", str(path), "-o", str(ways), "--unlike", "A")


# Other inks


def boxed(folder: Path) -> Path:
    rows = ["name,colour", *(f"{name},{colour}" for name, colour in zip(NAMES, COLOURS, strict=True))]
    rows += [f"pen {n},#{n * 1234567 % 0xFFFFFF:06x}" for n in range(1, 40)]
    path = folder / "inks.csv"
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_of_a_box_only_owned_inks_are_taken(found: Found) -> None:
    path, spreading, _ = found
    box = boxed(path.parent)
    ways = offered(spreading, path.read_text(encoding="utf-8"), Wish(6, box=box))
    names = {row.split(",")[0] for row in box.read_text(encoding="utf-8").splitlines()} | {"paper"}
    assert all(pen.name in names for way in ways for pen in way.pens)
    assert not any(pen.wished for way in ways for pen in way.pens)


def test_the_miss_of_each_owned_pen_is_the_least_together(found: Found) -> None:
    _, spreading, _ = found
    slots, chance = slots_of(spreading), np.random.default_rng(5)
    owned = [Ink(f"pen {n}", from_srgb(chance.random(3).tolist())) for n in range(7)]
    plain = next(iter(hue_turns(slots, owned, False)))
    taken = [(pen, own) for pen, own in zip(plain.pens, slots.pens, strict=True) if not own.ink.paper]
    for pen, own in taken:
        assert pen.miss == pytest.approx(ciede2000(own.colour, pen.colour))
        assert pen.told == f"miss {pen.miss:.0f}"
    least = min(
        sum(ciede2000(own.colour, ink.colour) for (_, own), ink in zip(taken, order, strict=True))
        for order in permutations(owned, len(taken))
    )
    assert sum(pen.miss for pen, _ in taken) == pytest.approx(least)


def test_of_a_box_without_her_inks_none_of_hers_comes(found: Found) -> None:
    path, spreading, _ = found
    box = path.parent / "others.csv"
    rows = [f"pen {n},#{(n * 2654435761) % 0xFFFFFF:06x}" for n in range(1, 60)]
    box.write_text("\n".join(["name,colour", *rows]) + "\n", encoding="utf-8")
    ways = offered(spreading, path.read_text(encoding="utf-8"), Wish(5, box=box))
    assert len(ways) > 2
    for way in ways[1:]:
        assert all(pen.name.startswith("pen ") or pen.ink.paper for pen in way.pens)
        assert way.reason.startswith("your pens nearest to")


def test_without_a_box_a_wished_colour_has_no_pen(found: Found) -> None:
    _, spreading, ways = found
    hers = {pen.name for pen in slots_of(spreading).pens} | {"paper"}
    for way in ways:
        for pen in way.pens:
            assert pen.wished == (pen.name not in hers)
            assert (pen.told == "no pen") == pen.wished


def test_a_listed_palette_comes_with_the_same_plan_or_as_a_respread(found: Found) -> None:
    path, spreading, _ = found
    four, five = path.parent / "four.csv", path.parent / "five.csv"
    rows = ["name,colour", "plum,#5b2a48", "shell,#f3d9d0", "slate,#53616e", "rust,#a4472c", "soot,#1c1b1f"]
    five.write_text("\n".join(rows) + "\n", encoding="utf-8")
    four.write_text("\n".join(rows[:3] + rows[5:]) + "\n", encoding="utf-8")
    text = path.read_text(encoding="utf-8")
    ways = offered(spreading, text, Wish(3, palettes=(five, four)))
    mine = [way for way in ways if {"plum", "rust"} <= {pen.name for pen in way.pens}]
    assert len(mine) == 1
    assert "the palette five.csv" in mine[0].reason
    every = respread(ways, spreading, Wish(3, palettes=(five, four)), new_plans=False, tell=quiet)
    others = [way for way in every if way.kind == "respread"]
    assert len(every) == 3
    assert (
        [len(way.spreading.piece.palette.inks) for way in others] == [3]
        if spreading.piece.ground is not None
        else True
    )


def test_on_request_each_gets_a_plan_of_its_own(found: Found) -> None:
    _, spreading, ways = found
    anew = respread(ways[:2], spreading, Wish(2), new_plans=True, tell=quiet)
    other = bool((anew[1].spreading.plan.inks != spreading.plan.inks).any())
    assert [way.kind == "respread" for way in anew] == [False, other]
    assert ("a new plan" in anew[1].reason) == other


# Many at once


@pytest.fixture(scope="module")
def pictures(found: Found) -> tuple[Any, list[Order], list[bytes]]:
    _, spreading, ways = found
    looks = [look_of(way.spreading.piece) for way in ways]
    ground = shared_of(spreading.piece.tile, looks[0], shown_size(spreading), True)
    orders = [Order(spreading.plan, looks[n % len(looks)], f"way {n}", "made") for n in range(24)]
    return ground, orders, [waypictures._draw(ground, order, 300) for order in orders]


def in_order(drawn: Any) -> list[bytes]:
    return [content for _, content in sorted(drawn)]


def test_many_cores_draw_the_same_bytes(pictures: tuple[Any, list[Order], list[bytes]]) -> None:
    ground, orders, alone = pictures
    assert in_order(draw_all(ground, orders, 300)) == alone
    with ThreadPoolExecutor(3) as pool:
        assert in_order(draw_all(ground, orders, 300, pool)) == alone


def test_a_cluster_draws_the_same_bytes(pictures: tuple[Any, list[Order], list[bytes]]) -> None:
    distributed = pytest.importorskip("distributed")
    ground, orders, alone = pictures
    with (
        distributed.LocalCluster(
            n_workers=1, threads_per_worker=2, processes=False, dashboard_address=None, protocol="inproc://"
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        assert in_order(draw_all(ground, orders, 300, client.get_executor())) == alone


class Hesitant(ThreadPoolExecutor):
    """Begins nothing of what it is given, and is interrupted."""

    def __init__(self) -> None:
        super().__init__(1)
        self.given: list[Future[Any]] = []

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        self.given.append(Future())
        if len(self.given) == 1:
            self.given[0].set_exception(KeyboardInterrupt())
        return self.given[-1]


def test_interrupted_what_waits_is_called_off(pictures: tuple[Any, list[Order], list[bytes]]) -> None:
    ground, orders, _ = pictures
    workers = Hesitant()
    with pytest.raises(KeyboardInterrupt):
        list(draw_all(ground, orders, 300, workers))
    assert len(workers.given) > 2
    assert all(future.cancelled() for future in workers.given[1:])


def test_interrupted_what_is_done_stays_whole(
    found: Found, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, spreading, ways = found
    target = tmp_path / "ways"

    def stopped(*words: Any) -> Any:
        yield from sorted(draw_all(*words))[:2]
        raise KeyboardInterrupt

    monkeypatch.setattr(colourways, "draw_all", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_colourways(ways, target)
    endings = ("png", "toml", "geojson")
    assert {file.name for file in target.iterdir()} == {f"{code}.{end}" for code in "ab" for end in endings}
    for code in "ab":
        with Image.open(target / f"{code}.png") as picture:
            picture.load()
        assert (spread_of(target / f"{code}.toml").inks == spreading.inks).all()
    monkeypatch.undo()
    assert len(write_colourways(ways, target)) == 2 + 3 * len(ways)


def test_pictures_have_the_promised_size(run: tuple[Path, Path]) -> None:
    _, ways = run
    with Image.open(ways / "b.png") as picture:
        assert max(picture.size) == SIDE


def test_two_runs_find_the_same(found: Found) -> None:
    path, spreading, ways = found
    again = offered(spreading, path.read_text(encoding="utf-8"), Wish(6))
    assert [[pen.name for pen in way.pens] for way in again] == [
        [pen.name for pen in way.pens] for way in ways
    ]


# Words


def test_one_colourway_is_her_own_design(run: tuple[Path, Path]) -> None:
    path, _ = run
    assert "preview" in refused("colourways", str(path), "-n", "1")


def test_each_line_says_name_kind_inks_and_contrast(run: tuple[Path, Path]) -> None:
    path, ways = run
    result = told("colourways", str(path), "-o", str(ways))
    lines = result.stderr.splitlines()
    assert [line[:3] for line in lines if line[:1] in "ABCD" and line[1:3] == "  "] == [
        "A  ",
        "B  ",
        "C  ",
        "D  ",
    ]
    assert sum("inks that meet differ by" in line for line in lines) == 4
    assert result.stdout.splitlines()[0].endswith("sheet.png")
