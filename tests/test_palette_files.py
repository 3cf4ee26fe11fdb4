"""Palettes by themselves: TOML and CSV say the same inks; what cannot be read is told in one line."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from refusals import LEAST, spoilt

from mockup.design.palettefile import (
    read_palette,
    read_palette_csv,
    read_palette_toml,
    write_palette_csv,
    write_palette_toml,
)
from mockup.design.records import Design, InkSpec
from mockup.errors import DesignError, FileError, MockupError

SIGNS = "abcXYZ 019,;\"'`éßøЖ漢#=[]{}()\\/|.:-_%€²𝄞"
COLOURS = (
    *("#b5532a", "tomato", "rgb(10, 20, 30)", "lab(48 39 43)", "oklch(0.5 0.1 200)", "Paper"),
    *("color(display-p3 0 1 0)", "no colour at all; read later"),
)
NAMES = (
    st.text(st.sampled_from(SIGNS), min_size=1, max_size=60)
    .map(str.strip)
    .filter(lambda name: name not in {"", "none", "light", "dark", "paper"})
)
SHARES = st.none() | st.floats(0.001, 1)
WIDTHS = st.none() | st.floats(0.05, 10)


@st.composite
def inks(draw: st.DrawFn, coloured: bool) -> list[InkSpec]:
    names = draw(st.lists(NAMES, min_size=1, max_size=12, unique_by=str.casefold))
    colours = st.sampled_from(COLOURS)
    return [
        InkSpec(
            name,
            draw(colours if coloured else st.none() | colours),
            draw(st.sampled_from([None, "dominant", "dark", "light", "accent"])),
            draw(SHARES),
            tuple(draw(st.lists(colours, max_size=8))),
            draw(WIDTHS),
            draw(WIDTHS),
        )
        for name in names
    ]


@settings(max_examples=25)
@given(inks(coloured=True))
def test_what_is_written_as_csv_is_read_again(palette: list[InkSpec]) -> None:
    read = read_palette_csv(write_palette_csv(palette))
    assert read.inks == tuple(palette)
    assert (read.box, read.side) == (None, ())


@settings(max_examples=25)
@given(st.booleans(), st.data())
def test_what_is_written_as_toml_is_read_again(boxed: bool, data: st.DataObject) -> None:
    palette = data.draw(inks(coloured=not boxed))
    read = read_palette_toml(write_palette_toml(palette, 'Ink\'s, \\ "1".csv' if boxed else None))
    assert read.inks == tuple(palette)
    assert read.box == ('Ink\'s, \\ "1".csv' if boxed else None)


@settings(max_examples=20)
@given(inks(coloured=True))
def test_both_forms_say_the_same(palette: list[InkSpec]) -> None:
    assert read_palette_csv(write_palette_csv(palette)) == read_palette_toml(write_palette_toml(palette))


PLAIN = (
    "name,colour,role,share,coats,tip,bleed\n"
    "clay,#b5532a,dominant,0.4,#a04520 | #903010,0.8,0.15\n"
    'Blau für Himmel,"rgb(10, 20, 30)",,,,1.5,\n'
    "bare,paper,light,0.1,,,\n"
)
SPREADSHEET = (
    "NAME;Color;Role;Share;Coats;Nib;Bleed\n"
    "clay;#b5532a;dominant;0,4;#a04520|#903010;0,8;0,15 mm\n"
    "\n ; ;;;;;\n"
    " Blau für Himmel ; rgb(10, 20, 30);;;;1,5\n"
    "bare;paper;light;0,1;;;;\n"
)


def test_the_plain_palette_is_what_it_says() -> None:
    clay = InkSpec("clay", "#b5532a", "dominant", 0.4, ("#a04520", "#903010"), 0.8, 0.15)
    sky = InkSpec("Blau für Himmel", "rgb(10, 20, 30)", tip=1.5)
    assert read_palette_csv(PLAIN).inks == (clay, sky, InkSpec("bare", "paper", "light", 0.1))


@pytest.mark.parametrize(
    "text",
    [
        "\ufeff" + PLAIN,
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace("\n", "\n\n"),
        PLAIN.rstrip(),
        PLAIN.replace(",#b5532a", " ,  #b5532a"),
        SPREADSHEET,
        SPREADSHEET.replace(";", "\t"),
    ],
)
@pytest.mark.parametrize("name", ["own.csv", "own.TSV"])
def test_a_palette_reads_alike_however_a_spreadsheet_wrote_it(tmp_path: Path, name: str, text: str) -> None:
    path = tmp_path / name
    path.write_bytes(text.encode())
    assert read_palette(path) == Design(read_palette_csv(PLAIN), file=path)


def test_the_palette_of_a_design_is_read_with_all_the_rest(tmp_path: Path) -> None:
    path = tmp_path / "rose.toml"
    path.write_text(LEAST, encoding="utf-8")
    design = read_palette(path)
    assert design.pattern is not None
    assert design.palette.inks == (InkSpec("clay", "#b5532a"),)


def test_a_palette_alone_is_a_design_with_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(write_palette_toml([InkSpec("clay")], "inks.csv"), encoding="utf-8")
    design = read_palette(path)
    assert design == Design(
        read_palette_toml('palette = { box = "inks.csv", ink = [{ name = "clay" }] }'), file=path
    )
    assert design.beside("inks.csv") == tmp_path / "inks.csv"


HEAD = "name,colour\n"
COLUMNS = "the columns are name, colour, role, share, coats, tip, bleed"
QUOTES = (
    "a quote is not closed, something follows a closed one, or a cell is far too long; "
    "put quotes round the whole cell, and write a quote in it twice"
)
REFUSALS = {
    "": f": no column is called name; {COLUMNS}",
    "\n\ncolour,role\n": f", line 3: no column is called name; {COLUMNS}",
    "name,colour,paper\n": f", line 1: unknown column 'paper'; {COLUMNS}",
    "name,colour,,tip\n": f", line 1: a column has no name; {COLUMNS}",
    "name,colours\n": ", line 1: unknown column 'colours'; did you mean colour?",
    "name,colour,tip,nib\n": f", line 1: two columns are called tip; {COLUMNS}",
    HEAD: ", [palette]: there are no inks; write [[palette.ink]] with name and colour for each",
    HEAD + "clay,#fff\n\n,#eee\n": ', line 4, [[palette.ink]] 2: name is missing; write such as name = "clay"',
    HEAD + "clay,\n": ', line 2, [[palette.ink]] 1: colour is missing; write such as colour = "#b5532a"',
    HEAD + "clay,#fff\n\nClay,#eee\n": ', line 4, [[palette.ink]] 2 name: "Clay" is taken by number 1; give it another name',
    HEAD + "clay,rgb(1,2,3)\n": ", line 2: 4 columns where the first line names 2; put what holds the separator in quotes",
    HEAD + 'clay,"#fff\n': f", line 2: {QUOTES}",
    HEAD + "clay," + "x" * 140_000: f", line 2: {QUOTES}",
    HEAD + "dark,#fff\nnone,#fff\n": ', line 3, [[palette.ink]] 2 name: "none" has a meaning of its own; give the ink another name',
    HEAD + "".join(f"i{number},#fff\n" for number in range(13)): ", line 14, [[palette.ink]] 13: expected 12 at most, not 13; leave some out",
    "name,colour,share\nclay,#fff,a third\n": ", line 2: share is no number: 'a third'; write such as 0.3",
    'name,colour,share\nclay,#fff,"0,3"\n': ", line 2: share is no number: '0,3'; write such as 0.3",
    "name,colour,share\nclay,#fff,30\n": ", line 2, [[palette.ink]] 1 share: expected a share of 1 (0.001 to 1), not 30; write share = 0.3",
    "name,colour,tip\nclay,#fff,nan\n": ", line 2, [[palette.ink]] 1 tip: expected a length, not nan; write such as tip = 1.0",
    "name,colour,role\nclay,#fff,main\n": ', line 2, [[palette.ink]] 1 role: expected dominant, dark, light or accent, not "main"; write such as role = "dominant"',
    "name,colour,coats\nclay,#fff,#eee |\n": ', line 2, [[palette.ink]] 1 coats: number 2: is empty; write it, or leave the line out',
}  # fmt: skip


@pytest.mark.parametrize("text", REFUSALS, ids=[told[:50] for told in REFUSALS.values()])
def test_what_is_wrong_is_told_in_one_line_with_its_place(tmp_path: Path, text: str) -> None:
    path = tmp_path / "own.csv"
    path.write_text(text, encoding="utf-8", newline="")
    with pytest.raises(DesignError) as caught:
        read_palette(path)
    assert str(caught.value) == "own.csv" + REFUSALS[text]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "own.toml: says nothing yet; `mockup new` writes one to begin with"),
        ("[palette]\n", "own.toml, line 1, [palette]: there are no inks; write [[palette.ink]] with name and colour for each"),
        ('[[palette.ink]]\nname = "clay"\n', 'own.toml, line 1, [[palette.ink]] 1: colour is missing; write such as colour = "#b5532a"'),
        ('palette = "x"\n', 'own.toml, line 1, palette: palette is a table, not "x"; begin it with [palette]'),
        ('title = "x"\n' + write_palette_toml([InkSpec("clay", "red")]), 'own.toml: there is neither [pattern] nor [drawing]; write [pattern] and motifs = ["pear", "fig"], or [drawing] and a file'),
    ],
)  # fmt: skip
def test_what_is_wrong_in_toml_is_told_as_in_a_design(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        read_palette(path)
    assert str(caught.value) == told


def test_missing_and_other_files_are_told(tmp_path: Path) -> None:
    def refused(path: Path) -> str:
        with pytest.raises(FileError) as caught:
            read_palette(path)
        return str(caught.value)

    (tmp_path / "autumn.csv").write_bytes(b"PK\x03\x04")
    assert refused(tmp_path / "autum.csv") == "autum.csv: there is no such file; did you mean 'autumn.csv'?"
    assert refused(tmp_path / "autumn.csv") == (
        "autumn.csv: is an office program's file or a zip, not a file of inks; save it as CSV in UTF-8"
    )
    assert refused(tmp_path / "x" / "autumn.toml").endswith(f"nor is there a folder {str(tmp_path / 'x')!r}")


BITS = ("role", "coats", "|", "nan", "[[palette.ink]]", "[palette]", "0x" + "F" * 4000)


GOOD = [PLAIN, SPREADSHEET, LEAST, write_palette_toml([InkSpec("clay", "red", tip=1)])]


def palette_or_refusal(path: Path) -> Design | str:
    try:
        return read_palette(path)
    except MockupError as error:
        return str(error)


@settings(max_examples=60)
@given(
    spoilt(GOOD, BITS).map(str.encode) | st.text(max_size=60).map(str.encode) | st.binary(max_size=60),
    st.sampled_from(["own.csv", "own.toml"]),
)
@example(b"name\n\n\n", "own.csv")
def test_any_file_is_a_palette_or_is_refused_in_one_line(data: bytes, name: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(data)
        found = palette_or_refusal(path)
    if isinstance(found, str):
        assert found.startswith(name)
        assert found.isprintable()
    else:
        inks = found.palette.inks
        assert read_palette_toml(write_palette_toml(inks, found.palette.box)).inks == inks
