"""The grain of paper: seen, fine, of one size at every resolution, and of no colour on the mean."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from small import DRAWN, changed, write_design

from mockup.colour.conversion import from_srgb
from mockup.colour.difference import ciede2000
from mockup.jobs.preview import preview_design
from mockup.rendering.grain import grained


def flat(
    colour: tuple[int, int, int], side: int = 256
) -> np.ndarray[tuple[int, int, int], np.dtype[np.uint8]]:
    return np.full((side, side, 3), colour, np.uint8)


@settings(max_examples=25)
@given(st.tuples(*[st.integers(0, 255)] * 3), st.sampled_from([72.0, 150.0, 300.0, 600.0]))
def test_it_leaves_every_colour_as_it_is_on_the_mean(colour: tuple[int, int, int], dpi: float) -> None:
    mean = grained(flat(colour), (dpi, dpi)).reshape(-1, 3).mean(axis=0) / 255
    off = ciede2000(from_srgb([part / 255 for part in colour]), from_srgb(mean.tolist()))
    assert off < 0.5


def test_it_can_be_seen_and_is_no_stronger_than_a_whisper() -> None:
    uneven = grained(flat((200, 150, 90)), (300.0, 300.0)).astype(float) - (200, 150, 90)
    assert 1 < uneven[..., 0].std() < 3
    assert np.abs(uneven).max() <= 4
    assert (uneven[..., 0] == uneven[..., 2]).all()  # lighter and darker, never of another hue


def test_it_is_as_coarse_at_every_resolution() -> None:
    coarse = grained(flat((128, 128, 128), 200), (150.0, 150.0))
    fine = grained(flat((128, 128, 128), 400), (300.0, 300.0))
    assert (coarse == fine[::2, ::2]).all()


def test_a_preview_has_it_only_where_asked_and_only_on_pixels(tmp_path: Path) -> None:
    plain = preview_design(write_design(tmp_path), tmp_path / "plain.png", dpi=100)
    path = write_design(tmp_path, changed(DRAWN, sheet={"grain": "true"}))
    said: list[str] = []
    uneven = preview_design(path, tmp_path / "uneven.png", dpi=100, say=said.append)
    one, other = (np.asarray(Image.open(file)).astype(int) for file in (plain, uneven))
    assert one[2, 2].tolist() == [253, 252, 248]
    assert 0 < np.abs(one - other).max() <= 4
    assert not said
    for ending in (".svg", ".pdf"):
        preview_design(path, tmp_path / f"uneven{ending}", say=said.append)
    assert said == [f"the grain of the paper shows in a PNG, not in {name}" for name in ("SVG", "PDF")]
    assert "<image" not in (tmp_path / "uneven.svg").read_text()


@pytest.mark.parametrize("rows", [1, 255, 600])
def test_bands_of_rows_leave_no_seam(rows: int) -> None:
    whole = grained(np.full((700, 64, 3), 128, np.uint8), (300.0, 300.0))
    assert (grained(np.full((rows, 64, 3), 128, np.uint8), (300.0, 300.0)) == whole[:rows]).all()
