"""Reading plan files: our own come back as they were, those of others as far as they go, and every fault is told."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.errors import FileError
from mockup.geometry import shapes
from mockup.geometry.shapes import rectangle
from mockup.sheets.plan import PlanHead, PlanInk, PlanNode, plan_file
from mockup.sheets.planfile import parse_plan, read_plan

RING = [[0, 0], [4, 0], [4, 3], [0, 3], [0, 0]]
INNER = [[1, 1], [2, 1], [2, 2], [1, 2], [1, 1]]
OTHER = [[10, 0], [12, 0], [12, 2], [10, 2], [10, 0]]


def feature(
    own: dict[str, Any] | None = None, coordinates: object = None, kind: str = "Polygon"
) -> dict[str, Any]:
    """One feature in clay."""
    place = {"type": kind, "coordinates": [RING] if coordinates is None else coordinates}
    return {"type": "Feature", "geometry": place, "properties": {"ink": "clay", **(own or {})}}


def written(*features: object, **head: object) -> bytes:
    """A whole file; a head only where it says something."""
    top = {"mockup": head} if head else {}
    return json.dumps({"type": "FeatureCollection", **top, "features": features}).encode()


def refused(content: bytes) -> str:
    with pytest.raises(FileError) as caught:
        parse_plan(content, "own.geojson")
    line = str(caught.value)
    assert "\n" not in line
    assert caught.value.remedy
    return line


HEAD = PlanHead(
    (40.0, 30.0),
    True,
    6.0,
    "oat",
    (PlanInk("oat", "#fff", "light", 0.5), PlanInk("clay", "#a00", "dark", 0.5)),
    "m",
    "half-drop",
    (20.0, 30.0),
    "1/2",
    (2, 1),
)


@given(
    st.lists(
        st.tuples(st.integers(0, 30), st.integers(1, 9), st.sampled_from(["oat", "clay"])),
        min_size=1,
        max_size=6,
    )
)
def test_what_we_write_comes_back(told: list[tuple[int, int, str]]) -> None:
    nodes = [
        PlanNode(
            f"pear-{number}/body",
            "pear",
            "body",
            ink,
            False,
            shapes.union(
                [
                    rectangle(at, 20 * number, at + side, 20 * number + side),
                    rectangle(50, 20 * number, 51, 20 * number + side),
                ]
            ),
        )
        for number, (at, side, ink) in enumerate(told)
    ]
    found = parse_plan(plan_file(HEAD, nodes), "own.geojson")
    assert [(node.label, node.ink) for node in found.nodes] == [(node.label, node.ink) for node in nodes]
    for own, node in zip(found.nodes, nodes, strict=True):
        assert shapes.area(own.seen) == pytest.approx(shapes.area(node.seen))
        assert shapes.centroid(own.seen) == pytest.approx(shapes.centroid(node.seen), abs=2e-4)
    head = found.head
    assert (head.cell, head.wraps, head.repeat, head.tile) == ((40.0, 30.0), True, "half-drop", (20.0, 30.0))
    assert (head.drop, head.colour_repeat, head.inks, head.ground) == ("1/2", (2, 1), ("oat", "clay"), "oat")


def test_a_bare_file_will_do() -> None:
    found = parse_plan(written(feature(), feature({"ink": "moss"}, [OTHER])), "own.geojson")
    assert [node.ink for node in found.nodes] == ["clay", "moss"]
    assert [node.name for node in found.nodes] == ["the shape of feature 0", "the shape of feature 1"]
    assert found.head.cell is None


def test_features_of_a_node_are_one_shape() -> None:
    by_number = written(feature({"node": 3}), feature({"node": 3}, [OTHER]))
    by_label = written(feature({"label": "a-1/b"}), feature({"label": "a-1/b"}, [OTHER]))
    at_once = written(feature(None, [[RING], [OTHER]], "MultiPolygon"))
    for content in (by_number, by_label, at_once):
        (node,) = parse_plan(content, "own.geojson").nodes
        assert shapes.area(node.seen) == pytest.approx(16)


def test_holes_and_the_first_tile_written_out() -> None:
    (node,) = parse_plan(written(feature({"label": "a-1@1,1/b"}, [RING, INNER])), "own.geojson").nodes
    assert shapes.area(node.seen) == pytest.approx(11)
    assert node.label == "a-1/b"


@pytest.mark.parametrize("version", [1, 2, 99])
def test_any_version_is_read(version: int) -> None:
    assert parse_plan(written(feature(), version=version), "own.geojson").head.version == version


FILES = [
    (b"", "own.geojson: is no plan: not JSON at line 1, column 1"),
    (b"\xff\xfe{", "own.geojson: is no plan: it is not written in UTF-8"),
    (b"[" * 100_000, "own.geojson: is no plan: its lists lie too deep in each other"),
    (b'{"a": NaN}', "own.geojson: is no plan: it holds a number that is none"),
    (b'{"a": ' + b"1" * 9000 + b"}", "own.geojson: is no plan: it holds a number that is none"),
    (b"[]", "own.geojson: is no plan: it is not a FeatureCollection"),
    (b'{"type": "Feature"}', "own.geojson: is no plan: it is not a FeatureCollection"),
    (written(), "own.geojson: has no features"),
    (written(feature(), 7), "own.geojson, feature 1: is not a Feature"),
    (written({"type": "Feature"}), "own.geojson, feature 0: has no properties"),
    (written(feature({"ink": None})), "own.geojson, feature 0: names no ink"),
    (written(feature({"ink": 3})), "own.geojson, feature 0: gives its ink as no line of text"),
    (written(feature({"node": -1})), "own.geojson, feature 0: has a node that is no whole number"),
    (written(feature({"node": True})), "own.geojson, feature 0: has a node that is no whole number"),
    (written(feature({"label": "a\nb"})), "own.geojson, feature 0: gives its label as no line of text"),
    (written(feature({"node": 1}), feature({"node": 1, "ink": "moss"}, [OTHER])), "own.geojson, feature 1: takes 'moss', the same shape's feature 0 takes 'clay'"),
    (written(feature({"node": 1, "label": "a-1/b"}), feature({"node": 1, "label": "a-1/c"}, [OTHER])), "own.geojson, feature 1: is named 'a-1/c'"),
    (written(feature({"node": 1, "label": "a-1/b"}), feature({"node": 2, "label": "a-1/b"}, [OTHER])), "own.geojson, feature 1: is named 'a-1/b', and so is feature 0"),
    (written(feature({"node": 1}), feature({"node": 1})), "own.geojson, feature 0: and others of its node lie on each other"),
    (written(feature({}, [], "Point")), "own.geojson, feature 0: is neither a Polygon nor a MultiPolygon"),
    (written(feature({}, [])), "own.geojson, feature 0: has no coordinates"),
    (written(feature({}, [], "MultiPolygon")), "own.geojson, feature 0: has no coordinates"),
    (written(feature({}, [RING[:3]])), "own.geojson, feature 0: has a ring of fewer than four points"),
    (written(feature({}, [[*RING[:4], [0, 1]]])), "own.geojson, feature 0: has a ring that does not end where it begins"),
    (written(feature({}, [[[0, "1"], *RING[1:]]])), "own.geojson, feature 0: has a point that is not two numbers"),
    (written(feature({}, [[[0], *RING[1:]]])), "own.geojson, feature 0: has a point that is not two numbers"),
    (written(feature({}, [[[0, 10**400], *RING[1:]]])), "own.geojson, feature 0: has a point that lies beyond any sheet"),
    (written(feature({}, [[[0, 0], [4, 0], [2, 0], [0, 0]]])), "own.geojson, feature 0: has no area"),
    (written(feature({}, [[[0, 0], [4, 3], [4, 0], [0, 2], [0, 0]]])), "own.geojson, feature 0: has an outline that crosses itself"),
    (written(feature(), inks=[{"name": "moss"}]), "own.geojson, feature 0: takes 'clay', which is not among the plan's inks"),
    (written(feature(), version=0), 'own.geojson, head: "version" is no whole number'),
    (written(feature(), unit="in"), 'own.geojson, head: "unit" is not "mm"'),
    (written(feature(), wraps="yes"), 'own.geojson, head: "wraps" is neither true nor false'),
    (written(feature(), cell=[1]), 'own.geojson, head: "cell" is not width and height'),
    (written(feature(), cell=[1, -1]), 'own.geojson, head: "cell" is not width and height in mm'),
    (written(feature(), inks={}), 'own.geojson, head: "inks" is no list'),
    (written(feature(), inks=[{}]), "own.geojson, head: ink 1 has no name"),
    (written(feature(), inks=[{"name": "clay"}, {"name": "clay"}]), "own.geojson, head: two inks are named 'clay'"),
    (written(feature(), colour_repeat=[0, 1]), 'own.geojson, head: "colour_repeat" is neither'),
    (written(feature(), ground=7), 'own.geojson, head: "ground" is no line of text'),
    (b'{"type": "FeatureCollection", "mockup": 3, "features": [{}]}', 'own.geojson, head: "mockup" is no object'),
]  # fmt: skip


@pytest.mark.parametrize(("content", "line"), FILES, ids=[line[12:60] for _, line in FILES])
def test_every_fault_is_told_with_its_feature(content: bytes, line: str) -> None:
    assert refused(content).startswith(line)


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="cannot be read: no such file"):
        read_plan(tmp_path / "own.geojson")
    with pytest.raises(FileError, match="cannot be read: is a directory"):
        read_plan(tmp_path)


STRANGE: list[Any] = [
    None,
    True,
    0,
    -1,
    1e308,
    10**30,
    "",
    "x",
    [],
    {},
    [[]],
    [[[0, 0]]],
    "a\nb",
    0.5,
    [1, 2],
    [None],
    {"a": 1},
]


def places(value: object, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in a value of JSON."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path] * bool(path) + [found for key, one in inner for found in places(one, (*path, key))]


@given(st.data())
def test_whatever_stands_anywhere_is_read_or_told_in_one_line(data: st.DataObject) -> None:
    nodes = [PlanNode("a-1/b", "a", "b", "clay", False, rectangle(0, 0, 4, 3), "skin")]
    told = json.loads(plan_file(HEAD, nodes))
    *way, last = data.draw(st.sampled_from(places(told)))
    inner = told
    for key in way:
        inner = inner[key]
    inner[last] = data.draw(st.sampled_from(STRANGE))
    content = json.dumps(told).encode()
    try:
        parse_plan(content, "own.geojson")
    except FileError:
        assert refused(content).startswith("own.geojson")
