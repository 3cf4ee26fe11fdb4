"""Motifs that grow: sound at every size they promise, alike in every process, symmetric where they say so, never one like another."""

import math
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from refusals import INK, refused

from mockup.cli.main import run
from mockup.design.reading import parse_design
from mockup.geometry import shapes
from mockup.geometry.affine import about, rotation
from mockup.geometry.curves import Curves, circle, extent, moved, sampled, smooth, turns, wheel
from mockup.geometry.shapes import Shape, area, centroid, difference, union
from mockup.jobs.piece import read_piece
from mockup.pattern.chance import Chance
from mockup.pattern.grown import KINDS, LIMITS, Growth, grown_motif, grown_svg
from mockup.pattern.inkable import inspect
from mockup.pattern.motif import LineWork, Motif
from mockup.pattern.motif_library import drawing_file
from mockup.pattern.sketch import AIR, LINE

NAMES = {
    "leaf",
    "stem",
    "petal",
    "centre",
    "body",
    "wing",
    "eye",
    "seed",
    "tip",
    "hair",
    "skin",
    "cloth",
    "band",
}
TURNING = ("rosette", "medallion")

SAMPLE = [
    Growth(kind, 3 + (5 * number + 4 * place) % 22, 1 + number % 4, number % 5 / 4, size, 17 * number + place)
    for place, kind in enumerate(KINDS)
    for number, size in enumerate((16.0, 27.0, 42.0, 80.0))
]

growths = st.builds(
    Growth,
    st.sampled_from(sorted(KINDS)),
    st.integers(3, 24),
    st.integers(1, 4),
    st.floats(0, 1),
    st.floats(6, 80),
    st.integers(0, 10**9),
)


def groups(motif: Motif) -> dict[str, Shape]:
    return {group: union(part.shape for part in motif.parts if part.group == group) for group in motif.groups}


def unlike(one: Shape, other: Shape) -> float:
    return area(difference(one, other)) + area(difference(other, one))


# ---- form


@pytest.mark.parametrize("growth", SAMPLE, ids=lambda growth: growth.name)
def test_a_relative_is_sound_and_in_the_form_of_the_library(growth: Growth) -> None:
    motif = grown_motif(growth)
    seen, found = inspect(motif)
    assert found == ()
    assert motif.left_out == ()
    assert 2 <= len(seen) <= 7
    assert {part.name for part in motif.parts} <= NAMES
    assert all(part.fill for part in motif.parts)
    assert len({part.fill for part in motif.parts}) == len(seen)
    assert max(motif.width, motif.height) == growth.size
    assert {round(work.width, 9) for work in motif.elements if isinstance(work, LineWork)} <= {LINE}
    assert motif.name == growth.name


@settings(deadline=None, max_examples=10)
@given(growths)
def test_any_numbers_give_a_closed_drawing_of_the_size_asked(growth: Growth) -> None:
    motif = grown_motif(growth)
    text = grown_svg(growth)
    assert max(motif.width, motif.height) == pytest.approx(growth.size, abs=6e-4)
    points = [ring for part in motif.parts for ring in np.array(part.shape.envelope.exterior.coords)]
    lines = [work.lines for work in motif.elements if isinstance(work, LineWork)]
    points += [point for own in lines for line in own for point in line]
    low, high = np.min(points, axis=0), np.max(points, axis=0)
    assert low.min() > AIR - 0.01
    assert (high < np.array([motif.width, motif.height]) - AIR + 0.01).all()
    assert all(data.endswith("Z") for data in re.findall(r'data-part[^>]*d="([^"]*)"', text))
    assert "NaN" not in text
    assert "inf" not in text


def test_joints_are_smooth_or_meant() -> None:
    for growth in SAMPLE:
        sketch = KINDS[growth.kind](growth.petals, growth.layers, growth.depth, growth.size, growth.seed)
        for piece in sketch.pieces:
            turned = turns(piece.outline)
            assert not ((turned > 3) & (turned < 22)).any(), (growth, piece.group)
            assert np.abs(piece.outline[:, 3] - np.roll(piece.outline[:, 0], -1, axis=0)).max() < 1e-9


# ---- the numbers


@settings(deadline=None, max_examples=10)
@given(st.sampled_from(TURNING), st.integers(3, 24), st.integers(1, 4), st.floats(0, 1), st.integers(0, 999))
def test_a_flower_turned_by_one_petal_is_itself(
    kind: str, petals: int, layers: int, depth: float, seed: int
) -> None:
    motif = grown_motif(Growth(kind, petals, layers, depth, 30.0, seed))
    middle = centroid(groups(motif)["centre"])
    by_one, by_half = (about(*middle, rotation(360 / petals * share)) for share in (1.0, 0.5))
    for shape in groups(motif).values():
        there = union([shapes.moved(shape, by_one)])
        assert unlike(shape, there) < 0.02 * shape.length
    outer = union(part.shape for part in motif.parts)
    assert unlike(outer, union([shapes.moved(outer, by_half)])) > 0.05


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_number_matters(kind: str) -> None:
    usual = Growth(kind, petals=7, layers=2, depth=0.5, size=44.0, seed=3)
    for name, values in {
        "petals": (6, 7, 8, 9),
        "layers": (1, 2, 3, 4),
        "depth": (0.0, 0.3, 0.6, 1.0),
        "size": (20.0, 30.0, 44.0),
        "seed": tuple(range(4)),
    }.items():
        told = [grown_svg(replace(usual, **{name: value})) for value in values]  # type: ignore[arg-type]
        outlines = [re.findall(r' (?:d|data-group)="([^"]*)"', text) for text in told]
        assert len({tuple(one) for one in outlines}) == len(values), name


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_more_layers_are_more_groups(kind: str) -> None:
    counts = [len(grown_motif(Growth(kind, 8, layers, 0.5, 60.0, 2)).groups) for layers in (1, 2, 3, 4)]
    assert counts == sorted(counts)
    assert counts[0] < counts[-1]


def test_a_deeper_cut_leaves_more_ground() -> None:
    for kind in ("rosette", "leaf"):
        covered = []
        for depth in (0.0, 0.5, 1.0):
            motif = grown_motif(Growth(kind, 9, 1, depth, 50.0, 5))
            whole = union(part.shape for part in motif.parts)
            covered.append(area(whole) / area(whole.convex_hull))
        assert covered == sorted(covered, reverse=True)


def test_the_text_is_the_same_in_every_process() -> None:
    told = (
        "from mockup.pattern.grown import *; import hashlib;"
        "print(hashlib.sha256(''.join(grown_svg(Growth(k, 7, 3, 0.6, 36.0, 11)) for k in KINDS).encode()).hexdigest())"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", told],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(found) == 1


def test_what_lies_beyond_the_limits_does_not_grow() -> None:
    with pytest.raises(ValueError, match="nothing grows that is called 'tree'"):
        Growth("tree")
    for name, (least, most) in LIMITS.items():
        for value in (least - 1, most + 1):
            with pytest.raises(ValueError, match=f"{name} is "):
                Growth("leaf", **{name: value})  # type: ignore[arg-type]


@given(growths, growths)
def test_different_numbers_have_different_names(one: Growth, other: Growth) -> None:
    assert (one.name == other.name) == (one == other) or math.isclose(one.size, other.size, rel_tol=1e-9)
    assert "/" not in one.name


def test_a_choice_is_its_own() -> None:
    chance = Chance(4, "leaf")
    assert chance.share("a") == Chance(4, "leaf").share("a")
    assert (
        len({chance.share("a"), chance.share("b"), Chance(5, "leaf").share("a"), Chance(4).share("a")}) == 4
    )
    drawn = [Chance(seed).share("x") for seed in range(2000)]
    assert 0.48 < np.mean(drawn) < 0.52
    assert {Chance(seed).pick("x", "abc") for seed in range(50)} == set("abc")
    assert all(3 <= Chance(seed).between("x", 3, 4) < 4 for seed in range(50))


# ---- curves


def test_a_circle_is_round() -> None:
    away = np.hypot(*(sampled(circle(2, 3, 5.0), 40) - (2, 3)).T)
    assert np.abs(away - 5).max() < 5 * 2.8e-4
    assert extent(circle(2, 3, 5)) == pytest.approx((-3, -2, 7, 8))


@settings(max_examples=30)
@given(
    st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9)), min_size=4, max_size=9, unique=True), st.data()
)
def test_a_smooth_line_goes_through_its_points_and_turns_at_corners_only(
    points: list[tuple[float, float]], data: st.DataObject
) -> None:
    spread = np.array(points)
    near = np.hypot(*(spread[:, np.newaxis] - spread).T) + 99 * np.eye(len(points))
    if near.min() < 0.1:
        return
    corners = data.draw(st.sets(st.integers(0, len(points) - 1)))
    curves = smooth(points, closed=True, corners=corners)
    assert np.allclose(curves[:, 0], spread)
    turned = turns(curves)
    for number, turn in enumerate(turned):
        assert turn < 0.01 or (number in corners and turn >= 24) or turn > 179


def test_the_box_of_a_chain_is_that_of_all_its_points() -> None:
    chain: Curves = moved(wheel(smooth([(3, 0), (5, 2), (2, 3)], closed=False), 5), rotation(20))
    fine = np.vstack([sampled(chain, 400), chain[:, 3]])
    assert extent(chain) == pytest.approx((*fine.min(axis=0), *fine.max(axis=0)), abs=1e-3)


# ---- in the design file


def design_of(motifs: str, more: str = "") -> str:
    return f"{INK}[pattern]\nmotifs = [{motifs}]\n{more}"


def test_a_motif_grows_in_the_design_file() -> None:
    text = design_of(
        '{ grow = "rosette", petals = 8, layers = 2, depth = 0.4, size = 32, seed = 3, turn = 9 }'
    )
    pattern = parse_design(text, where="rose.toml").pattern
    assert pattern
    (spec,) = pattern.motifs
    assert spec.grow == Growth("rosette", 8, 2, 0.4, 32.0, 3)
    assert (spec.name, spec.turn) == ("rosette-8-2-3", 9.0)


def test_labels_tell_what_grew() -> None:
    motifs = (
        '{ grow = "leaf", petals = 5, layers = 1, size = 12 }, { name = "sun", grow = "rosette", size = 12 }'
    )
    piece = read_piece(parse_design(design_of(motifs, "tile = [40, 20]\ngrid = [2, 1]\n"), where="rose.toml"))
    labels = {node.label for node in piece.tile.nodes}
    assert {"leaf-5-1-1-12mm-1/leaf", "sun-1/petal", "sun-1/centre"} <= labels


GROW = '{ grow = "leaf" }'


@pytest.mark.parametrize(
    ("motifs", "line"),
    [
        (
            '{ name = "fig", petals = 9 }',
            '[[pattern.motifs]] 1 petals: petals is for motifs that grow; write such as grow = "rosette" in place of name',
        ),
        (
            '{ name = "a.svg", grow = "leaf" }',
            "[[pattern.motifs]] 1 name: name is a file, and grow makes another motif; leave out one of the two",
        ),
        (
            '{ name = "a/b", grow = "leaf" }',
            "[[pattern.motifs]] 1 name: has a slash, which no name of a motif may have; write it without",
        ),
        ("{ turn = 3 }", '[[pattern.motifs]] 1: name is missing; write such as name = "pear"'),
        (
            '{ grow = "rosete" }',
            '[[pattern.motifs]] 1 grow: expected rosette, leaf, spray or medallion, not "rosete"; write grow = "rosette"',
        ),
        (
            '{ grow = "leaf", petals = 2 }',
            "[[pattern.motifs]] 1 petals: expected 3 to 24, not 2; write such as petals = 8",
        ),
        (
            '{ grow = "leaf", size = "9cm" }',
            '[[pattern.motifs]] 1 size: expected 6 to 80 mm, not "9cm"; write such as size = 32',
        ),
        (
            '{ name = "a", grow = "leaf" }, { name = "a", grow = "spray" }',
            '[[pattern.motifs]] 2 name: two different motifs are called "a"; give the one that grows another name',
        ),
        (
            '{ name = "a", grow = "leaf" }, "drawn/a.svg"',
            '[pattern] motifs: two different motifs are called "a"; give the one that grows another name',
        ),
        (
            '"fig", { name = "fig", grow = "spray" }',
            '[[pattern.motifs]] 2 name: two different motifs are called "fig"; give the one that grows another name',
        ),
    ],
)
def test_what_cannot_grow_is_refused(motifs: str, line: str) -> None:
    where, _, what = line.partition(": ")
    told = refused(design_of(motifs))
    assert told == f"rose.toml, line 5, {where}: {what}"


def test_the_same_motif_may_come_twice() -> None:
    pattern = parse_design(design_of(f"{GROW}, {GROW}"), where="rose.toml").pattern
    assert pattern
    assert pattern.motifs[0] == pattern.motifs[1]


# ---- the command


def test_the_command_writes_what_the_design_file_grows(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "leaf.svg"
    words = ["motifs", "grow", "leaf", "-o", str(path)]
    assert (
        run([*words, "--petals", "9", "--layers", "3", "--depth", "0.7", "--size", "30", "--seed", "5"]) == 0
    )
    assert capsys.readouterr().out == f"{path}\n"
    read, grown = drawing_file(path), grown_motif(Growth("leaf", 9, 3, 0.7, 30.0, 5))
    assert [(part.group, part.name) for part in read.parts] == [
        (part.group, part.name) for part in grown.parts
    ]
    assert all(unlike(a.shape, b.shape) == 0 for a, b in zip(read.parts, grown.parts, strict=True))
    assert read.left_out == ()
    assert run([*words, "--seed", "6"]) == 0
    assert drawing_file(path).parts


def test_a_grown_file_that_she_changed_is_not_replaced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "leaf.svg"
    words = ["motifs", "grow", "leaf", "-o", str(path)]
    assert run(words) == 0
    hers = path.read_text().replace("Leaf", "Mine")
    path.write_text(hers)
    assert run(words) == 1
    assert "exists, and mockup did not write it" in capsys.readouterr().err
    assert path.read_text() == hers
    assert run([*words, "--force"]) == 0
    assert path.read_text() != hers


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["leaf", "-o", "leaf.png"], 1, "a motif is written as SVG; name it leaf.svg"),
        (["leaf", "-o", "none/leaf.svg"], 1, "its folder does not exist"),
        (["tree", "-o", "a.svg"], 2, "tree"),
        (["leaf", "-o", "a.svg", "--petals", "2"], 2, "--petals"),
        (["leaf", "-o", "a.svg", "--depth", "nan"], 2, "--depth"),
        (["leaf"], 2, "-o"),
    ],
)
def test_the_command_refuses_in_one_line(
    words: list[str],
    code: int,
    told: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(["motifs", "grow", *words]) == code
    assert told in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
