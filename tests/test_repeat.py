"""Places of a tile: filling order, usual grid, centring, turn and scale."""

import math
from fractions import Fraction

import numpy as np
import pytest
from builders import disc, motif, square
from hypothesis import given
from hypothesis import strategies as st

from mockup.errors import DesignError
from mockup.geometry import shapes
from mockup.geometry.shapes import box_of, moved
from mockup.pattern.motif import Motif
from mockup.pattern.repeat import Layout, Setting, lattice_of, lay_drawing, lay_out


def settings(count: int) -> list[Setting]:
    return [Setting(motif(square(3, 4, 2 + number), name=f"m{number}")) for number in range(count)]


def middles(layout: Layout) -> list[tuple[float, float]]:
    """Middle of each placed motif's box."""
    found = []
    for placed in layout.placed:
        x0, y0, x1, y1 = box_of(moved(part.shape, placed.transform) for part in placed.motif.parts)
        found.append(((x0 + x1) / 2, (y0 + y1) / 2))
    return found


def test_places_are_filled_row_by_row_and_over_again() -> None:
    layout = lay_out(settings(4), "straight", tile=(60, 40), grid=(3, 2))
    assert [placed.motif.name for placed in layout.placed] == ["m0", "m1", "m2", "m3", "m0", "m1"]
    assert [placed.name for placed in layout.placed] == ["m0-1", "m1-1", "m2-1", "m3-1", "m0-2", "m1-2"]
    wanted = [(10, 10), (30, 10), (50, 10), (10, 30), (30, 30), (50, 30)]
    assert np.allclose(middles(layout), wanted)


@pytest.mark.parametrize(
    ("count", "tile", "grid"),
    [
        (1, None, (1, 1)),
        (4, None, (2, 2)),
        (6, None, (3, 2)),
        (6, (40.0, 60.0), (2, 3)),
        (12, None, (4, 3)),
        (5, (100.0, 20.0), (5, 1)),
        (5, (20.0, 100.0), (1, 5)),
        (8, (90.0, 30.0), (4, 2)),
    ],
)
def test_the_usual_grid_is_the_fewest_places_nearest_to_square(
    count: int, tile: tuple[float, float] | None, grid: tuple[int, int]
) -> None:
    layout = lay_out(settings(count), "straight", tile=tile)
    assert layout.grid == grid
    assert len(layout.placed) == count


@given(st.integers(1, 40), st.floats(10, 300), st.floats(10, 300))
def test_no_other_grid_of_as_many_places_has_squarer_places(count: int, width: float, height: float) -> None:
    across, down = lay_out(settings(count), "straight", tile=(width, height)).grid
    assert across * down == count

    def oblong(columns: int) -> float:
        return abs(math.log((width / columns) / (height / (count // columns))))

    assert oblong(across) <= min(oblong(c) for c in range(1, count + 1) if count % c == 0) + 1e-6


def test_too_few_places_are_refused() -> None:
    with pytest.raises(DesignError) as refusal:
        lay_out(settings(5), "straight", grid=(2, 2))
    assert (
        str(refusal.value)
        == "a grid of 2 x 2 has 4 places for 5 motifs; give it more places, or leave grid out"
    )


@given(st.floats(0.1, 4), st.floats(-360, 360))
def test_a_motif_turns_and_grows_about_the_middle_of_its_box(scale: float, turn: float) -> None:
    drawn = motif(shapes.rectangle(7, 3, 15, 9), shapes.rectangle(9, 5, 11, 6))
    layout = lay_out([Setting(drawn, scale, turn)], "straight", tile=(50, 30))
    placed = layout.placed[0]
    corners = placed.transform.apply(np.array([[7.0, 3.0], [15.0, 9.0]]))
    assert corners.mean(axis=0) == pytest.approx([25, 15])
    assert math.dist(*corners) == pytest.approx(10 * scale)
    direction = math.degrees(math.atan2(*(corners[1] - corners[0])[::-1])) - math.degrees(math.atan2(6, 8))
    assert math.remainder(direction - turn, 360) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    ("repeat", "drop", "steps"),
    [
        ("straight", None, ((60, 0), (0, 40))),
        ("half-drop", None, ((60, 20), (0, 40))),
        ("half-drop", Fraction(1, 3), ((60, 40 / 3), (0, 40))),
        ("brick", None, ((60, 0), (30, 40))),
        ("brick", Fraction(2, 5), ((60, 0), (24, 40))),
    ],
)
def test_how_repeats_step(
    repeat: str, drop: Fraction | None, steps: tuple[tuple[float, float], tuple[float, float]]
) -> None:
    lattice = lattice_of(repeat, (60, 40), drop)
    assert lattice.shift(1, 0) == pytest.approx(steps[0])
    assert lattice.shift(0, 1) == pytest.approx(steps[1])


def test_a_tile_left_out_follows_from_the_motifs() -> None:
    spot = Setting(motif(disc(0, 0, 5, 90)))
    sparse = lay_out([spot] * 4, coverage=0.2, gap=0.0)
    assert sparse.lattice.width == sparse.lattice.height == 2 * math.ceil(math.sqrt(math.pi * 25 / 0.2))
    tight = lay_out([spot] * 4, coverage=0.99, gap=1.5)
    assert tight.lattice.width == 2 * 12
    # the largest box and the gap fit into a place, so that nothing overlaps
    mixed = lay_out([spot, Setting(motif(square(0, 0, 3)))], coverage=0.9, gap=2.0)
    assert min(mixed.lattice.width / mixed.grid[0], mixed.lattice.height / mixed.grid[1]) >= 12


def test_a_drawing_is_one_tile_of_its_own_size() -> None:
    drawing = Motif("own", 80.0, 60.0, motif(square(10, 10, 5)).elements, ())
    layout = lay_drawing(drawing, "brick", scale=0.5)
    assert (layout.lattice.width, layout.lattice.height) == (40, 30)
    assert layout.lattice.shift(0, 1) == (20, 30)
    assert np.allclose(middles(layout), [(6.25, 6.25)])
