"""A published colour chart and the Munsell value scale, against what we make of colours."""

import csv
import itertools
from pathlib import Path

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from mockup.colour.coding import srgb_from_linear
from mockup.colour.contrast import relative_luminance
from mockup.colour.conversion import Colour, from_lab, from_srgb, read_colour
from mockup.colour.difference import ciede2000, ciede2000_lab, differences
from mockup.colour.vision import grey

PUBLISHED = Path(__file__).parent / "data" / "published"
PRINTINGS = ("pre", "post")  # charts made before November 2014, and since


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def measured(row: dict[str, str], printing: str) -> list[float]:
    return [float(row[f"{printing}_{axis}"]) for axis in "Lab"]


def patch(row: dict[str, str], printing: str) -> Colour:
    """Read a patch as an instrument tells it: CSS lab() is under D50, as the chart's columns are."""
    lightness, a, b = measured(row, printing)
    return read_colour(f"lab({lightness} {a} {b})")


def channels(hexadecimal: str) -> list[int]:
    return [int(hexadecimal[at : at + 2], 16) for at in (1, 3, 5)]


# The chart of 24 patches; source and vintage in the file's header


@pytest.mark.parametrize("printing", PRINTINGS)
@pytest.mark.parametrize("row", published("colorchecker24.csv"), ids=lambda row: row["name"])
def test_a_patch_is_shown_in_the_published_srgb(row: dict[str, str], printing: str) -> None:
    """The hex columns follow from the Lab columns, clipped; the printed column does not, and is not compared."""
    colour = patch(row, printing)
    if row["name"] == "cyan":  # beyond sRGB: the file clips it, we keep its lightness and hue
        assert colour.loss > 0.5
        light = Color("lab", measured(row, printing)).convert("srgb").coords()
        shown = [min(max(round(255 * value), 0), 255) for value in light]
    else:
        assert colour.loss == 0.0
        shown = channels(colour.hex)
    assert np.abs(np.subtract(shown, channels(row[f"hex_{printing}"]))).max() <= 1


@pytest.mark.parametrize("printing", PRINTINGS)
@pytest.mark.parametrize("row", published("colorchecker24.csv"), ids=lambda row: row["name"])
def test_a_patch_is_in_or_out_of_gamut_as_another_library_says(row: dict[str, str], printing: str) -> None:
    colour = patch(row, printing)
    oracle = Color("lab", measured(row, printing))
    assert (colour.loss == 0.0) == oracle.in_gamut("srgb", tolerance=0.25 / 255)
    assert colour.lab == pytest.approx(oracle.convert("lab-d65").coords(), abs=1e-6)


def test_d50_is_not_taken_for_d65() -> None:
    """Read with the wrong white, saturated patches would be off by more than the two printings are."""
    rows = published("colorchecker24.csv")
    off = [ciede2000(patch(row, "post"), from_lab(measured(row, "post"))) for row in rows]
    assert max(off) > 2.0
    assert sum(each > 0.5 for each in off) >= 12


def test_the_chart_is_whole() -> None:
    rows = published("colorchecker24.csv")
    assert [int(row["no"]) for row in rows] == list(range(1, 25))


def test_the_two_printings_differ_as_the_file_says() -> None:
    rows = published("colorchecker24.csv")
    before, after = ([measured(row, printing) for row in rows] for printing in PRINTINGS)
    apart = ciede2000_lab(before, after)
    assert apart.max() == pytest.approx(1.95, abs=0.005)
    assert apart.mean() == pytest.approx(0.85, abs=0.005)


def test_differences_between_patches_are_those_of_another_library() -> None:
    patches = [patch(row, "post") for row in published("colorchecker24.csv")]
    table = differences(patches)
    assert table == pytest.approx(table.T, abs=1e-9)
    assert not table.diagonal().any()
    for i, j in itertools.combinations(range(0, 24, 3), 2):
        one, two = (Color("lab-d65", patches[at].lab) for at in (i, j))
        assert table[i, j] == pytest.approx(one.delta_e(two, method="2000"), abs=1e-6)


def test_the_grey_row_falls_in_even_steps_and_is_nearly_grey() -> None:
    row = [patch(each, "post") for each in published("colorchecker24.csv")[18:]]
    steps = -np.diff([colour.lightness for colour in row])
    assert (steps > 13.0).all()
    assert (steps < 17.0).all()
    assert all(colour.chroma < 3.5 for colour in row)
    assert all(ciede2000(colour, grey(colour)) < 4.0 for colour in row)


def test_no_two_patches_of_the_chart_are_taken_for_one() -> None:
    for printing in PRINTINGS:
        table = differences([patch(row, printing) for row in published("colorchecker24.csv")])
        assert table[np.triu_indices(24, 1)].min() > 8.0


# Munsell values; polynomials of ASTM D1535, source in the file's header


@pytest.mark.parametrize("row", published("munsell_value_Y.csv"), ids=lambda row: f"value {row['V']}")
def test_the_lightness_of_a_munsell_value(row: dict[str, str]) -> None:
    luminance, lightness = float(row["Y_D1535"]) / 100.0, float(row["Lstar"])
    shown = from_srgb(srgb_from_linear([luminance] * 3).clip(0.0, 1.0).tolist())
    assert shown.lightness == pytest.approx(lightness, abs=2e-3)  # Y has four decimals
    assert relative_luminance(from_lab((lightness, 0.0, 0.0))) == pytest.approx(luminance, abs=2e-5)
    assert lightness == pytest.approx(10.0 * float(row["V"]), abs=1.1)  # the rule of thumb


def test_the_scale_is_whole_and_rises() -> None:
    rows = published("munsell_value_Y.csv")
    assert len(rows) == 18
    for column in ("V", "Y_D1535", "Lstar"):
        assert (np.diff([float(row[column]) for row in rows]) > 0.0).all()


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_of_two_greys_the_one_of_more_light_is_lighter(one: float, two: float) -> None:
    dark, light = (from_srgb([level] * 3) for level in sorted((one, two)))
    assert dark.lightness <= light.lightness + 1e-9
    assert relative_luminance(dark) <= relative_luminance(light)
