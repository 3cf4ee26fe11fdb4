"""Mirror and turned repeats: what a block holds, how its tiles are named, and how colours repeat over them."""

from pathlib import Path

import pytest
from small import Tables, changed, spreading_of, write_design

from mockup.errors import DesignError
from mockup.geometry.affine import Affine, translation
from mockup.geometry.shapes import area, moved, union
from mockup.jobs.plan import plan_bytes
from mockup.pattern.motif_library import library_motif
from mockup.pattern.regions import visible
from mockup.pattern.repeat import Setting, lay_out

FLIPPED: Tables = {
    "sheet": {"size": "[120, 120]"},
    "pattern": {"motifs": '["acorn"]', "repeat": '"mirror"', "tile": "[14, 18]"},
    "colouring": {"ground": '"light"', "colour_repeat": "[2, 2]"},
}


@pytest.mark.parametrize(
    ("repeat", "unit", "maps"),
    [
        ("mirror", (2, 2), [Affine(a=-1.0), Affine(d=-1.0), Affine(a=-1.0, d=-1.0)]),
        ("turned", (2, 1), [Affine(a=-1.0, d=-1.0, e=0.0, f=30.0)]),
    ],
)
def test_a_block_keeps_its_symmetries(repeat: str, unit: tuple[int, int], maps: list[Affine]) -> None:
    layout = lay_out([Setting(library_motif("bell"), turn=20)], repeat, tile=(40, 30))
    assert layout.lattice.unit == unit
    assert layout.lattice.tile == (40, 30)
    assert len(layout.placed) == unit[0] * unit[1]
    tile = visible(layout)
    width, height = layout.lattice.size(1, 1)
    whole = union(
        moved(node.seen, translation(x * width, y * height))
        for node in tile.nodes
        for x in (-1, 0, 1)
        for y in (-1, 0, 1)
    )
    one = union(node.seen for node in tile.nodes)
    for flip in maps:
        image = moved(
            one, translation(width if flip.a < 0 else 0, height if flip.d < 0 and not flip.f else 0) @ flip
        )
        assert area(union([image, whole])) == pytest.approx(area(whole), rel=1e-6)


def test_flipped_tiles_are_named_by_column_and_row(tmp_path: Path) -> None:
    labels = {row.label for row in spreading_of(write_design(tmp_path, FLIPPED)).rows}
    assert labels == {
        f"acorn-1{tile}/{part}" for tile in ("", "@2,1", "@1,2", "@2,2") for part in ("nut", "cup")
    }


def test_a_place_without_tile_means_every_copy(tmp_path: Path) -> None:
    path = write_design(tmp_path, changed(FLIPPED, colouring={"fixed": '{ "acorn-1/nut" = "clay" }'}))
    found = spreading_of(path)
    inks = [found.piece.palette.every[int(ink)].name for ink in found.plan.inks]
    assert {ink for ink, row in zip(inks, found.rows, strict=True) if row.label.endswith("/nut")} == {"clay"}


@pytest.mark.parametrize("repeat", ["mirror", "turned", "half-drop", "brick"])
def test_one_tile_by_one_inks_every_tile_alike(repeat: str, tmp_path: Path) -> None:
    tables = changed(FLIPPED, pattern={"repeat": f'"{repeat}"'}, colouring={"colour_repeat": "[1, 1]"})
    found = spreading_of(write_design(tmp_path, tables))
    inks: dict[str, set[int]] = {}
    for row, ink in zip(found.rows, found.plan.inks, strict=True):
        inks.setdefault(row.label.rpartition("/")[2], set()).add(int(ink))
    assert all(len(own) == 1 for own in inks.values())
    assert len(found.rows) > 2


def test_other_counts_must_be_multiples(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match=r"needs multiples of 2 x 2; write \[4, 2\]"):
        spreading_of(write_design(tmp_path, changed(FLIPPED, colouring={"colour_repeat": "[3, 2]"})))


@pytest.mark.parametrize("repeat", ["mirror", "p4", "ogee"])
def test_a_plan_comes_back(repeat: str, tmp_path: Path) -> None:
    pattern = {"repeat": f'"{repeat}"', "tile": "40"}
    tables = changed(FLIPPED, pattern=pattern, colouring={"colour_repeat": '"smallest"'})
    written = plan_bytes(spreading_of(write_design(tmp_path, tables)), "")
    (tmp_path / "kept.geojson").write_bytes(written)
    kept = changed(tables, colouring={"plan": '"kept.geojson"'})
    assert plan_bytes(spreading_of(write_design(tmp_path, kept)), "") == written
