"""The ink box: swatches found by name and paper, and what a row of a table says of one."""

import csv
import datetime
from dataclasses import replace

import pytest
from builders import PUBLISHED
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.colour.boxcsv import read_csv
from mockup.colour.boxtable import column, headings, row_of, swatch_of, tidy
from mockup.colour.conversion import read_colour
from mockup.colour.ink import Ink
from mockup.colour.inkbox import MOST, InkBox, Swatch
from mockup.errors import DesignError, MockupError, UnknownNameError

CLAY, MOSS, NIGHT = (read_colour(text) for text in ("#b5532a", "#73834f", "#25313f"))
CREAM, WHITE = (read_colour(text) for text in ("#f5f0e1", "#ffffff"))


def swatch(name: str, stock: str = "", colour: str = "#b5532a") -> Swatch:
    return Swatch(Ink(name, read_colour(colour), paper=name == "paper"), stock)


BOX = InkBox(
    (
        swatch("clay", "Smooth", "#b5532a"),
        swatch("Clay", "Rag", "#a04520"),
        swatch("old jar", "Rag", "#73834f"),
        swatch("night", "", "#25313f"),
        swatch("night", "rag", "#101820"),
        swatch("paper", "", "#ffffff"),
        swatch("paper", "Rag", "#f5f0e1"),
        swatch("paper", "Wove", "#eeeeee"),
    )
)
NAMES = ("clay", "Moss", "old jar", "paper")
STOCKS = ("", "Smooth", "Rag", "Wove, hot")
PLAIN = {name: read_colour(text) for name, text in zip(NAMES, ("#111", "#222", "#333", "#eee"), strict=True)}


@st.composite
def boxes(draw: st.DrawFn) -> InkBox:
    """Boxes of few names and papers, each in one case or another."""
    pairs = draw(
        st.lists(st.tuples(st.sampled_from(NAMES), st.sampled_from(STOCKS)), min_size=1, unique=True).filter(
            lambda pairs: any(name != "paper" for name, _ in pairs)
        )
    )
    cased = [(name, stock.upper() if draw(st.booleans()) else stock, PLAIN[name]) for name, stock in pairs]
    return InkBox(
        tuple(Swatch(Ink(name, colour, paper=name == "paper"), stock) for name, stock, colour in cased)
    )


def found(box: InkBox, name: str, stock: str | None) -> Swatch | None:
    try:
        return box.swatch(name, stock)
    except MockupError:
        return None


@settings(max_examples=30)
@given(boxes(), st.sampled_from(NAMES), st.sampled_from((*STOCKS[1:], None)))
def test_a_swatch_is_that_on_the_paper_else_that_whose_paper_is_not_told(
    box: InkBox, name: str, stock: str | None
) -> None:
    own = [one for one in box.swatches if one.ink.name == name]
    if stock is None:
        expected = own[0] if len(own) == 1 else None
    else:
        on = [one for one in own if one.stock.casefold() == stock.casefold()]
        untold = [one for one in own if not one.stock]
        expected = next(iter(on + untold), None)
    assert found(box, name, stock) == expected
    assert found(box, f"  {name.upper()} ", stock and stock.lower()) == expected


@settings(max_examples=30)
@given(boxes(), st.sampled_from(STOCKS[1:]))
def test_what_holds_for_a_paper_is_what_is_found_there(box: InkBox, stock: str) -> None:
    every = {name: found(box, name, stock) for name in NAMES}
    if stock.casefold() not in {one.casefold() for one in box.stocks}:
        with pytest.raises(UnknownNameError):
            box.on(stock)
        return
    assert box.paper(stock) == (every["paper"].ink.colour if every["paper"] else None)
    inks = {name: one for name, one in every.items() if one and not one.ink.paper}
    if not inks:
        with pytest.raises(DesignError, match="no ink was tried on"):
            box.inks(stock)
        return
    assert {one.name for one in box.inks(stock)} == set(inks)
    assert len(box.inks(stock)) == len(inks)
    assert set(box.on(stock).swatches) == {one for one in every.values() if one}


@settings(max_examples=30)
@given(boxes())
def test_papers_are_told_once_whatever_their_case(box: InkBox) -> None:
    folded = [one.casefold() for one in box.stocks]
    assert len(set(folded)) == len(folded)
    assert set(folded) == {one.stock.casefold() for one in box.swatches if one.stock}
    for name in NAMES:
        own = [one.stock.casefold() for one in box.swatches if one.ink.name == name]
        assert [one.casefold() for one in box.papers(name)] == own
        assert set(box.papers(name)) <= {*box.stocks, ""}


def test_without_a_paper_every_ink_is_given_in_order() -> None:
    assert [ink.name for ink in BOX.inks()] == ["clay", "Clay", "old jar", "night", "night"]
    assert BOX.on(None) is BOX
    assert BOX.paper() == WHITE
    assert BOX.paper("RAG") == CREAM
    assert BOX.paper("smooth") == WHITE
    assert BOX.paper("Wove") == read_colour("#eeeeee")


def test_what_is_not_there_is_told_with_what_is_near() -> None:
    def refused(name: str, stock: str | None = None) -> str:
        with pytest.raises(MockupError) as caught:
            BOX.swatch(name, stock)
        return str(caught.value)

    assert refused("cley") == "no ink of the box is named 'cley'; did you mean 'clay'?"
    assert refused("old jur") == "no ink of the box is named 'old jur'; did you mean 'old jar'?"
    assert refused("xyz") == "no ink of the box is named 'xyz'; there are clay, old jar, night and paper"
    assert refused("clay") == (
        "'clay' was tried on Smooth and Rag; name the paper of the piece: paper = \"Smooth\" in [sheet]"
    )
    assert refused("night") == (
        "'night' was tried on an unnamed paper and rag; name the paper of the piece: paper = \"rag\" in [sheet]"
    )
    assert refused("old jar", "Smooth") == (
        "'old jar' was tried on Rag, not on Smooth; "
        "try it on this paper and add the swatch, or name the paper it was tried on in [sheet]"
    )
    for give in (BOX.on, BOX.inks, BOX.paper):
        with pytest.raises(UnknownNameError) as caught:
            give("Smoth")
        assert str(caught.value) == "no paper of the box is named 'Smoth'; did you mean 'Smooth'?"
    with pytest.raises(UnknownNameError) as caught:
        InkBox((swatch("clay"),)).on("Rag")
    assert str(caught.value) == "no paper of the box is named 'Rag'; none is told"


def test_many_names_are_not_all_told() -> None:
    box = InkBox(tuple(swatch(f"ink {number}") for number in range(20)))
    with pytest.raises(UnknownNameError) as caught:
        box.swatch("zzz")
    assert str(caught.value) == (
        "no ink of the box is named 'zzz'; there are ink 0, ink 1, ink 2, ink 3, ink 4, ink 5, ink 6, ink 7 and others"
    )


def test_a_paper_without_inks_is_told() -> None:
    box = InkBox((swatch("clay", "Rag"), swatch("paper", "Wove")))
    with pytest.raises(DesignError) as caught:
        box.inks("Wove")
    assert str(caught.value) == "no ink was tried on Wove; try some on it and add the swatches"


def test_what_is_no_box_is_refused() -> None:
    def refused(*swatches: Swatch) -> str:
        with pytest.raises(DesignError) as caught:
            InkBox(swatches)
        return str(caught.value)

    assert (
        refused()
        == refused(swatch("paper"))
        == ("there are no inks in it; write one a line, with name and colour")
    )
    assert refused(*[swatch("x")] * (MOST + 1)) == f"it holds {MOST + 1} inks; leave it at {MOST}"
    assert refused(swatch("clay", "Rag"), swatch("CLAY", "rag")) == (
        "2 swatches are named 'clay' on Rag; keep the newest, or name the other paper"
    )
    assert refused(swatch("clay"), swatch("Clay")) == (
        "2 swatches are named 'clay'; keep the newest, or name the other paper"
    )


# Rows of a table

PUBLISHED_COLOURS = list(
    csv.DictReader(
        line
        for line in (PUBLISHED / "srgb_lab_oklab.csv").read_text(encoding="utf-8").splitlines()
        if not line.startswith("#")
    )
)
"""sRGB and its CIELAB under D65 and D50 (IEC 61966-2-1, CIE 15, CSS Color 4; the file names its sources)."""

TOLERANCE = 0.05
"""CIELAB, as the published file says for its rounded values and other libraries' white points."""


@pytest.mark.parametrize("row", PUBLISHED_COLOURS, ids=lambda row: row["name"])
def test_cielab_under_either_light_reads_as_the_same_colour(row: dict[str, str]) -> None:
    table = "name,L,a,b,illuminant\n" + "".join(
        f"ink {number},{row['L' + light]},{row['a' + light]},{row['b' + light]},{told}\n"
        for number, (light, told) in enumerate([("50", ""), ("50", "D50"), ("50", "d50/2"), ("65", "D65"), ("65", "D65 / 2")])
    )  # fmt: skip
    colours = [ink.colour for ink in read_csv(table).inks()]
    given_as = read_colour(row["hex"])
    published = tuple(float(row[axis + "65"]) for axis in "Lab")
    for colour in colours:
        assert colour.lab == pytest.approx(given_as.lab, abs=TOLERANCE)
        assert colour.lab == pytest.approx(published, abs=TOLERANCE)
    assert colours[0] == colours[1] == colours[2]
    assert colours[3] == colours[4]


TEXTS = st.text(st.sampled_from("ab,;\" \t\n\r\u00a0é#'="), max_size=12)
ROWS = st.fixed_dictionaries(
    {"name": TEXTS, "colour": st.sampled_from([" #fff ", "lab( 50\t20  30 )", "tomato", "x", ""])},
    optional={
        "paper": TEXTS,
        "note": TEXTS,
        "Shop": TEXTS,
        "tip": st.sampled_from(["1", "0.80", " 1 mm ", ".5", "1e-3", "0", "x", ""]),
        "bleed": st.sampled_from(["0", "1.", "-1", ""]),
        "date": st.sampled_from(["2026-11-02", "20261102", "", "2.11."]),
        "coat 2": st.sampled_from(["#eee", " red ", ""]),
        "coat 3": st.sampled_from(["#ddd", ""]),
    },
)


@settings(max_examples=70)
@given(ROWS)
def test_a_row_makes_a_swatch_whose_row_makes_the_same_swatch(row: dict[str, str]) -> None:
    try:
        made = swatch_of(row)
    except DesignError:
        return
    again = row_of(made)
    assert swatch_of(again) == made
    assert all(value == " ".join(value.split()) != "" for value in again.values())
    assert made.ink.name == tidy(row["name"])
    assert made.note == tidy(row.get("note", ""))


def test_a_row_says_all_there_is() -> None:
    row = {
        **{"name": "clay", "colour": "#b5532a", "paper": "Rag", "date": "2026-11-02", "tip": "0.8"},
        **{"bleed": "0.15", "coat 2": "#a04520", "uncertainty": "1.5", "note": "half full", "Shop": "Kiosk"},
    }
    ink = Ink("clay", CLAY, coats=(read_colour("#a04520"),), tip=0.8, bleed=0.15, uncertainty=1.5)
    made = swatch_of(row)
    assert made == Swatch(ink, "Rag", datetime.date(2026, 11, 2), "half full", (("Shop", "Kiosk"),))
    assert row_of(made) == row
    assert "tip" not in row_of(replace(made, ink=replace(ink, tip=None)))


@given(st.sampled_from(["Paper", "PAPER", " paper "]))
def test_bare_paper_is_no_ink(name: str) -> None:
    made = swatch_of({"name": name, "colour": "#f5f0e1"})
    assert made.ink == Ink("paper", CREAM, paper=True)


@pytest.mark.parametrize(
    ("heading", "name"),
    [
        *(("Name", "name"), ("COLOUR", "colour"), ("color", "colour"), ("nib", "tip"), (" Nib ", "tip")),
        *(("l", "L"), ("L*", "L"), ("A*", "a"), ("b*", "b"), ("remark", "note"), ("Coat  2", "coat 2")),
        *(("coat3", "coat 3"), ("COAT_4", "coat 4"), ("coat-9", "coat 9"), ("Drawer", "Drawer")),
        *(("my  drawer", "my drawer"), ("No.", "No."), ("coats", "coats"), ("illuminant", "illuminant")),
    ],
)
def test_columns_are_known_by_several_names(heading: str, name: str) -> None:
    assert column(heading) == name


@pytest.mark.parametrize(
    ("heading", "near"),
    [("colou", "colour"), ("nam", "name"), ("papers", "paper"), ("iluminant", "illuminant"), ("dat", "date")],
)
def test_slips_in_columns_are_told(heading: str, near: str) -> None:
    with pytest.raises(DesignError) as caught:
        column(heading)
    assert str(caught.value) == f"unknown column {heading!r}; did you mean {near}?"


@settings(max_examples=30)
@given(st.lists(st.lists(st.sampled_from("pqrstu"), unique=True).map(sorted), min_size=1, max_size=6))
def test_columns_of_a_table_are_in_an_order_that_every_row_has(rows: list[list[str]]) -> None:
    named = headings([{"name": "x", **dict.fromkeys(row, "1")} for row in rows])
    assert named[:2] == ["name", "colour"]
    assert set(named[2:]) == {key for row in rows for key in row}
    for row in rows:
        assert [key for key in named if key in row] == row
