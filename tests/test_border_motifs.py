"""Borders of motifs: the seven frieze groups, whole repeats on every side, made corners, one ink."""

import json
from pathlib import Path

import numpy as np
import pytest
import shapely
from small import Tables, changed, spreading_of, write_design

from mockup.errors import DesignError
from mockup.geometry.affine import Affine, translation
from mockup.geometry.shapes import area, box_of, difference, moved, rectangle, union
from mockup.pattern.frieze import FRIEZES, frieze, run
from mockup.pattern.motif_library import library_motif

GROUPS = json.loads((Path(__file__).parent / "data" / "published" / "frieze_groups.json").read_text())[
    "groups"
]

SHEET: Tables = {
    "sheet": {"size": "[150, 120]", "margin": "5"},
    "pattern": {"motifs": '["leaflet", "acorn"]'},
    "colouring": {"ground": '"light"', "colour_repeat": "[2, 1]"},
    "border": {"style": '"motifs"', "motifs": '["bell", "floret"]', "width": "10"},
}


def _read(text: str) -> tuple[float, float, float]:
    """Signs of x and y, and the shift along, of one published position."""
    x, y = text.split(",")
    return (
        (-1.0 if x.startswith("-") else 1.0),
        (-1.0 if y.startswith("-") else 1.0),
        0.5 if "1/2" in x else 0.0,
    )


def test_the_groups_are_those_of_the_tables() -> None:
    assert list(FRIEZES) == [group["ite_symbol"] for group in GROUPS]
    for group in GROUPS:
        ours = {(own.a, own.d, own.e % 1) for own in FRIEZES[group["ite_symbol"]]}
        assert ours == {_read(text) for text in group["positions"]}
        assert all(own.b == own.c == own.f == 0 for own in FRIEZES[group["ite_symbol"]])


@pytest.mark.parametrize("group", list(FRIEZES))
def test_a_strip_keeps_every_operation_of_its_group(group: str) -> None:
    length, width = 240.0, 10.0
    strip = run([library_motif("bell")], length, width, group)
    whole = union(strip.fills)
    per = len(strip.fills) // len(FRIEZES[group])
    step = length / per
    middle = rectangle(3 * step, 0, length - 3 * step, width)
    assert per > 7
    for image in FRIEZES[group]:
        for place in range(-1, 2):
            own = Affine(a=image.a, d=image.d, e=(image.e + place) * step)
            if image.a < 0:
                own = translation(step * per, 0) @ own
            turned = moved(whole, translation(0, width / 2) @ own @ translation(0, -width / 2))
            inside = shapely.intersection(turned, middle)
            assert area(shapely.intersection(whole, middle)) == pytest.approx(area(inside), rel=1e-6)
            assert shapely.symmetric_difference(inside, shapely.intersection(whole, middle)).area < 0.05


@pytest.mark.parametrize("group", list(FRIEZES))
def test_every_side_has_whole_repeats_inside_its_band(group: str) -> None:
    outer = (4.0, 6.0, 160.0, 118.0)
    strip = frieze([library_motif("bell"), library_motif("floret")], outer, 12.0, group)
    band = difference(rectangle(*outer), rectangle(16.0, 18.0, 148.0, 106.0))
    for fill in strip.fills:
        assert area(difference(fill, band)) < 1e-6
    apart = [shapely.distance(a, b) for n, a in enumerate(strip.fills) for b in strip.fills[:n]]
    assert min(apart) > 0.1
    assert (len(strip.fills) - 4) % len(FRIEZES[group]) == 0


def test_corners_lie_on_the_diagonal() -> None:
    strip = frieze([library_motif("bell"), library_motif("floret")], (0.0, 0.0, 100.0, 80.0), 10.0)
    boxes = np.array([box_of([fill]) for fill in strip.fills])
    middles = (boxes[:, :2] + boxes[:, 2:]) / 2
    for corner in ((5, 5), (95, 5), (95, 75), (5, 75)):
        assert np.abs(middles - corner).max(axis=1).min() < 0.5


def test_a_side_too_short_is_refused() -> None:
    with pytest.raises(DesignError, match="the border's motifs need"):
        frieze([library_motif("swallow")], (0.0, 0.0, 60.0, 60.0), 25.0, "p2mg")


def test_the_border_takes_the_darkest_ink_unless_that_is_the_ground(tmp_path: Path) -> None:
    light = spreading_of(write_design(tmp_path, SHEET)).piece
    assert light.border is not None
    assert light.border.colour == light.palette.darkest.colour.hex
    assert light.border.gap == 0
    assert light.border.strip is not None
    dark = spreading_of(write_design(tmp_path, changed(SHEET, colouring={"ground": '"dark"'}))).piece
    assert dark.border is not None
    assert dark.palette.dominant is not None
    assert dark.border.colour == dark.palette.dominant.colour.hex
    assert dark.border.gap > 0
