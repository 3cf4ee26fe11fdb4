"""The plan file: its form, its labels and numbers, and that its regions are whole and apart."""

import itertools
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from builders import design_text, dots, drawn_piece, piece

from mockup.geometry import shapes
from mockup.geometry.affine import translation
from mockup.geometry.shapes import Shape
from mockup.jobs.plan import plan_bytes
from mockup.jobs.planned import Spreading
from mockup.jobs.spreading import spread_piece

DESIGNS = {
    "straight": 'repeat = "straight"\nmotifs = ["pear", "moth"]',
    "half-drop": 'repeat = "half-drop"\ntile = [70, 60]\ngrid = [2, 2]\nmotifs = ["pear", "wren", "fig", "jug"]',
    "brick": 'repeat = "brick"\ndrop = "1/3"\nmotifs = ["tulip", { name = "acorn", scale = 1.3, turn = 40 }]',
    "crowded": 'repeat = "straight"\ntile = [60, 60]\ngrid = [2, 2]\n'
    'motifs = [{ name = "windflower", scale = 1.6 }, { name = "moth", scale = 1.5, turn = 30 }]',
}
INKS = 5


@pytest.fixture(scope="module", params=[*DESIGNS, "sheet"])
def spreading(request: pytest.FixtureRequest) -> Spreading:
    name = str(request.param)
    wishes = 'ground = "light"\n' + ('colour_repeat = "none"' if name == "sheet" else "")
    return spread_piece(piece(design_text(INKS, DESIGNS["half-drop" if name == "sheet" else name], wishes)))


@pytest.fixture(scope="module")
def plan(spreading: Spreading) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(plan_bytes(spreading, "made"))
    return found


def areas_of(plan: dict[str, Any]) -> list[Shape]:
    """Regions of the plan as shapes."""
    found = []
    for feature in plan["features"]:
        outer, *holes = (np.array(ring[:-1]) for ring in feature["geometry"]["coordinates"])
        found.append(shapes.polygon(outer, holes))
    return found


def test_the_head_says_everything(plan: dict[str, Any], spreading: Spreading) -> None:
    assert plan["type"] == "FeatureCollection"
    head = plan["mockup"]
    assert {"version", "unit", "cell", "wraps", "reach_mm", "ground", "inks"} <= head.keys()
    assert (head["version"], head["unit"], head["ground"]) == (1, "mm", "oat")
    assert head["wraps"] == (spreading.plan.tiles is not None)
    assert head["cell"] == pytest.approx(spreading.cell)
    assert head["reach_mm"] == pytest.approx(spreading.facing.reach, abs=1e-4)
    assert [ink["name"] for ink in head["inks"]] == ["oat", "clay", "night", "moss", "ochre"]
    assert all(ink.keys() == {"name", "srgb", "role", "target_share"} for ink in head["inks"])
    assert sum(ink["target_share"] for ink in head["inks"]) == pytest.approx(1, abs=1e-5)


def test_rings_are_closed_and_rounded_and_the_outline_comes_first(plan: dict[str, Any]) -> None:
    for feature in plan["features"]:
        assert feature["type"] == "Feature"
        assert feature["geometry"]["type"] == "Polygon"
        rings = feature["geometry"]["coordinates"]
        outer = shapes.polygon(np.array(rings[0][:-1]))
        for ring in rings:
            assert ring[0] == ring[-1]
            assert len(ring) >= 4
            assert all(round(value, 4) == value for point in ring for value in point)
            inner = shapes.polygon(np.array(ring[:-1]))
            assert shapes.area(shapes.difference(inner, outer)) == pytest.approx(0, abs=1e-3)


def test_features_and_nodes_are_numbered(plan: dict[str, Any], spreading: Spreading) -> None:
    features = plan["features"]
    assert [feature["id"] for feature in features] == list(range(len(features)))
    numbers = [feature["properties"]["node"] for feature in features]
    assert sorted(set(numbers)) == list(range(len(spreading.rows)))
    by_node: dict[int, set[tuple[str, str]]] = {}
    for feature in features:
        own = feature["properties"]
        assert own.keys() == {"node", "label", "motif", "part", "ink", "pinned"}
        by_node.setdefault(own["node"], set()).add((own["label"], own["ink"]))
    assert all(len(found) == 1 for found in by_node.values())
    labels = [next(iter(found))[0] for found in by_node.values()]
    assert len(set(labels)) == len(labels)


def test_labels_tell_the_tile_from_the_second_on(plan: dict[str, Any], spreading: Spreading) -> None:
    tiles = spreading.plan.tiles
    if tiles is None:
        pytest.skip("one sheet has no tiles")
    wanted = {f"@{i},{j}" for i in range(1, tiles[0] + 1) for j in range(1, tiles[1] + 1)} - {"@1,1"}
    labels = [feature["properties"]["label"] for feature in plan["features"]]
    assert {"@" + label.split("@")[1].split("/")[0] for label in labels if "@" in label} == wanted
    for feature in plan["features"]:
        assert feature["properties"]["label"].startswith(feature["properties"]["motif"] + "-")


def test_regions_do_not_overlap_and_are_no_slivers(plan: dict[str, Any]) -> None:
    own, (width, height) = areas_of(plan), plan["mockup"]["cell"]
    assert min(map(shapes.area, own)) > 0.045
    steps = itertools.product((-1, 0, 1), repeat=2) if plan["mockup"]["wraps"] else [(0, 0)]
    every = [shapes.moved(one, translation(i * width, j * height)) for i, j in steps for one in own]
    window = shapes.rectangle(0, 0, width, height)
    covered = shapes.area(shapes.intersection(shapes.union(every), window))
    assert covered == pytest.approx(sum(map(shapes.area, own)), rel=1e-3)


def test_no_region_is_cut_at_the_edge_of_a_cell_that_wraps(
    plan: dict[str, Any], spreading: Spreading
) -> None:
    by_node: dict[int, float] = {}
    for feature, shape in zip(plan["features"], areas_of(plan), strict=True):
        node = feature["properties"]["node"]
        by_node[node] = by_node.get(node, 0.0) + shapes.area(shape)
    first = spreading.piece.tile.nodes
    for node, row in enumerate(spreading.rows):
        whole = shapes.area(first[row.node].seen)
        assert by_node[node] <= whole + 0.01
        if spreading.plan.tiles:
            assert by_node[node] == pytest.approx(whole, abs=0.01 + 1e-3 * whole)
    if not spreading.plan.tiles:
        width, height = plan["mockup"]["cell"]
        x0, y0, x1, y1 = shapes.box_of(areas_of(plan))
        assert min(x0, y0) >= -1e-4
        assert (x1 <= width + 1e-4, y1 <= height + 1e-4) == (True, True)


def test_the_file_is_the_same_every_time(spreading: Spreading) -> None:
    first = plan_bytes(spreading, "made")
    assert first == plan_bytes(spread_piece(spreading.piece), "made")
    assert json.loads(json.dumps(json.loads(first))) == json.loads(first)
    assert first.endswith(b"\n")


def test_pinned_nodes_are_marked(tmp_path: Path) -> None:
    wishes = 'ground = "paper"\nfixed = { "own-1/d0" = "moss" }'
    own = drawn_piece(tmp_path, dots([(10, 10), (30, 10), (10, 30), (30, 30)], 6), (40, 40), 5, wishes)
    plan = json.loads(plan_bytes(spread_piece(own), "made"))
    pinned = {
        f["properties"]["label"]: f["properties"]["ink"]
        for f in plan["features"]
        if f["properties"]["pinned"]
    }
    assert pinned
    assert all("/d0" in label for label in pinned)
    assert set(pinned.values()) == {"moss"}
    assert plan["mockup"]["ground"] == "paper"


def test_a_drawing_s_usual_reach_counts_its_regions(tmp_path: Path) -> None:
    body = dots([(10, 10), (30, 10), (10, 30)], 6) + (
        '<path data-group="two" d="M26 26h4v4h-4z"/><path data-group="two" d="M34 34h4v4h-4z"/>'
    )
    own = drawn_piece(tmp_path, body, (40, 40), 5, 'ground = "paper"')
    spreading = spread_piece(own)
    assert len(own.tile.nodes) == 4
    assert spreading.facing.reach == pytest.approx((1600 / 5) ** 0.5)
