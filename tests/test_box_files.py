"""Files of ink boxes: what is written is read again as the same box; what cannot be read is told in one line."""

import datetime
import functools
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from refusals import spoilt

from mockup.colour.boxcsv import read_csv, write_csv
from mockup.colour.boxtable import COLUMNS, LAST, column
from mockup.colour.cgats import is_cgats, read_cgats, write_cgats
from mockup.colour.conversion import Colour, read_colour
from mockup.colour.ink import Ink
from mockup.colour.inkbox import InkBox, Swatch
from mockup.design.boxes import box_bytes, read_box, read_box_toml, write_box_toml
from mockup.errors import DesignError, FileError, MockupError

NASTY = "abcXYZ 019,;\"'`éßøЖ漢#=[]{}()\\/|.:-_%€²𝄞"
UNSEEN = "\t\n\r\x00\x0b\x1f\x85\u00a0\u2028\ufeff"

WRITTEN = (
    *("#b5532a", "#FFF", "tomato", "MediumPurple", "rgb(10, 20, 30)", "rgb(10% 20% 30%)", "rgba(1,2,3,1)"),
    *("hsl(18 62% 44%)", "hsl(18, 62%, 44%)", "hwb(18 16% 29%)", "lab(48 39 43)", "LAB(48 39 43)"),
    *("lab(50% 20 -30)", "lab(50 20 30 / 1)", "lab(110 1 1)", "lab(-3 0 0)", "lab(1e1 2e-3 -0)"),
    *("lab(55 -60 -5)", "lch(48 58 48)", "lch(50 90 140deg)", "oklab(0.56 0.1 0.09)", "oklch(0.7 0.3 150)"),
    *("color(srgb 1 0.5 0)", "color(display-p3 0 1 0)", "color(rec2020 0 1 0)", "color(xyz-d50 0.2 0.3 0.1)"),
)
"""Every syntax of CSS Color 4; some beyond sRGB, some that are clamped."""

shade = functools.cache(read_colour)


def tidied(text: str) -> str:
    return " ".join(text.split())


def one_line(most: int) -> st.SearchStrategy[str]:
    return st.text(st.sampled_from(NASTY + UNSEEN), max_size=most).map(tidied)


LABS = st.tuples(st.integers(250, 950), st.integers(-600, 600), st.integers(-600, 600)).map(
    lambda lab: f"lab({lab[0] / 10} {lab[1] / 10} {lab[2] / 10})"
)
COLOURS: st.SearchStrategy[Colour] = st.sampled_from(WRITTEN).map(shade) | LABS.map(read_colour)
NAMES = (
    st.text(st.sampled_from(NASTY), min_size=1, max_size=20)
    .map(tidied)
    .filter(lambda name: name != "" and name.casefold() not in {"paper", "none", "light", "dark"})
)
WIDTHS = st.none() | st.floats(1e-9, 1e6)
HERS = ("Shop", "Batch, no.", 'say "hi"', "x;y;z;;;;", "Preis €", "#", "a.b", "BEGIN_DATA_FORMAT")


ALL = {*COLUMNS, *LAST}


def fits(heading: str) -> bool:
    try:
        return column(heading) == heading and heading not in ALL and not heading.startswith("coat ")
    except MockupError:
        return False


@st.composite
def swatches(draw: st.DrawFn, headings: Sequence[str]) -> Swatch:
    bare = draw(st.integers(0, 9)) == 0
    ink = Ink(
        "paper" if bare else draw(NAMES),
        draw(COLOURS),
        coats=() if bare else tuple(draw(st.lists(COLOURS, max_size=3))),
        tip=draw(WIDTHS),
        bleed=draw(WIDTHS | st.just(0.0)),
        paper=bare,
        uncertainty=draw(st.none() | st.floats(0, 100)),
    )
    more = tuple((key, value) for key in headings if (value := draw(one_line(8))))
    day = draw(st.none() | st.dates(datetime.date(1000, 1, 1)))
    note = draw(st.just("BEGIN_DATA_FORMAT") | one_line(30))
    return Swatch(
        ink, draw(st.just("") | st.sampled_from(["Rag, hot", "rough"]) | one_line(12)), day, note, more
    )


@st.composite
def boxes(draw: st.DrawFn) -> InkBox:
    headings = draw(st.lists(st.sampled_from(HERS) | one_line(10).filter(fits), max_size=3, unique=True))
    found = draw(
        st.lists(
            swatches(headings),
            min_size=1,
            max_size=5,
            unique_by=lambda one: (one.ink.name.casefold(), one.stock.casefold()),
        ).filter(lambda several: not all(one.ink.paper for one in several))
    )
    return InkBox(tuple(found))


def through_a_file(box: InkBox, name: str, change: Callable[[bytes], bytes] = bytes) -> InkBox:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(change(box_bytes(box, path)))
        return read_box(path)


def without_hers(box: InkBox) -> InkBox:
    return InkBox(tuple(replace(one, more=()) for one in box.swatches))


@settings(max_examples=25)
@given(boxes(), st.sampled_from(["inks.csv", "inks.tsv", "INKS.TOML", "inks.txt", "inks.cgats"]))
def test_what_is_written_is_read_again_as_the_same_box(box: InkBox, name: str) -> None:
    expected = without_hers(box) if name.endswith((".txt", ".cgats")) else box
    assert through_a_file(box, name) == expected


@settings(max_examples=10)
@given(boxes(), st.sampled_from(["inks.csv", "inks.tsv", "inks.toml", "inks.txt"]))
def test_a_byte_order_mark_and_other_line_ends_change_nothing(box: InkBox, name: str) -> None:
    marked = through_a_file(box, name, lambda data: b"\xef\xbb\xbf" + data.replace(b"\n", b"\r\n"))
    assert marked == through_a_file(box, name)


@settings(max_examples=12)
@given(boxes())
def test_a_box_goes_through_all_forms_and_comes_back(box: InkBox) -> None:
    bare = without_hers(box)
    assert read_csv(write_csv(read_box_toml(write_box_toml(read_cgats(write_cgats(box)))))) == bare


@settings(max_examples=10)
@given(boxes())
def test_her_columns_stay_whatever_order_they_are_written_in(box: InkBox) -> None:
    """A table of TOML may have its keys in another order than the next; in CSV there is one order for all."""
    mixed = [replace(one, more=one.more[:: 1 if place % 2 else -1]) for place, one in enumerate(box.swatches)]
    read = read_box_toml(write_box_toml(InkBox(tuple(mixed))))
    assert [dict(one.more) for one in read.swatches] == [dict(one.more) for one in box.swatches]
    assert read_csv(write_csv(read)) == read_box_toml(write_box_toml(read)) == read


# How spreadsheets and hands write CSV

PLAIN = """name,colour,paper,date,tip,bleed,coat 2,coat 3,note,Shop
clay,#b5532a,Smooth,2026-11-02,0.8,0.15,#a04520,#903010,"old jar, half full",Kiosk
Blau für Himmel,"rgb(10, 20, 30)",Smooth,,1.5,,,,,
paper,#fdfcf8,Smooth,,,,,,,
"""
WIDTHS_IN_COMMAS = PLAIN.replace("0.8", '"0,8"').replace("0.15", '"0,15"').replace("1.5", '"1,5"')


def separated(text: str, mark: str) -> str:
    """Write the plain table with other signs between columns; decimal commas as such spreadsheets have them."""
    rows = [
        ["name", "colour", "paper", "date", "tip", "bleed", "coat 2", "coat 3", "note", "Shop"],
        *(
            ["clay", "#b5532a", "Smooth", "2026-11-02", "0,8", "0,15"],
            ["Blau für Himmel", "rgb(10, 20, 30)", "Smooth", "", "1,5", ""],
            ["paper", "#fdfcf8", "Smooth", "", "", ""],
        ),
    ]
    rows[1] += ["#a04520", "#903010", "old jar, half full", "Kiosk"]
    rows[2:] = [[*row, "", "", "", ""] for row in rows[2:]]
    return "\n".join(mark.join(row) for row in rows) + "\n"


VARIANTS = {
    "byte order mark": "\ufeff" + PLAIN,
    "line ends of Windows": PLAIN.replace("\n", "\r\n"),
    "both": "\ufeff" + PLAIN.replace("\n", "\r\n"),
    "semicolons and decimal commas": separated(PLAIN, ";"),
    "tabs and decimal commas": separated(PLAIN, "\t"),
    "tabs and decimal points": separated(PLAIN, "\t").replace("0,8", "0.8").replace("0,15", "0.15").replace("1,5", "1.5"),
    "blank lines": "\n\n" + PLAIN.replace("\n", "\n\n \n,,,,,,,,,\n") + "\n",
    "blanks round cells": PLAIN.replace(",#", " ,  #").replace(",Smooth", ", Smooth  "),
    "blanks before quotes": PLAIN.replace(',"', ',  "'),
    "everything in quotes": "\n".join(
        ",".join(f'"{cell}"' for cell in row.split(";")) for row in separated(PLAIN, ";").replace("0,8", "0.8").replace("0,15", "0.15").replace("1,5", "1.5").splitlines()
    ),
    "no end of line": PLAIN.rstrip("\n"),
    "headings in capitals": PLAIN.replace("name,colour,paper,date,tip,bleed,coat 2,coat 3,note", "NAME,Colour,PAPER,Date,TIP,Bleed,COAT 2,Coat-3,Note"),
    "other words": PLAIN.replace("colour", "color", 1).replace("tip", "Nib", 1).replace("note", "remark", 1).replace("coat 2", "coat2"),
    "units": PLAIN.replace("0.8", "0.8 mm").replace("0.15", "0.15mm"),
    "a column without a name": PLAIN.replace("Shop", "Shop,").replace("Kiosk", "Kiosk,"),
    "lines cut short": PLAIN.replace(",,1.5,,,,,", ",,1.5").replace(",Smooth,,,,,,,", ",Smooth"),
}  # fmt: skip


@pytest.mark.parametrize("name", VARIANTS)
def test_a_table_reads_alike_however_a_spreadsheet_wrote_it(tmp_path: Path, name: str) -> None:
    path = tmp_path / "inks.csv"
    path.write_bytes(VARIANTS[name].encode())
    assert read_box(path) == read_csv(PLAIN)


def test_the_plain_table_is_what_it_says() -> None:
    clay, sky, paper = read_csv(PLAIN).swatches
    coats = (read_colour("#a04520"), read_colour("#903010"))
    assert clay.ink == Ink("clay", read_colour("#b5532a"), coats=coats, tip=0.8, bleed=0.15)
    assert (clay.stock, clay.day, clay.note) == ("Smooth", datetime.date(2026, 11, 2), "old jar, half full")
    assert clay.more == (("Shop", "Kiosk"),)
    assert sky == Swatch(Ink("Blau für Himmel", read_colour("rgb(10, 20, 30)"), tip=1.5), "Smooth")
    assert paper == Swatch(Ink("paper", read_colour("#fdfcf8"), paper=True), "Smooth")


@given(st.permutations(["name", "colour", "paper", "date", "tip", "bleed", "coat 2", "note"]))
@settings(max_examples=20)
def test_columns_may_stand_in_any_order(names: list[str]) -> None:
    cells = {"name": "clay", "colour": "#b5532a", "paper": "Smooth", "date": "2026-11-02"}
    cells |= {"tip": "0.8", "bleed": "0.1", "coat 2": "#a04520", "note": "x"}
    usual = f"{','.join(cells)}\n{','.join(cells.values())}\n"
    other = f"{','.join(names)}\n{','.join(cells[name] for name in names)}\n"
    assert read_csv(other) == read_csv(usual)


def test_her_columns_are_written_in_her_order() -> None:
    rows = "name,colour,Shop,Price,Drawer\na,#111111,,2,\nb,#222222,x,,\nc,#333333,y,3,4\n"
    assert write_csv(read_csv(rows)) == rows


def test_tables_of_toml_may_say_numbers_and_days_as_such() -> None:
    text = (
        '[[ink]]\nname = "clay"\nL = 50\na = 20.5\nb = -3\ntip = 1\nbleed = 0.15\ndate = 2026-11-02\n'
        '"coat 2" = "#a04520"\nShop = 7\npaper = " Rag   smooth "\nnote = """\nold\njar"""\n'
    )
    (swatch,) = read_box_toml(text).swatches
    ink = Ink("clay", read_colour("lab(50 20.5 -3)"), coats=(read_colour("#a04520"),), tip=1.0, bleed=0.15)
    assert swatch == Swatch(ink, "Rag smooth", datetime.date(2026, 11, 2), "old jar", (("Shop", "7"),))


# CGATS

FOREIGN = """ISO28178
# A characterisation file as a laboratory may hand it over.
ORIGINATOR	"Laboratory, \"\"Room 4\"\" # not a remark"
FILE_DESCRIPTOR	"Inks on rag paper"
CREATED	"November 2, 2026"
INSTRUMENTATION	"Spectrophotometer, 45/0"
MEASUREMENT_SOURCE	"Illumination=D50	ObserverAngle=2	Filter=no"
PRINT_CONDITIONS	"rag paper, one coat"   # a remark after a word
WEIGHTING_FUNCTION	"ILLUMINANT, D50"
WEIGHTING_FUNCTION	"OBSERVER, 2 degree"
KEYWORD	"SAMPLE_REGION"
SAMPLE_REGION	"BEGIN_DATA"
NUMBER_OF_FIELDS	10
BEGIN_DATA_FORMAT
# over several lines
SAMPLE_ID	SAMPLE_NAME	CMYK_C	CMYK_M
CMYK_Y	CMYK_K
LAB_L	LAB_A	LAB_B	SAMPLE_REGION
END_DATA_FORMAT

NUMBER_OF_SETS	4
BEGIN_DATA
1	"Paper"	0	0	0	0	95.10	0.20	-2.10	"a"
2	"burnt clay"	0.00	70.00	100.00	20.00	48.25	39.00	43.50	"a"   # a remark
# a remark between

A3	moss	60 20 90 10
	5.2e1 -2.0E1 28.000	""
4	"6"" nib, black"	100	100	100	100	+16.00	0.00	.5	"b"
END_DATA
what follows is of no matter
"""


def test_a_characterisation_file_of_another_hand_reads(tmp_path: Path) -> None:
    """In the form of ISO 28178 (CGATS.17) and the columns of ISO 12642-2; from memory, no such file is copied."""
    path = tmp_path / "lab.txt"
    path.write_bytes(FOREIGN.replace("\n", "\r\n").encode())
    names = {"paper": "lab(95.1 0.2 -2.1)", "burnt clay": "lab(48.25 39 43.5)"}
    names |= {"moss": "lab(52 -20 28)", '6" nib, black': "lab(16 0 0.5)"}
    found = read_box(path).swatches
    assert [one.ink.name for one in found] == list(names)
    assert [one.ink.colour.lab for one in found] == [read_colour(text).lab for text in names.values()]
    assert [one.ink.paper for one in found] == [True, False, False, False]
    assert {(one.stock, one.day, one.note, one.more) for one in found} == {("", None, "", ())}


def test_samples_without_a_name_are_called_by_their_number() -> None:
    text = FOREIGN.replace("SAMPLE_NAME", "SAMPLE_LOC")
    assert [one.ink.name for one in read_cgats(text).swatches] == ["1", "2", "A3", "4"]


@settings(max_examples=30)
@given(st.sampled_from([*range(20, 96, 5)]), st.integers(-30, 30), st.integers(-30, 30))
def test_tristimulus_values_read_as_the_colour_that_has_them(lightness: float, a: float, b: float) -> None:
    """CIE 15: X = Xn f^-1(fy + a*/500) and so on; white D50 as CSS Color 4 has it (0.3457, 0.3585)."""
    middle = (lightness + 16) / 116

    def cubed(f: float) -> float:
        return f**3 if f > 6 / 29 else 3 * (6 / 29) ** 2 * (f - 4 / 29)

    white = (0.3457 / 0.3585, 1.0, (1 - 0.3457 - 0.3585) / 0.3585)
    xyz = [
        100 * w * cubed(f) for w, f in zip(white, (middle + a / 500, middle, middle - b / 200), strict=True)
    ]
    file = (
        "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_NAME XYZ_X XYZ_Y XYZ_Z\nEND_DATA_FORMAT\nBEGIN_DATA\n"
        f"ink {' '.join(f'{value:.12f}' for value in xyz)}\nEND_DATA\n"
    )
    (found,) = read_cgats(file).inks()
    assert found.colour.lab == pytest.approx(read_colour(f"lab({lightness} {a} {b})").lab, abs=1e-6)


def test_a_measured_colour_counts_more_than_a_text_that_says_another() -> None:
    text = write_cgats(InkBox((Swatch(Ink("clay", read_colour("#b5532a"))),)))
    (same,) = read_cgats(text).inks()
    (measured,) = read_cgats(text.replace("\t47.78", "\t57.78")).inks()
    assert same.colour.written == "#b5532a"
    assert measured.colour.lab[0] == pytest.approx(same.colour.lab[0] + 10, abs=0.1)


def test_only_a_line_of_its_own_makes_cgats() -> None:
    assert is_cgats("CGATS.17\n  BEGIN_DATA_FORMAT\n")
    assert not is_cgats('name,colour,note\nclay,#b5532a,"says BEGIN_DATA_FORMAT"\n')


# What cannot be read

HEAD = "name,colour\n"
QUOTES = (
    "a quote is not closed, something follows a closed one, or a cell is far too long; "
    "put quotes round the whole cell, and write a quote in it twice"
)
EXAMPLE = 'write such as "#b5532a", "tomato" or "lab(48 39 43)"'
WORDS = "put what holds a blank in quotes, and leave no field out"

CSV_REFUSALS = {
    "": ": no column is called name; begin with a line that names the columns: name,colour,paper",
    " \n,,\n": ": no column is called name; begin with a line that names the columns: name,colour,paper",
    "\ncolour,paper\n#fff,x\n": ", line 2: no column is called name; begin with a line that names the columns: name,colour,paper",
    HEAD: ": there are no inks in it; write one a line, with name and colour",
    HEAD + "paper,#fff\n": ": there are no inks in it; write one a line, with name and colour",
    "name,colour,nib,tip\na,#fff,1,2\n": ", line 1: two columns are called tip; give one of them another name",
    "name,colou\n": ", line 1: unknown column 'colou'; did you mean colour?",
    "name,colour,notes\n": ", line 1: unknown column 'notes'; did you mean note?",
    HEAD + ",#fff\n": ", line 2: there is no name; give the ink one",
    HEAD + "x" * 61 + ",#fff\n": f", line 2: {'x' * 30!r} is no name for an ink; write up to 60 signs on one line",
    HEAD + "a\x01b,#fff\n": ", line 2: 'a\\x01b' is no name for an ink; write up to 60 signs on one line",
    HEAD + "Light,#fff\n": ", line 2: 'Light' has a meaning of its own; give the ink another name",
    HEAD + "clay,\n": ", line 2: there is no colour; write such as #b5532a, or columns L, a and b",
    HEAD + "clay,tomatoe\n": ", line 2: colour: 'tomatoe' is not a colour; did you mean \"tomato\"?",
    HEAD + "\n\nclay,b5532a\n": ", line 4: colour: 'b5532a' lacks its sign in front; write \"#b5532a\"",
    HEAD + '"cl\nay",#fff\nmoss,x\n': f", line 4: colour: 'x' is not a colour; {EXAMPLE}",
    HEAD + "clay,rgb(1 2 3 / 50%)\n": ", line 2: colour: 'rgb(1 2 3 / 50%)' is see-through; inks are opaque: leave the alpha out, as in \"rgb(181 83 42)\"",
    HEAD + "clay,Paper\n": ', line 2: "paper" is no colour here; write the colour of the bare paper',
    HEAD + "clay,rgb(1,2,3)\n": ", line 2: 4 columns where the first line names 2; put what holds the separator in quotes",
    HEAD + 'moss,#fff\n"clay,#fff\nsea,#eee\n': f", line 3: {QUOTES}",
    HEAD + '"clay"x,#fff\n': f", line 2: {QUOTES}",
    HEAD + "clay," + "x" * 140_000 + "\n": f", line 2: {QUOTES}",
    HEAD + "clay,#fff\nmoss,#000\nCLAY,#eee\n": ", line 4: 'CLAY' stands in line 2 already; keep the newest, or name the other paper",
    HEAD + "".join(f"i{number},#fff\n" for number in range(5001)): ": it holds 5001 inks; leave it at 5000",
    "name,colour,paper\nclay,#fff,Rag\nmoss,#fff,Rag\nClay,#eee,rag\n": ", line 4: 'Clay' on rag stands in line 2 already; keep the newest, or name the other paper",
    "name,colour,L,a,b\nclay,#fff,1,2,3\n": ", line 2: it has a colour, and CIELAB beside it; leave one of them out",
    "name,L,a\nclay,1,2\n": ", line 2: b is missing; write L, a and b",
    "name,L,a,b\nclay,,2,\n": ", line 2: L, b is missing; write L, a and b",
    "name,L,a,b\nclay,101,2,3\n": ", line 2: L = 101 is out of its range; L* runs from 0 to 100",
    "name,L,a,b\nclay,x,2,3\n": ", line 2: L is no number: 'x'; write such as 0.8",
    'name,L,a,b\nclay,50,"4,5",3\n': ", line 2: a is no number: '4,5'; write a point: 4.5",
    "name,L,a,b\nclay,50,400,3\n": f", line 2: L, a, b: 'lab(50 400 3)' is beyond what an eye can see; check its numbers, or {EXAMPLE}",
    "name,L,a,b,illuminant\nclay,50,4,3,A\n": ", line 2: illuminant 'A' is not known; measure under D50 or D65",
    "name,colour,tip\nclay,#fff,wide\n": ", line 2: tip is no number: 'wide'; write such as 0.8",
    "name;colour;tip\nclay;#fff;1.000,5\n": ", line 2: tip is no number: '1.000,5'; write such as 0.8",
    "name,colour,tip\nclay,#fff,0\n": ", line 2: the ink 'clay' has tip = 0; tip is a width in mm above 0",
    "name,colour,bleed\nclay,#fff,-1\n": ", line 2: the ink 'clay' has bleed = -1; bleed is a width in mm, 0 or more",
    "name,colour,uncertainty\nclay,#fff,101\n": ", line 2: the ink 'clay' has uncertainty = 101; uncertainty is a CIEDE2000 difference, from 0 to 100",
    "name,colour,date\nclay,#fff,2.11.2026\n": ", line 2: '2.11.2026' is no date; write year-month-day: 2026-11-02",
    "name,colour,coat 3\nclay,#fff,#eee\n": ", line 2: coat 3 is given, but not the one before; write the coats one after another",
    "name,colour,coat 2\nclay,#fff,x\n": f", line 2: coat 2: 'x' is not a colour; {EXAMPLE}",
    "name,colour,coat 2\npaper,#fff,#eee\n": ", line 2: the ink 'paper' is bare paper and has coats; leave its coats out",
}  # fmt: skip

GOOD = '[[ink]]\nname = "a"\ncolour = "#fff"\n'
TOML_REFUSALS = {
    "": ": holds no inks; write [[ink]], name and colour for each",
    '[ink]\nname = "a"\n': ": holds no inks; write [[ink]], name and colour for each",
    "ink = [1]\n": ": holds no inks; write [[ink]], name and colour for each",
    '[[palette.ink]]\nname = "a"\n': ": holds no inks; write [[ink]], name and colour for each",
    "ink = []\n": ": there are no inks in it; write one a line, with name and colour",
    "[[ink]]\nname = clay\n": ', line 2: text without quotes; write it in quotes: "..."',
    GOOD + "tip = true\n": ", line 4: tip is true; write a text, a number or a date",
    GOOD + "tip = [1]\n": ", line 4: tip is a list of 1; write a text, a number or a date",
    GOOD + "tip = { mm = 1 }\n": ", line 4: tip is a table; write a text, a number or a date",
    GOOD + "date = 2026-11-02T10:00:00\n": ", line 4: date is 2026-11-02 10:00:00; write a text, a number or a date",
    GOOD + f"tip = 0x{'F' * 5000}\n": ", line 4: tip is a huge number; write a text, a number or a date",
    GOOD + "tip = inf\n": ", line 1: tip is no number: 'inf'; write such as 0.8",
    GOOD + "nib = 1\ntip = 1\n": ", line 5: two keys say tip; leave one of them out",
    GOOD + '"" = 1\n': ", line 4: a column has no name; give it one",
    GOOD + "bled = 1\n": ", line 4: unknown column 'bled'; did you mean bleed?",
    GOOD + '\n[[ink]]\nname = "b"\n': ", line 5: there is no colour; write such as #b5532a, or columns L, a and b",
    GOOD + GOOD: ", line 4: 'a' stands in line 1 already; keep the newest, or name the other paper",
    f"x = {'[' * 5000}": ": lists or tables lie too deep in each other; write fewer [ or {",
}  # fmt: skip

SAMPLES = (
    "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n"
    "1 clay 50 20 30\n2 moss 40 -10 20\nEND_DATA\n"
)
COATS = SAMPLES.replace("LAB_B", "LAB_B INK_COAT")
CGATS_REFUSALS = {
    SAMPLES.replace("END_DATA\n", ""): ": breaks off before END_DATA; write it out again",
    SAMPLES[:-20]: ": breaks off before END_DATA; write it out again",
    SAMPLES[:60]: ": breaks off before END_DATA; write it out again",
    SAMPLES.replace(" 30", ""): f", line 6: 4 words where the format names 5 fields; {WORDS}",
    SAMPLES.replace("moss", "old moss"): f", line 7: 6 words where the format names 5 fields; {WORDS}",
    SAMPLES.replace("2 moss 40 -10 20", "2"): f", line 7: 1 word where the format names 5 fields; {WORDS}",
    'WEIGHTING_FUNCTION "ILLUMINANT, D65"\nWEIGHTING_FUNCTION "OBSERVER, 2 degree"\n' + SAMPLES: ": is measured under D65; write it out under D50",
    'MEASUREMENT_SOURCE "Illumination=A ObserverAngle=2"\n' + SAMPLES: ": is measured under A; write it out under D50",
    "BEGIN_DATA_FORMAT\nSAMPLE_ID\nEND_DATA_FORMAT\nBEGIN_DATA\n1\nEND_DATA\n": ", line 5: there is no colour in it; write out LAB_L, LAB_A and LAB_B, or XYZ",
    "BEGIN_DATA_FORMAT\nEND_DATA_FORMAT\nBEGIN_DATA\n1\nEND_DATA\n": ": names no fields; write them after BEGIN_DATA_FORMAT",
    "BEGIN_DATA_FORMAT\nSAMPLE_ID\nEND_DATA_FORMAT\nBEGIN_DATA\nEND_DATA\n": ": holds no samples; write them after BEGIN_DATA",
    SAMPLES.replace("50", "fifty"): ", line 6: L is no number: 'fifty'; write such as 0.8",
    SAMPLES.replace("50", "50,5"): ", line 6: L is no number: '50,5'; write a point: 50.5",
    SAMPLES.replace("50", "nan"): ", line 6: L is no number: 'nan'; write such as 0.8",
    SAMPLES.replace("50", "120"): ", line 6: L = 120 is out of its range; L* runs from 0 to 100",
    SAMPLES.replace("LAB", "XYZ").replace("XYZ_L XYZ_A XYZ_B", "XYZ_X XYZ_Y XYZ_Z").replace("50", "x"): ", line 6: XYZ is no number: 'x 20 30'; write figures with a decimal point",
    SAMPLES.replace("LAB", "XYZ").replace("XYZ_L XYZ_A XYZ_B", "XYZ_X XYZ_Y XYZ_Z"): f", line 7: colour: 'color(xyz-d50 0.4 -0.1 0.2)' is beyond what an eye can see; check its numbers, or {EXAMPLE}",
    SAMPLES.replace("moss", "Clay"): ", line 7: 'Clay' comes twice; keep the newest",
    SAMPLES.replace("1 clay", '"" ""'): ", line 6: there is no name; give the ink one",
    COATS.replace(" 30", " 30 0").replace("-10 20", "-10 20 1"): ", line 6: INK_COAT is '0'; write 1 for the first coat, 2 for the second",
    COATS.replace(" 30", " 30 2").replace("-10 20", "-10 20 1"): ", line 6: coat 2 of 'clay' comes before the first; write the coats one after another",
    COATS.replace(" 30", " 30 1").replace("2 moss 40 -10 20", "2 clay 40 1 2 2\n3 clay 30 1 2 2"): ", line 8: coat 2 of 'clay' comes twice; keep the newest",
    COATS.replace(" 30", " 30 1").replace("2 moss 40 -10 20", "2 clay 40 1 2 3"): ", line 6: coat 3 is given, but not the one before; write the coats one after another",
    SAMPLES.replace("LAB_B", "LAB_B INK_TIP").replace(" 30", " 30 wide").replace("-10 20", "-10 20 1"): ", line 6: tip is no number: 'wide'; write such as 0.8",
}  # fmt: skip

REFUSALS = [
    *(("inks.csv", text, told) for text, told in CSV_REFUSALS.items()),
    *(("inks.toml", text, told) for text, told in TOML_REFUSALS.items()),
    *(("inks.txt", text, told) for text, told in CGATS_REFUSALS.items()),
]


@pytest.mark.parametrize(("name", "text", "told"), REFUSALS, ids=[told[:60] for *_, told in REFUSALS])
def test_what_is_wrong_is_told_in_one_line_with_its_place(
    tmp_path: Path, name: str, text: str, told: str
) -> None:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8", newline="")
    with pytest.raises(DesignError) as caught:
        read_box(path)
    assert str(caught.value) == name + told


OTHER_FILES = {
    "a workbook": (b"PK\x03\x04\x14\x00", "is an office program's file or a zip, not a file of inks; save it as CSV in UTF-8"),
    "an old workbook": (b"\xd0\xcf\x11\xe0\xa1", "is an office program's file, not a file of inks; save it as CSV in UTF-8"),
    "UTF-16": ("\ufeffname\tcolour\n".encode("utf-16-le"), "is UTF-16 text, or no text; save it as UTF-8"),
    "UTF-16 without a mark": ("name\tcolour\n".encode("utf-16-be"), "is UTF-16 text, or no text; save it as UTF-8"),
    "too large": (b"name,colour\n" + b"clay,#fff\n" * 110_000, "is larger than 1 MiB; give a file of inks; they are a page or two"),
}  # fmt: skip


@pytest.mark.parametrize("kind", OTHER_FILES)
@pytest.mark.parametrize("ending", [".csv", ".toml", ".txt"])
def test_other_files_are_called_by_what_they_are(tmp_path: Path, kind: str, ending: str) -> None:
    data, told = OTHER_FILES[kind]
    path = tmp_path / f"inks{ending}"
    path.write_bytes(data)
    with pytest.raises(FileError) as caught:
        read_box(path)
    assert str(caught.value) == f"inks{ending}: {told}"


def test_letters_of_an_old_code_page_are_told_with_their_line(tmp_path: Path) -> None:
    path = tmp_path / "inks.csv"
    path.write_bytes("name;colour\nclay;#fff\nGrün;#eee\n".encode("cp1252"))
    with pytest.raises(FileError) as caught:
        read_box(path)
    assert str(caught.value) == "inks.csv, line 3: is not UTF-8 text; save it as UTF-8"


def test_missing_files_and_folders_are_told(tmp_path: Path) -> None:
    def refused(path: Path) -> str:
        with pytest.raises(FileError) as caught:
            read_box(path)
        return str(caught.value)

    assert refused(tmp_path / "inks.csv") == (
        "inks.csv: there is no such file; write one that begins with name,colour"
    )
    (tmp_path / "inks.csv").write_text(PLAIN, encoding="utf-8")
    assert refused(tmp_path / "ink.csv") == "ink.csv: there is no such file; did you mean 'inks.csv'?"
    assert refused(tmp_path) == f"{tmp_path.name}: is a folder; name the file of inks in it"


def test_a_box_is_written_only_as_a_file_that_can_be_read(tmp_path: Path) -> None:
    box = read_csv(PLAIN)
    with pytest.raises(FileError) as caught:
        box_bytes(box, Path("inks.xlsx"))
    assert str(caught.value) == "inks.xlsx: is no ending of an ink box; end it in .csv, .toml or .txt"


STARTS = (
    *(PLAIN, separated(PLAIN, ";"), SAMPLES, COATS, FOREIGN, GOOD),
    "name,L,a,b,illuminant,coat 2\nclay,50,20,30,D65,#fff\nmoss,40,-10,20,,\n",
)
BITS = ("paper", "coat 2", "L", "lab(", "BEGIN_DATA", "END_DATA", "BEGIN_DATA_FORMAT\n", "[[ink]]", "٣")


def box_or_refusal(path: Path) -> InkBox | str:
    try:
        return read_box(path)
    except MockupError as error:
        return str(error)


@settings(max_examples=80)
@given(
    spoilt(STARTS, BITS).map(str.encode) | st.text(max_size=60).map(str.encode) | st.binary(max_size=60),
    st.sampled_from(["inks.csv", "inks.toml", "inks.txt"]),
)
@example(b"", "inks.csv")
@example(b'name\n"', "inks.csv")
def test_any_file_is_a_box_that_can_be_kept_or_is_refused_in_one_line(data: bytes, name: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(data)
        box = box_or_refusal(path)
    if isinstance(box, str):
        assert box.startswith(name)
        assert box.isprintable()
        return
    assert read_csv(write_csv(box)) == box
    assert read_box_toml(write_box_toml(box)) == box
    assert read_cgats(write_cgats(box)) == without_hers(box)
