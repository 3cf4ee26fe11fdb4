"""Each mistake in a design file, with the one line that it gets."""

import pytest
from refusals import INK, LEAST, MOTIFS, refused

from mockup.design.mistakes import british, nearest
from mockup.design.reading import parse_design

# whole designs

DESIGNS = [
    (INK, 'rose.toml: there is neither [pattern] nor [drawing]; write [pattern] and motifs = ["pear", "fig"],'
     " or [drawing] and a file"),
    (LEAST + '[drawing]\nfile = "a.svg"\n', "rose.toml, line 6, drawing: [pattern] and [drawing] both stand in it;"
     " keep one of them"),
    (MOTIFS, "rose.toml: there is no [palette]; write [[palette.ink]] with name and colour for each ink"),
    ('[palette]\nbox = "a.csv"\n' + MOTIFS, "rose.toml, line 1, [palette]: there are no inks;"
     " write [[palette.ink]] with name and colour for each"),
    (INK + "[pattern]\ngap = 1\n", 'rose.toml, line 4, [pattern]: motifs is missing; write such as motifs = ["pear"]'),
    (INK + "[drawing]\n", 'rose.toml, line 4, [drawing]: file is missing; write such as file = "drawing.svg"'),
    (
        INK.replace('name = "clay"\n', "") + MOTIFS,
        'rose.toml, line 1, [[palette.ink]] 1: name is missing; write such as name = "clay"',
    ),
    (
        INK.replace('colour = "#b5532a"\n', "") + MOTIFS,
        'rose.toml, line 1, [[palette.ink]] 1: colour is missing; write such as colour = "#b5532a"',
    ),
    (
        INK + INK.replace("clay", "Clay") + MOTIFS,
        'rose.toml, line 5, [[palette.ink]] 2 name: "Clay" is taken by number 1; give it another name',
    ),
    (
        INK * 13 + MOTIFS,
        "rose.toml, line 37, [[palette.ink]] 13: expected 12 at most, not 13; leave some out",
    ),
    (
        INK + 'role = "lite"\n' + MOTIFS,
        "rose.toml, line 4, [[palette.ink]] 1 role: expected dominant, dark, light or accent, not \"lite\";"
        ' write role = "light"',
    ),
    (
        INK + "share = 30\n" + MOTIFS,
        "rose.toml, line 4, [[palette.ink]] 1 share: expected a share of 1 (0.001 to 1), not 30; write share = 0.3",
    ),
    (
        INK.replace("clay", "none") + MOTIFS,
        'rose.toml, line 2, [[palette.ink]] 1 name: "none" has a meaning of its own; give the ink another name',
    ),
    (
        INK.replace("clay", "paper") + MOTIFS,
        'rose.toml, line 2, [[palette.ink]] 1 name: "paper" has a meaning of its own; give the ink another name',
    ),
    (
        INK.replace("clay", "dark") + 'role = "light"\n' + MOTIFS,
        'rose.toml, line 2, [[palette.ink]] 1 name: "dark" has a meaning of its own; give the ink another name',
    ),
    (
        INK + '[[palette.side]]\nname = "skin"\n' + MOTIFS,
        "rose.toml, line 4, [[palette.side]] 1: there are no inks;"
        " write [[palette.side.ink]] with name and colour for each",
    ),
    (
        INK + '[[palette.side]]\nink = [{ name = "a", colour = "red", role = "dark" }]\n' + MOTIFS,
        'rose.toml, line 5, [[palette.side.ink]] 1: unknown key "role"; role belongs in [[palette.ink]]',
    ),
    (
        INK + '[[palette.side]]\nink = [{ name = "a", colour = "red" }]\n' * 2 + MOTIFS,
        'rose.toml, line 6, [[palette.side]] 2 name: "skin" is taken by number 1; give it another name',
    ),
    (
        LEAST + '[[colourway]]\ncode = "B"\n[[colourway]]\ncode = "b"\n',
        'rose.toml, line 9, [[colourway]] 2 code: "b" is taken by number 1; give it another code',
    ),
    (
        LEAST + '[[colourway]]\nname = "Dusk"\n[[colourway]]\nname = "dusk"\n',
        'rose.toml, line 9, [[colourway]] 2 name: "dusk" is taken by number 1; give it another name',
    ),
    (
        LEAST + '[[colourway]]\ncode = "B/2"\n',
        'rose.toml, line 7, [[colourway]] 1 code: expected letters and figures, not "B/2"; write code = "B"',
    ),
    (
        LEAST + "[[colourway]]\ninks = { clay = 3 }\n",
        'rose.toml, line 7, [[colourway]] 1 inks: "clay": expected text in quotes, not 3;'
        ' write such as inks = { clay = "plum" }',
    ),
    (
        LEAST + '[colourway]\ncode = "B"\n',
        "rose.toml, line 6, colourway: colourway has one bracket where two are needed; begin each with [[colourway]]",
    ),
    (
        "colourway = 3\n" + LEAST,
        "rose.toml, line 1, colourway: colourway is no list of tables; begin each with [[colourway]]",
    ),
    (LEAST + "[[sheet]]\n", "rose.toml, line 6, sheet: sheet has two brackets where one is needed; begin it with [sheet]"),
    ("sheet = 3\n" + LEAST, "rose.toml, line 1, sheet: sheet is a table, not 3; begin it with [sheet]"),
    (
        LEAST + "[border]\nwidth = 97\n",
        "rose.toml, line 6, [border]: margin and border take 210 mm of 210;"
        " make [sheet] margin or [border] width smaller",
    ),
    (
        LEAST + '[sheet]\nmargin = 103\n[border]\nstyle = "none"\n',
        "rose.toml, line 8, [border]: margin and border take 206 mm of 210;"
        " make [sheet] margin or [border] width smaller",
    ),
    (
        INK + '[drawing]\nfile = "a.svg"\n[border]\nstyle = "motifs"\n',
        'rose.toml, line 7, [border] style: a border of motifs, but none is named; write motifs = ["pear"]',
    ),
    (
        INK + "share = 1\n" + INK.replace("clay", "b") + MOTIFS + '[colouring]\nbalance = "own"\n',
        "rose.toml, line 11, [colouring] balance: the shares come to 1 and leave nothing for the others;"
        " make them smaller",
    ),
    (
        INK + "share = 0.9\n" + MOTIFS + '[colouring]\nbalance = "own"\n',
        "rose.toml, line 8, [colouring] balance: the shares come to 0.9; make them 1, or leave one out",
    ),
    (
        'date = "2026-03-04"\n' + LEAST,
        'rose.toml, line 1, date: expected a date, not "2026-03-04"; write date = 2026-03-04, without quotes',
    ),
    (
        "date = 2026-03-04T10:00:00\n" + LEAST,
        "rose.toml, line 1, date: expected a date without a time, not 2026-03-04 10:00:00; write date = 2026-03-04",
    ),
    ("date = 2026\n" + LEAST, "rose.toml, line 1, date: expected a date, not 2026; write such as date = 2026-03-04"),
    ("", "rose.toml: says nothing yet; `mockup new` writes one to begin with"),
    ("# roses\n", "rose.toml: says nothing yet; `mockup new` writes one to begin with"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line"), DESIGNS)
def test_designs(text: str, line: str) -> None:
    assert refused(text) == line


def test_light_and_dark_may_be_names_of_such_inks() -> None:
    text = INK.replace("clay", "dark") + 'role = "dark"\n' + INK.replace("clay", "light") + MOTIFS
    assert [ink.name for ink in parse_design(text).palette.inks] == ["dark", "light"]


# slips of grammar: the second line of a file

SLIPS = [
    ("title = “Rose”", 'curly quotes; write straight ones: "..."'),
    ('title = "Rose”', 'curly quotes; write straight ones: "..."'),
    ("motifs = [‘pear’]", 'curly quotes; write straight ones: "..."'),
    ('title = "Anna’s', "a quote is never closed; close it"),
    ("title = 'Rose", "a quote is never closed; close it"),
    ("margin = 3,5", "a decimal comma; write a point: 3.5"),
    ('motifs = [{ name = "a", scale = 1,5 }]', "a decimal comma; write a point: 3.5"),
    ("\u00a0margin = 3", "a space that is no ordinary one; write an ordinary space"),
    ("turn = –15", "a dash for a minus sign; write - as on the keyboard"),
    ("share = .5", "nothing before the point; write 0.5"),
    ("share = 5.", "nothing after the point; write 5.0 or 5"),
    ("paper = #fdfcf8", 'a colour without quotes; write "#b5532a"'),
    ("paper = lab(50 20 30)", 'a colour without quotes; write "lab(50 20 30)"'),
    ("grain = True", "true and false are in small letters; write true or false"),
    ("grain = yes # please", "yes and no are not understood; write true or false"),
    ("margin = 6cm", 'a length with a unit needs quotes; write "6cm"'),
    ("share = 30%", "per cent; write a share of 1, such as 0.3"),
    ("scale = 1:4", 'a scale needs quotes; write "1:4"'),
    ("drop = 1/2", 'a fraction needs quotes; write "1/2"'),
    ("date = 4.3.2026", "no date; write year-month-day: 2026-03-04"),
    ("date = 2026-02-30", "no date; write year-month-day: 2026-03-04"),
    ("repeat = half-drop # as ever", 'text without quotes; write it in quotes: "..."'),
    ("motifs = [pear, fig]", 'text without quotes; write ["a", "b"]'),
    ("title =", "nothing after =; write a value, or leave the line out"),
    ("title: Rose", "a colon after a name; write ="),
    ('pear-3/body = "clay"', 'a place needs quotes; write "pear-3/body" = "clay"'),
    ('at 32,41 = "clay"', 'a place needs quotes; write "pear-3/body" = "clay"'),
    ("// roses", "a remark begins with #; write #"),
    ('box = "C:\\inks.csv"', "a backslash in double quotes; write / in paths, or single quotes"),
    ('box = "C:\\Ufonts"', "a backslash in double quotes; write / in paths, or single quotes"),
    ('box = "\\uD800"', "a backslash in double quotes; write / in paths, or single quotes"),
    ('title = """Rose', "a quote is never closed; close it"),
    ("title = '''Rose", "a quote is never closed; close it"),
    ("grid = [1 2]", 'a comma or ] is missing; write ["a", "b"]'),
    ("a = { b = 1 c = 2 }", 'a comma or } is missing; write { name = "a", turn = 15 }'),
    ("[sheet", "a table's heading is not closed; write [sheet] or [[palette.ink]]"),
    ("[[palette.ink]", "a table's heading is not closed; write [sheet] or [[palette.ink]]"),
    ('designer = "B"', "a name stands twice; keep one of them"),
    ("a = { b = 1, b = 2 }", "a name stands twice; keep one of them"),
    ("title", "a name without = and a value; write NAME = VALUE"),
    ('client = "A" "B"', "more than one value; write one NAME = VALUE a line, text in quotes"),
    ("client = *", 'no value; write "text", a number, true, false or [a, list]'),
    ("client = 'a\x07'", "a sign that cannot be seen; type the line again"),
    ('client = "a\x07"', "a sign that cannot be seen; type the line again"),
    ("= 3", "not a line of a design file; write NAME = VALUE, [TABLE] or # remark"),
    ("[]", "not a name; write NAME = VALUE or [TABLE]"),
    ("[palette.ink]\n[palette.ink]", "[palette.ink] stands twice; write [[palette.ink]] for each"),
    ("[sheet]\n[sheet]", "[sheet] stands twice; put the two together"),
    ("a.b.c.d.e.f.g.h.i = 1", "too many names joined by points; write NAME = VALUE"),
    ("n = " + "9" * 5000, "a number has too many digits; write fewer"),
]


@pytest.mark.parametrize(("written", "line"), SLIPS)
def test_slips(written: str, line: str) -> None:
    number = 2 + written.count("\n")
    assert refused(f'designer = "A"\n{written}\n') == f"rose.toml, line {number}: {line}"


def test_a_quote_that_is_open_to_the_end_is_found_where_it_opens() -> None:
    assert refused(f"designer = 'A\n{LEAST}") == "rose.toml, line 1: a quote is never closed; close it"
    assert (
        refused(f'{LEAST}# it\'s\ngap = """1\n\n[sheet]\n')
        == "rose.toml, line 7: a quote is never closed; close it"
    )


def test_a_list_that_is_left_open() -> None:
    for after in ("gap = 1", "[sheet]", ""):
        text = f'[pattern]\nmotifs = [\n  "pear", # "fig"\n\n{after}'
        line = 5 if after else 3
        assert refused(text) == f"rose.toml, line {line}: a list before this is not closed; write ]"


def test_lists_in_lists_in_lists() -> None:
    assert refused("a = " + "[" * 4000) == (
        "rose.toml: lists or tables lie too deep in each other; write fewer [ or {"
    )


@pytest.mark.parametrize("title", ["Anna’s “Rose” – in 3,5 cm", "// 30% = True", "a = #fff"])
def test_what_looks_like_a_slip_may_stand_in_text(title: str) -> None:
    assert parse_design(f'title = "{title}" # “quoted” = 3,5\n{LEAST}').title == title


# words


@pytest.mark.parametrize(
    ("word", "ours"),
    [
        ("color", "colour"),
        ("Colorway", "colourway"),
        ("center", "centre"),
        ("gray", "grey"),
        ("tile", "tile"),
    ],
)
def test_british(word: str, ours: str) -> None:
    assert british(word) == ours


def test_nearest() -> None:
    assert nearest("halfdrop", ("straight", "half-drop")) == "half-drop"
    assert nearest("HALF_DROP", ("straight", "half-drop")) == "half-drop"
    assert nearest("zebra", ("straight", "half-drop")) is None
    assert nearest("cmm", ("cm", "c2mm")) == "c2mm"
