"""Colours as others see them: deficiencies of colour vision, and greys of the same value."""

import csv
import itertools
import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colour.coding import linear_from_srgb, srgb_from_linear
from mockup.colour.contrast import relative_luminance
from mockup.colour.conversion import Colour, from_lab, from_srgb, read_colour
from mockup.colour.difference import FloatArray, ciede2000, differences
from mockup.colour.vision import (
    DEFICIENCIES,
    Lookalikes,
    deficiency_matrix,
    falls_together,
    grey,
    seen,
    seen_linear,
)

PUBLISHED = Path(__file__).parent / "data" / "published"
colours = st.tuples(*[st.floats(0.0, 1.0)] * 3).map(from_srgb)
names = st.sampled_from(DEFICIENCIES)
severities = st.floats(0.0, 1.0)


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def matrices() -> dict[str, dict[str, dict[str, list[list[float]]]]]:
    found: dict[str, dict[str, dict[str, list[list[float]]]]] = json.loads(
        (PUBLISHED / "cvd_matrices.json").read_text(encoding="utf-8")
    )
    return found


def vienot(name: str) -> FloatArray:
    """Viénot, Brettel, Mollon 1999: another model, for protan and deutan."""
    return np.array(matrices()["vienot1999"][name], dtype=np.float64)


def by_vienot(shown: list[Colour], name: str) -> tuple[Colour, ...]:
    light = linear_from_srgb([colour.srgb for colour in shown]) @ vienot(name).T
    return tuple(from_srgb(row) for row in np.clip(srgb_from_linear(np.clip(light, 0, 1)), 0, 1).tolist())


# Properties


@given(st.floats(0.0, 1.0), names, severities)
def test_greys_stay(level: float, name: str, severity: float) -> None:
    assert seen_linear([level] * 3, name, severity) == pytest.approx(level, abs=4e-6)
    (shown,) = seen([from_srgb([level] * 3)], name, severity)
    assert shown.srgb == pytest.approx([level] * 3, abs=5e-5)


@given(colours, names)
def test_severity_0_sees_all(colour: Colour, name: str) -> None:
    (shown,) = seen([colour], name, 0.0)
    assert shown.srgb == pytest.approx(colour.srgb, abs=1e-6)
    assert deficiency_matrix(name, 0.0).tolist() == np.eye(3).tolist()


@given(st.lists(st.tuples(*[st.floats(0.0, 1.0)] * 3), min_size=1, max_size=5), names, severities)
def test_what_is_seen_is_a_picture_again(pixels: list[tuple[float, ...]], name: str, severity: float) -> None:
    picture = np.array(pixels)[:, None, :]
    light = seen_linear(picture, name, severity)
    assert light.shape == picture.shape
    assert (light >= 0.0).all()
    assert (light <= 1.0).all()
    assert light[0, 0] == pytest.approx(seen_linear(pixels[0], name, severity), abs=1e-12)


@given(names, severities)
def test_between_the_steps_matrices_are_interpolated(name: str, severity: float) -> None:
    low = min(int(severity * 10), 9)
    one, two = (deficiency_matrix(name, step / 10) for step in (low, low + 1))
    weight = severity * 10 - low
    assert deficiency_matrix(name, severity) == pytest.approx((1 - weight) * one + weight * two, abs=1e-9)


@given(st.lists(colours, max_size=5), names, severities)
def test_colours_are_seen_as_light_is(shown: list[Colour], name: str, severity: float) -> None:
    for colour, other in zip(shown, seen(shown, name, severity), strict=True):
        light = seen_linear(linear_from_srgb(colour.srgb), name, severity)
        assert linear_from_srgb(other.srgb) == pytest.approx(light, abs=1e-6)


@given(st.lists(colours, max_size=5), names, st.floats(0.0, 30.0), severities)
def test_pairs_that_fall_together_are_just_those(
    shown: list[Colour], name: str, limit: float, severity: float
) -> None:
    found = falls_together(shown, name, limit, severity)
    after = seen(shown, name, severity)
    expected = [
        (i, j)
        for i, j in itertools.combinations(range(len(shown)), 2)
        if severity > 0.0 and ciede2000(shown[i], shown[j]) >= limit > ciede2000(after[i], after[j])
    ]
    assert [pair[:2] for pair in found] == expected
    for one, other, before, seen_so in found:
        assert before == pytest.approx(ciede2000(shown[one], shown[other]), abs=1e-6)
        assert seen_so == pytest.approx(ciede2000(after[one], after[other]), abs=1e-6)


def test_a_picture_of_nothing_and_a_palette_of_nothing() -> None:
    assert seen((), "protan") == ()
    assert falls_together((), "protan", 10.0) == []
    assert seen_linear(np.zeros((0, 4, 3)), "tritan").shape == (0, 4, 3)


def test_two_colours_beyond_srgb_are_compared_as_shown() -> None:
    vivid = [read_colour("lab(55 -60 -5)"), read_colour("lab(55 -75 -7)")]
    shown = [from_srgb(colour.srgb) for colour in vivid]
    assert ciede2000(*vivid) > 3.0 > ciede2000(*shown)
    assert falls_together(vivid, "tritan", 3.0, 0.0) == []
    assert falls_together(vivid, "protan", 3.0) == []


@given(
    st.tuples(st.floats(0.0, 100.0), st.floats(-90.0, 90.0), st.floats(-90.0, 90.0)).map(from_lab) | colours
)
def test_a_grey_keeps_the_lightness_and_nothing_else(colour: Colour) -> None:
    plain = grey(colour)
    assert plain.lightness == pytest.approx(colour.lightness, abs=1e-9)
    assert plain.chroma < 0.01
    assert max(plain.srgb) - min(plain.srgb) < 1e-3
    assert plain.loss == 0.0


@given(colours)
def test_a_grey_is_as_bright_as_its_colour(colour: Colour) -> None:
    assert relative_luminance(grey(colour)) == pytest.approx(relative_luminance(colour), abs=2e-4)


def test_a_grey_is_no_mean_of_channels() -> None:
    blue, yellow = grey(read_colour("#0000ff")), grey(read_colour("#ffff00"))
    assert (blue.hex, yellow.hex) == ("#4c4c4c", "#f7f7f7")  # the mean would be #555555 and #aaaaaa


@pytest.mark.parametrize(
    ("name", "severity", "why"),
    [
        ("red", 1.0, "'red' is no deficiency; they are protan, deutan, tritan"),
        ("protan", 1.1, "a severity is a number from 0 to 1, not 1.1"),
        ("protan", float("nan"), "a severity is a number from 0 to 1, not nan"),
    ],
)
def test_what_cannot_be_is_refused(name: str, severity: float, why: str) -> None:
    with pytest.raises(ValueError, match=f"^{why}$"):
        deficiency_matrix(name, severity)
    with pytest.raises(ValueError, match=f"^{why}$"):
        seen([read_colour("red")], name, severity)


def test_light_needs_three_channels() -> None:
    with pytest.raises(ValueError, match=r"^linear light needs a last axis of 3, not the shape \(4,\)$"):
        seen_linear([0.0] * 4, "protan")


# Published values; the sources are in the files' headers


@pytest.mark.parametrize("name", DEFICIENCIES)
def test_the_matrices_of_machado_oliveira_and_fernandes(name: str) -> None:
    steps = matrices()["machado2009"][name]
    assert [float(step) for step in steps] == pytest.approx([i / 10 for i in range(11)])
    for step, matrix in steps.items():
        assert deficiency_matrix(name, float(step)) == pytest.approx(np.array(matrix), abs=1e-6)


def signed_code(light: FloatArray) -> FloatArray:
    """Code linear light without clipping, as the file's raw columns are."""
    size = np.abs(light)
    return (
        255.0 * np.sign(light) * np.where(size <= 0.0031308, 12.92 * size, 1.055 * size ** (1 / 2.4) - 0.055)
    )


def channels(hexadecimal: str) -> FloatArray:
    return np.array([int(hexadecimal[at : at + 2], 16) for at in (1, 3, 5)], dtype=np.float64)


@pytest.mark.parametrize("name", DEFICIENCIES)
@pytest.mark.parametrize("severity", ["0.5", "1.0"])
def test_samples_of_machado(name: str, severity: str) -> None:
    kind = ("machado", name, severity)
    samples = [r for r in published("cvd_samples.csv") if (r["method"], r["type"], r["severity"]) == kind]
    assert len(samples) == {"0.5": 8, "1.0": 19}[severity]
    for row in samples:
        given_colour = read_colour(row["in_hex"])
        (shown,) = seen([given_colour], name, float(severity))
        assert np.abs(channels(shown.hex) - channels(row["out_hex"])).max() <= 1.0
        light = deficiency_matrix(name, float(severity)) @ linear_from_srgb(given_colour.srgb)
        raw = [float(row[f"raw_{channel}"]) for channel in "rgb"]
        assert signed_code(light) == pytest.approx(raw, abs=1e-2)


@pytest.mark.parametrize("name", ["protan", "deutan"])
def test_samples_of_vienot_show_that_the_second_model_is_applied_right(name: str) -> None:
    samples = [r for r in published("cvd_samples.csv") if (r["method"], r["type"]) == ("vienot", name)]
    assert len(samples) == 19
    shown = by_vienot([read_colour(row["in_hex"]) for row in samples], name)
    for row, colour in zip(samples, shown, strict=True):
        assert np.abs(channels(colour.hex) - channels(row["out_hex"])).max() <= 1.0


def test_no_sample_is_left_out() -> None:
    rows = published("cvd_samples.csv")
    assert len(rows) == 3 * (8 + 19) + 2 * 19
    assert {row["method"] for row in rows} == {"machado", "vienot"}


# Two models on two well-known sets of colours

#: Okabe and Ito, "Color Universal Design", 2002 and 2008: from memory; four of them are in cvd_samples.csv too.
OKABE_ITO = ["#000000", "#e69f00", "#56b4e9", "#009e73", "#f0e442", "#0072b2", "#d55e00", "#cc79a7"]
TOLD = 10.0  # CIEDE2000 by which colours in a pattern are told apart with ease


def chart() -> dict[str, Colour]:
    return {row["name"]: read_colour(row["hex_post"]) for row in published("colorchecker24.csv")}


def test_the_last_four_samples_are_of_the_okabe_ito_set() -> None:
    known = [row["in_hex"] for row in published("cvd_samples.csv") if row["method"] == "vienot"][15:19]
    assert len(known) == 4
    assert set(known) < set(OKABE_ITO)


@pytest.mark.parametrize("name", DEFICIENCIES)
def test_the_okabe_ito_set_stays_apart(name: str) -> None:
    palette = [read_colour(text) for text in OKABE_ITO]
    for severity in (0.3, 0.6, 1.0):
        assert falls_together(palette, name, TOLD, severity) == []
    if name != "tritan":
        after = differences(by_vienot(palette, name))
        assert after[np.triu_indices(8, 1)].min() > TOLD


@pytest.mark.parametrize(
    ("name", "one", "other"),
    [("deutan", "moderate red", "green"), ("deutan", "red", "green"), ("protan", "orange", "green")],
)
def test_red_and_green_of_like_lightness_fall_together(name: str, one: str, other: str) -> None:
    pair = [chart()[one], chart()[other]]
    ((_, _, before, after),) = falls_together(pair, name, TOLD)
    assert before > 20.0
    assert after < TOLD
    assert ciede2000(*by_vienot(pair, name)) < TOLD
    assert falls_together(pair, "tritan", TOLD) == []


@pytest.mark.parametrize("name", ["protan", "deutan"])
@pytest.mark.parametrize("limit", [5.0, 8.0, 10.0, 12.0])
def test_two_models_agree_which_patches_of_a_chart_fall_together(name: str, limit: float) -> None:
    patches = list(chart().values())
    plain, after = differences(patches), differences(by_vienot(patches, name))
    found = {(pair.one, pair.other) for pair in falls_together(patches, name, limit)}
    pairs = itertools.combinations(range(24), 2)
    others = {(i, j) for i, j in pairs if plain[i, j] >= limit > after[i, j]}
    assert len(found & others) >= 5
    assert all(abs(after[pair] - limit) < 2.5 for pair in found ^ others)  # only where it is touch and go
    assert len(found ^ others) <= 2


def test_a_pair_is_told_by_its_places_and_both_differences() -> None:
    patches = chart()
    palette = [patches["white 9.5 (.05 D)"], patches["moderate red"], patches["green"]]
    ((pair),) = falls_together(palette, "deutan", 8.0)
    after = seen(palette, "deutan")
    assert isinstance(pair, Lookalikes)
    assert (pair.one, pair.other) == (1, 2)
    assert pair.before == pytest.approx(ciede2000(palette[1], palette[2]), abs=1e-9)
    assert pair.after == pytest.approx(ciede2000(after[1], after[2]), abs=1e-9)
