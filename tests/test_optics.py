"""Films, scattering layers, surfaces and halftones: properties, then 131 worked values."""

import csv
import re
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.colour import optics
from mockup.colour.difference import FloatArray
from mockup.colour.optics import Coating, kubelka_munk, on_ground, over_paper, transmittance

PUBLISHED = Path(__file__).parent / "data" / "published"
part = st.floats(0.0, 1.0)
light = st.floats(0.01, 1.0)
amount = st.floats(0.0, 5.0)
thick = st.floats(0.0, 4.0)
spread = st.floats(1.0, 6.0)


def alike(one: Coating, other: Coating, within: float = 1e-9) -> None:
    for first, second in zip(one, other, strict=True):
        assert first == pytest.approx(second, abs=within)


# Films


@given(light, st.floats(0.05, 1.0))
def test_transmittance_undoes_one_film(paper: float, through: float) -> None:
    assert transmittance(over_paper(through, paper, 1.0), paper) == pytest.approx(through, abs=1e-9)


@given(light, light, st.floats(0.0, 3.0), st.floats(0.0, 3.0))
def test_films_add_up(paper: float, through: float, one: float, two: float) -> None:
    at_once = over_paper(through, paper, one + two)
    assert over_paper(through, over_paper(through, paper, one), two) == pytest.approx(at_once, abs=1e-9)


@given(light, light, amount, amount)
def test_more_films_are_never_lighter(paper: float, through: float, one: float, more: float) -> None:
    assert over_paper(through, paper, one + more) <= over_paper(through, paper, one) <= paper


def test_a_film_lighter_than_its_paper_is_clear() -> None:
    assert transmittance([0.5, 0.9, 0.0], [0.4, 0.9, 0.0]).tolist() == [1.0, 1.0, 1.0]


@given(light, light, light, st.floats(0.0, 3.0))
def test_densities_add_up_as_films_do(paper: float, one: float, two: float, films: float) -> None:
    both = optics.density(over_paper(one, over_paper(two, paper, films), films), paper)
    each = [optics.density(over_paper(through, paper, films), paper) for through in (one, two)]
    assert both == pytest.approx(sum(each), abs=1e-9)


@given(st.floats(1e-4, 1.0), light)
def test_a_density_gives_its_reflectance_again(reflectance: float, paper: float) -> None:
    assert optics.from_density(optics.density(reflectance, paper), paper) == pytest.approx(
        reflectance, abs=1e-12
    )


def test_nothing_coming_back_is_infinitely_dense() -> None:
    assert optics.density([0.0, 1.0]).tolist() == [np.inf, 0.0]
    assert optics.from_density(np.inf) == 0.0


# Layers that scatter


@given(amount, amount, thick, thick)
def test_two_layers_are_one_of_both_thicknesses(k: float, s: float, one: float, two: float) -> None:
    stacked = optics.combined(kubelka_munk(k, s, one), kubelka_munk(k, s, two))
    alike(stacked, kubelka_munk(k, s, one + two))


@given(st.lists(st.tuples(amount, amount), min_size=3, max_size=3), part)
def test_layers_may_be_bracketed_and_laid_on_the_ground_in_turn(
    pairs: list[tuple[float, float]], ground: float
) -> None:
    top, middle, low = (kubelka_munk(k, s) for k, s in pairs)
    left = optics.combined(optics.combined(top, middle), low)
    alike(left, optics.combined(top, optics.combined(middle, low)))
    in_turn = on_ground(top, on_ground(middle, on_ground(low, ground)))
    assert on_ground(left, ground) == pytest.approx(in_turn, abs=1e-9)


@given(amount, thick, part)
def test_without_scattering_a_layer_is_a_film(k: float, x: float, ground: float) -> None:
    film = over_paper(np.exp(-k * x), ground, 1.0)
    assert on_ground(kubelka_munk(k, 0.0, x), ground) == pytest.approx(film, abs=1e-12)
    assert on_ground(kubelka_munk(k, 1e-9, x), ground) == pytest.approx(film, abs=1e-7)


@given(amount, amount, thick)
def test_what_is_not_absorbed_goes_on_or_comes_back(k: float, s: float, x: float) -> None:
    coating = kubelka_munk(k, s, x)
    assert coating.reflectance + coating.transmittance <= 1.0 + 1e-12
    clear = kubelka_munk(0.0, s, x)
    assert clear.reflectance + clear.transmittance == pytest.approx(1.0, abs=1e-12)
    assert clear.reflectance == pytest.approx(s * x / (s * x + 1.0), abs=1e-12)


@given(amount, st.floats(0.01, 5.0), thick, thick, part)
def test_a_layer_goes_from_the_ground_to_its_own_colour(
    k: float, s: float, x: float, more: float, ground: float
) -> None:
    end = float(optics.infinite_reflectance(k / s))
    thin, thicker = (float(on_ground(kubelka_munk(k, s, d), ground)) for d in (x, x + more))
    assert abs(thicker - end) <= abs(thin - end) + 1e-12 <= abs(ground - end) + 2e-12
    assert min(ground, end) - 1e-12 <= thicker <= max(ground, end) + 1e-12


@given(st.floats(0.01, 5.0), st.floats(0.1, 5.0), part)
def test_a_very_thick_layer_hides_the_ground(k: float, s: float, ground: float) -> None:
    end = optics.infinite_reflectance(k / s)
    assert on_ground(kubelka_munk(k, s, 1e4), ground) == pytest.approx(end, abs=1e-9)


@given(amount, amount, st.floats(0.1, 2.0), part)
def test_it_is_what_the_two_fluxes_add_up_to(k: float, s: float, x: float, ground: float) -> None:
    """Kubelka and Munk's own equation, dR/dx = S - 2(K + S)R + S R², in steps of Runge and Kutta."""

    def slope(r: float) -> float:
        return s - 2.0 * (k + s) * r + s * r * r

    steps, r = 400, ground
    for _ in range(steps):
        h = x / steps
        one = slope(r)
        two = slope(r + h * one / 2.0)
        three = slope(r + h * two / 2.0)
        r += h * (one + 2.0 * two + 2.0 * three + slope(r + h * three)) / 6.0
    assert on_ground(kubelka_munk(k, s, x), ground) == pytest.approx(r, abs=1e-7)


@given(st.floats(0.0, 3.0), st.floats(0.0, 3.0), st.floats(0.05, 2.0))
def test_coefficients_undo_a_layer(k: float, s: float, x: float) -> None:
    absorbed, scattered = optics.coefficients(kubelka_munk(k, s, x))
    assert absorbed == pytest.approx(k * x, abs=1e-6)
    assert scattered == pytest.approx(s * x, abs=1e-6)


@given(st.floats(0.0, 2.0), st.floats(0.0, 2.0), part, part)
def test_two_grounds_tell_a_layer(k: float, s: float, one: float, two: float) -> None:
    if abs(one - two) < 0.1:
        one, two = 0.0, 0.85
    coating = kubelka_munk(k, s, 0.5)
    told = optics.over_two_grounds(on_ground(coating, one), one, on_ground(coating, two), two)
    alike(told, coating, 1e-6)


@given(st.floats(1e-3, 1.0))
def test_k_over_s_and_reflectance_undo_each_other(reflectance: float) -> None:
    ratio = optics.absorption_ratio(reflectance)
    assert optics.infinite_reflectance(ratio) == pytest.approx(reflectance, abs=1e-9)


def test_black_absorbs_without_end() -> None:
    assert optics.absorption_ratio(0.0) == np.inf
    assert optics.infinite_reflectance([np.inf, 0.0, 1e200]) == pytest.approx([0.0, 1.0, 0.0])


@given(st.lists(light, min_size=2, max_size=4), st.integers(0, 3))
def test_a_mixture_lies_between_its_paints_and_a_single_paint_is_itself(
    paints: list[float], which: int
) -> None:
    even = np.full(len(paints), 1.0 / len(paints))
    assert min(paints) - 1e-9 <= optics.mixed(paints, even) <= np.mean(paints) + 1e-9
    only = np.arange(len(paints)) == which % len(paints)
    assert optics.mixed(paints, only) == pytest.approx(paints[which % len(paints)], abs=1e-9)


# Surfaces


@given(part, st.floats(0.0, 0.2), st.floats(0.0, 0.9))
def test_a_surface_can_be_taken_off(internal: float, external: float, inner: float) -> None:
    seen = optics.saunderson(internal, external, inner)
    assert external - 1e-12 <= seen <= 1.0 + 1e-12
    assert optics.saunderson_internal(seen, external, inner) == pytest.approx(internal, abs=1e-9)


@given(part, part)
def test_what_is_lighter_inside_is_lighter_outside(one: float, two: float) -> None:
    dark, bright = (optics.saunderson(value) for value in sorted((one, two)))
    assert dark <= bright + 1e-12


@given(st.floats(1.0, 4.0))
def test_a_surface_mirrors_alike_both_ways(index: float) -> None:
    assert optics.fresnel_normal(index) == pytest.approx(optics.fresnel_normal(1.0 / index), abs=1e-12)
    assert optics.fresnel_normal(1.0) == 0.0


# Halftones


@given(part, light, light, spread)
def test_the_area_undoes_the_dots(area: float, solid: float, paper: float, n: float) -> None:
    seen = optics.yule_nielsen(area, solid, paper, n)
    assert min(solid, paper) - 1e-9 <= seen <= max(solid, paper) + 1e-9
    assert seen <= optics.murray_davies(area, solid, paper) + 1e-9
    if abs(solid - paper) > 0.01:
        assert optics.dot_area(seen, solid, paper, n) == pytest.approx(area, abs=1e-7)


@given(part, light, light, spread)
def test_areas_of_reflectances_and_of_densities_agree(
    area: float, solid: float, paper: float, n: float
) -> None:
    if paper < 1.1 * solid:
        solid, paper = 0.05, 0.85
    seen = optics.yule_nielsen(area, solid, paper, n)
    tint, full = optics.density(seen, paper), optics.density(solid, paper)
    assert optics.dot_area_from_density(np.maximum(tint, 0.0), full, n) == pytest.approx(area, abs=1e-7)


@given(st.lists(part, min_size=1, max_size=5))
def test_the_overlaps_make_up_the_whole_and_each_ink(areas: list[float]) -> None:
    parts = optics.demichel(areas)
    assert parts.shape == (2 ** len(areas),)
    assert (parts >= 0.0).all()
    assert parts.sum() == pytest.approx(1.0, abs=1e-12)
    places = np.arange(len(parts))
    for ink, area in enumerate(areas):
        has = (places >> (len(areas) - 1 - ink)) % 2 == 1
        assert parts[has].sum() == pytest.approx(area, abs=1e-12)


@given(st.lists(part, min_size=8, max_size=8), spread, st.integers(0, 7))
def test_full_areas_show_one_primary(primaries: list[float], n: float, place: int) -> None:
    areas = [float(digit) for digit in f"{place:03b}"]
    assert optics.neugebauer(areas, primaries, n) == pytest.approx(primaries[place], abs=1e-9)


@given(part, light, light, spread)
def test_one_ink_in_dots_is_yule_and_nielsen(area: float, solid: float, paper: float, n: float) -> None:
    assert optics.neugebauer([area], [paper, solid], n) == pytest.approx(
        optics.yule_nielsen(area, solid, paper, n), abs=1e-9
    )


# Arrays, and what is refused


def test_arrays_are_broadcast() -> None:
    k = np.linspace(0.0, 2.0, 3)[:, None]
    s = np.linspace(0.0, 1.0, 4)
    many = on_ground(kubelka_munk(k, s, 0.7), 0.85)
    assert many.shape == (3, 4)
    assert many[2, 1] == on_ground(kubelka_munk(2.0, s[1], 0.7), 0.85)
    areas = np.random.default_rng(5).random((5, 2))
    primaries = np.random.default_rng(6).random((4, 3))
    inks = optics.neugebauer(areas, primaries, 2.0)
    assert inks.shape == (5, 3)
    assert inks[4, 1] == pytest.approx(optics.neugebauer(areas[4], primaries[:, 1], 2.0))


@pytest.mark.parametrize(
    ("call", "why"),
    [
        (lambda: over_paper(0.5, 0.9, -1.0), "the number of films is out of range: -1 to -1"),
        (lambda: optics.density(-0.1), "a reflectance is out of range: -0.1 to -0.1"),
        (lambda: optics.density(0.5, 0.0), "the paper is out of range: 0 to 0"),
        (lambda: kubelka_munk(-1.0, 1.0), "an absorption is out of range: -1 to -1"),
        (lambda: kubelka_munk(1.0, float("nan")), "a scattering is out of range: nan to nan"),
        (lambda: kubelka_munk(1.0, 1.0, np.inf), "a thickness is out of range: inf to inf"),
        (lambda: on_ground(kubelka_munk(1.0, 1.0), [0.2, 1.2]), "the ground is out of range: 0.2 to 1.2"),
        (lambda: optics.over_two_grounds(0.5, 0.8, 0.4, 0.8), "on two different grounds only"),
        (lambda: optics.over_two_grounds(0.2, 0.9, 0.5, 0.0), "no layer looks like this"),
        (
            lambda: optics.coefficients(kubelka_munk(9.0, 9.0, 99.0)),
            "the transmittance of a layer is out of range",
        ),
        (lambda: optics.mixed([0.5, 0.6], [0.5, 0.6]), "do not add up to 1"),
        (lambda: optics.saunderson_internal(0.01), "less that of the surface is out of range"),
        (lambda: optics.saunderson(0.5, 0.04, 1.0), "the part mirrored is out of range"),
        (lambda: optics.yule_nielsen(1.1, 0.1, 0.9), "an area is out of range: 1.1 to 1.1"),
        (lambda: optics.yule_nielsen(0.5, 0.1, 0.9, 0.5), "n is out of range: 0.5 to 0.5"),
        (lambda: optics.dot_area(0.5, 0.9, 0.9), "solid and paper are alike"),
        (lambda: optics.dot_area_from_density(0.1, 0.0), "the density of the solid is out of range"),
        (lambda: optics.demichel(0.5), "a last axis of inks"),
        (
            lambda: optics.neugebauer([0.5, 0.5], [1.0, 0.5, 0.2]),
            r"expected 4 primaries, not the shape \(3,\)",
        ),
    ],
)
def test_what_cannot_be_is_refused(call: Callable[[], object], why: str) -> None:
    with pytest.raises(ValueError, match=why):
        call()


# Published values: every row of ink_optics.csv, which names its sources

Numbers = dict[str, float]


def rows() -> list[dict[str, str]]:
    with (PUBLISHED / "ink_optics.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def numbers(row: dict[str, str]) -> Numbers:
    """Read what a row gives, "K=0.5 S=0.1", in its inputs or, what holds for all such rows, in its case."""
    found = re.findall(r"([\w/]+)=(\d[\d.]*)", f"{row['case']} {row['inputs']}")
    return {name: float(value) for name, value in found}


def film_and_back(given: Numbers) -> FloatArray:
    seen = over_paper(given["T"], given["Rp"], given["n"])
    if given["n"] == 1:
        assert transmittance(seen, given["Rp"]) == pytest.approx(given["T"], abs=1e-9)
    return seen


def kubelka_munk_row(given: Numbers) -> FloatArray:
    if "Rinf" in given:
        return optics.absorption_ratio(given["Rinf"])
    if "K/S" in given:
        return optics.infinite_reflectance(given["K/S"])
    return on_ground(kubelka_munk(given["K"], given["S"], given["X"]), given["Rg"])


def layer_alone(given: Numbers, output: str) -> FloatArray:
    coating = kubelka_munk(given["K"], given["S"], given["X"])
    return {"R0": coating.reflectance, "T": coating.transmittance}[output]


def two_layers(given: Numbers) -> FloatArray:
    """Two layers of the two rows before, which this one calls "such layers"."""
    (such,) = {r["case"]: numbers(r) for r in rows() if r["model"] == "layer_R_T"}.values()
    layer = kubelka_munk(such["K"], such["S"], such["X"])
    both = on_ground(optics.combined(layer, layer), given["Rg"])
    assert both == pytest.approx(on_ground(layer, on_ground(layer, given["Rg"])), abs=1e-12)
    return both


def dots(given: Numbers) -> FloatArray:
    if "Dt" in given:
        return optics.dot_area_from_density(given["Dt"], given["Ds"], given["n"])
    seen = optics.yule_nielsen(given["a"], given["Rs"], given["Rp"], given["n"])
    assert optics.dot_area(seen, given["Rs"], given["Rp"], given["n"]) == pytest.approx(given["a"], abs=1e-12)
    return seen


def overlap(given: Numbers, output: str) -> float:
    order = ["w_paper", "w_y", "w_m", "w_my", "w_c", "w_cy", "w_cm", "w_cmy"]
    return float(optics.demichel([given["c"], given["m"], given["y"]])[order.index(output)])


def two_inks(given: Numbers) -> FloatArray:
    primaries = [given[name] for name in ("Rp", "Rm", "Rc", "Rcm")]
    return optics.neugebauer([given["c"], given["m"]], primaries, given["n"])


CHECKS: dict[str, Callable[[Numbers, str], FloatArray | float]] = {
    "beer_lambert_double_pass": lambda given, _: film_and_back(given),
    "density": lambda given, _: optics.density(given["R"]),
    "kubelka_munk": lambda given, _: kubelka_munk_row(given),
    "kubelka_munk_mix": lambda given, _: optics.mixed(
        [given["R1"], given["R2"]], [1.0 - given["c"], given["c"]]
    ),
    "layer_R_T": layer_alone,
    "layer_combination": lambda given, _: two_layers(given),
    "saunderson": lambda given, _: optics.saunderson(given["Ri"], given["k1"], given["k2"]),
    "fresnel_normal": lambda given, _: optics.fresnel_normal(given["n"]),
    "murray_davies": lambda given, _: dots(given),
    "yule_nielsen": lambda given, _: dots(given),
    "demichel": overlap,
    "neugebauer": lambda given, _: two_inks(given),
    "yule_nielsen_neugebauer": lambda given, _: two_inks(given),
    "alpha_over_linear": lambda given, _: optics.murray_davies(given["a"], given["top"], given["bottom"]),
    "multiply_linear": lambda given, _: over_paper(transmittance(given["a"], 1.0), given["b"], 1.0),
}


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['model']} {row['inputs']} {row['output']}")
def test_a_worked_value(row: dict[str, str]) -> None:
    value = CHECKS[row["model"]](numbers(row), row["output"])
    assert value == pytest.approx(float(row["value"]), abs=6e-10)  # nine decimals


def test_no_worked_value_is_left_out() -> None:
    counts = Counter(row["model"] for row in rows())
    assert sum(counts.values()) == 131
    assert set(counts) == set(CHECKS)
    assert counts["beer_lambert_double_pass"] == 20
    assert all(numbers(row) for row in rows())


def test_murray_davies_is_the_case_of_n_1() -> None:
    for row in rows():
        if row["model"] == "murray_davies":
            assert numbers(row)["n"] == 1.0
            if "a" in numbers(row):
                given = numbers(row)
                assert optics.murray_davies(given["a"], given["Rs"], given["Rp"]) == dots(given)
