"""Each name or value that a design file may not have, with the one line that it gets."""

import pytest
from refusals import INK, LEAST, refused

# names

NAMES = [
    ("[sheet]\nmargn = 8", 'line 7, [sheet]: unknown key "margn"; did you mean margin?'),
    ("[sheet]\ncolr = 8", 'line 7, [sheet]: unknown key "colr"; known here: size, scale, margin, paper, grain'),
    ("[sheet]\ntile = 8", 'line 7, [sheet]: unknown key "tile"; tile belongs in [pattern]'),
    (
        '[sheet]\ntitle = "x"',
        'line 7, [sheet]: unknown key "title"; title belongs at the top, before the first [table]',
    ),
    ("grane = true", 'line 6, [pattern]: unknown key "grane"; known here: repeat, tile, motifs, grid, drop, count,'
     " coverage, directions, gap, cells, variant"),
    ("[shadow]\nwidth = 2", 'line 6: unknown table "shadow"; did you mean shading?'),
    ('[[ink]]\nname = "x"', 'line 6: unknown table "ink"; begin it with [[palette.ink]]'),
    ("[shading.sheet]\nwidth = 1", 'line 6, [shading]: unknown key "sheet"; begin it with [sheet]'),
    ("[coloring]\nvariant = 2", 'line 6: "coloring" is the American spelling; write colouring'),
    ('[[colorway]]\ncode = "B"', 'line 6: "colorway" is the American spelling; write colourway'),
    (
        '[colouring]\ncolor_repeat = "none"',
        'line 7, [colouring]: "color_repeat" is the American spelling; write colour_repeat',
    ),
    (
        '[colouring]\nstart = "center"',
        'line 7, [colouring] start: "center" is the American spelling; write start = "centre"',
    ),
    (
        '[[palette.ink]]\nname = "b"\ncolor = "#000"',
        'line 8, [[palette.ink]] 2: "color" is the American spelling; write colour',
    ),
    (
        'motifs2 = [1]',
        'line 6, [pattern]: unknown key "motifs2"; did you mean motifs?',
    ),
]  # fmt: skip


@pytest.mark.parametrize(("written", "line"), NAMES)
def test_names(written: str, line: str) -> None:
    assert refused(f"{LEAST}{written}\n") == f"rose.toml, {line}"


# single values

VALUES = [
    # words
    (
        '[colouring]\nbalance = "evn"',
        '[colouring] balance: expected even, led or own, not "evn"; write balance = "even"',
    ),
    (
        '[shading]\nstyle = "rings"',
        '[shading] style: expected none, ends, one-end, side or rim, not "rings"; write such as style = "none"',
    ),
    (
        '[border]\nstyle = false',
        '[border] style: expected none, plain, double or motifs, not false; write style = "none"',
    ),
    ("[line]\nink = false", '[line] ink: expected an ink, not false; write ink = "none"'),
    (
        "[colouring]\nground = true",
        '[colouring] ground: expected text in quotes, not true; write such as ground = "paper"',
    ),
    (
        '[sheet]\ngrain = "yes"',
        '[sheet] grain: expected true or false, not "yes"; write grain = true or grain = false, without quotes',
    ),
    (
        '[colouring]\ncolour_repeat = false',
        '[colouring] colour_repeat: expected smallest, none or [across, down], not false;'
        ' write colour_repeat = "none"',
    ),
    (
        '[colouring]\ncolour_repeat = 2',
        '[colouring] colour_repeat: expected smallest, none or [across, down], not 2;'
        ' write colour_repeat = "smallest", "none" or [2, 2]',
    ),
    (
        "[colouring]\ncolour_repeat = [1, 99]",
        '[colouring] colour_repeat: expected 1 to 24, not 99; write such as colour_repeat = "smallest"',
    ),
    # numbers
    (
        '[shading]\nlight = "315"',
        '[shading] light: expected a number, not "315"; write light = 315, without quotes',
    ),
    ('[shading]\nlight = "1,5"', '[shading] light: "1,5" has a decimal comma; write light = 1.5'),
    ("[shading]\nlight = inf", "[shading] light: expected a number, not inf; write such as light = 315"),
    ("[shading]\nlight = 400", "[shading] light: expected -360 to 360, not 400; write such as light = 315"),
    ("[shading]\ncoats = 1.5", "[shading] coats: expected a whole number, not 1.5; write such as coats = 1"),
    ("[shading]\ncoats = 0", "[shading] coats: expected 1 to 4, not 0; write such as coats = 1"),
    ("[shading]\ncoats = true", "[shading] coats: expected a whole number, not true; write such as coats = 1"),
    ("[colouring]\nvariant = -1", "[colouring] variant: expected 0 to 1000000000, not -1; write such as variant = 1"),
    # lengths
    ('[sheet]\nmargin = "8"', '[sheet] margin: "8" has no unit; write margin = 8, or "8mm"'),
    (
        '[sheet]\nmargin = "8 ells"',
        "[sheet] margin: '8 ells' has an unknown unit; the units are mm, cm, in, Q, pt, pc, px",
    ),
    ('[sheet]\nmargin = "3,5cm"', "[sheet] margin: '3,5cm' has a decimal comma; write a point ('3.5cm')"),
    (
        '[sheet]\nmargin = "wide"',
        "[sheet] margin: 'wide' is not a length; write a number of mm, or such as \"6cm\" or \"2.5in\"",
    ),
    ("[sheet]\nmargin = nan", "[sheet] margin: expected a length, not nan; write such as margin = 8"),
    ("[sheet]\nmargin = -3", "[sheet] margin: expected 0 to 500 mm, not -3; write such as margin = 8"),
    ("[sheet]\nmargin = [1]", "[sheet] margin: expected a length, not a list of 1; write such as margin = 8"),
    ("[sheet]\nmargin = {}", "[sheet] margin: expected a length, not a table; write such as margin = 8"),
    ("[sheet]\nmargin = 0x" + "f" * 5000, "[sheet] margin: expected a length, not a huge number; write such as margin = 8"),
    ("[line]\nwidth = 0", "[line] width: expected 0.02 to 20 mm, not 0; write such as width = 0.4"),
    ("[colouring]\nreach = 0", "[colouring] reach: expected 0.1 to 2000 mm, not 0; write such as reach = 6"),
    # the sheet
    ('[sheet]\nsize = "A11"', '[sheet] size: expected a paper\'s name or [width, height], not "A11"; write size = "A1"'),
    (
        '[sheet]\nsize = "poster"',
        '[sheet] size: expected a paper\'s name or [width, height], not "poster";'
        ' write size = "A4", or [210, 297] in mm',
    ),
    (
        '[sheet]\nsize = "A4 landscape"',
        '[sheet] size: expected the name of an upright paper, not "A4 landscape"; write size = [297, 210]',
    ),
    ("[sheet]\nsize = [2001, 9]", '[sheet] size: expected 10 to 2000 mm, not 2001; write such as size = "A4"'),
    (
        "[sheet]\nsize = [29,7, 21,0]",
        "[sheet] size: expected a paper's name or [width, height], not a list of 4;"
        " a decimal comma is written as a point: 3.5",
    ),
    ("[sheet]\nscale = 4", '[sheet] scale: expected a scale in quotes, not 4; write scale = "1:4", or "1:1" for true size'),
    ('[sheet]\nscale = "1/4"', '[sheet] scale: expected a scale in quotes, not "1/4"; write scale = "1:4"'),
    ('[sheet]\nscale = "1:0"', '[sheet] scale: expected a scale from 1:100 to 10:1, not "1:0"; write such as scale = "1:1"'),
    (
        '[sheet]\npaper = "a\\tb"',
        "[sheet] paper: has a line break, a tab or another sign that cannot be seen; write one line",
    ),
    ('[sheet]\npaper = " "', "[sheet] paper: is empty; write it, or leave the line out"),
    (f'[sheet]\npaper = "{"x" * 101}"', "[sheet] paper: is longer than 100 signs; shorten it"),
    # lists and tables
    ('[shading]\nonly = "petal"', '[shading] only: expected a list of parts, not "petal"; write only = ["petal"]'),
    (
        '[shading]\nonly = ["a", 3]',
        '[shading] only: number 2: expected text in quotes, not 3; write such as only = ["petal"]',
    ),
    (
        '[colouring]\nonly = { leaf = "moss" }',
        '[colouring] only: "leaf": expected a list of inks, not "moss"; write "leaf" = ["moss"]',
    ),
    (
        "[colouring]\nonly = { leaf = [] }",
        '[colouring] only: "leaf": expected a list of 1 to 12 inks, not a list of 0;'
        ' write such as only = { leaf = ["moss", "sea"] }',
    ),
    (
        "[colouring]\nonly = true",
        '[colouring] only: expected a table of parts, not true; write such as only = { leaf = ["moss", "sea"] }',
    ),
    (
        '[colouring]\nfixed = { "a-1/b" = 3 }',
        '[colouring] fixed: "a-1/b": expected text in quotes, not 3;'
        ' write such as fixed = { "pear-3/body" = "clay" }',
    ),
    (
        '[colouring]\nfixed = { "pear" = "clay" }',
        '[colouring] fixed: "pear": is no place; write pear-3/body, or at 32,41 (mm)',
    ),
    (
        '[colouring]\nfixed = { "pear-3@0,1/body" = "clay" }',
        '[colouring] fixed: "pear-3@0,1/body": names no tile; write column and row from 1: pear-3@2,1/body',
    ),
    (
        '[colouring]\nfixed = { "at 3,5,41" = "clay" }',
        '[colouring] fixed: "at 3,5,41": is no point; a decimal comma is written as a point: at 32.5,41',
    ),
    (
        '[colouring]\nfixed = { "at 32" = "clay" }',
        '[colouring] fixed: "at 32": is no point; write at 32,41 (mm)',
    ),
    (
        '[colouring]\nfixed = { "at 3,4" = "clay", "at 3, 4" = "clay" }',
        '[colouring] fixed: "at 3, 4": stands twice; keep one of them',
    ),
    (
        f'[colouring]\nfixed = {{ "{"x" * 201}" = "clay" }}',
        f'[colouring] fixed: "{"x" * 37}...": is longer than 200 signs; shorten it',
    ),
    (
        '[colouring]\nfixed = { "a\\tb" = "clay" }',
        '[colouring] fixed: "a\\tb": expected a place, not "a\\tb"; write such as fixed = { "pear-3/body" = "clay" }',
    ),
    (
        "[colouring.only]\n" + "".join(f'p{n} = ["a"]\n' for n in range(2001)),
        "[colouring] only: has more than 2000 entries; leave some out",
    ),
    # what does not agree
    (
        '[colouring]\nbalance = "own"',
        "[colouring] balance: own, but no ink has a share; write share = 0.3 at an ink",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("written", "line"), VALUES)
def test_values(written: str, line: str) -> None:
    place = 6 if written.startswith("[colouring.only]") else 7
    assert refused(f"{LEAST}{written}\n") == f"rose.toml, line {place}, {line}"


PATTERNS = [
    ("drop = 0.5", 'drop: expected a fraction in quotes, not 0.5; write drop = "1/2"'),
    ("drop = 2", 'drop: expected a fraction such as "1/2", not 2; write such as drop = "1/2"'),
    ('drop = "1/0"', 'drop: expected a fraction such as "1/2", not "1/0"; write such as drop = "1/2"'),
    (
        'drop = "2/2"',
        'drop: expected a fraction above 0 and below 1, not "2/2"; for no drop write repeat = "straight"',
    ),
    ('drop = "5/13"', 'drop: expected a fraction of halves to twelfths, not "5/13"; write drop = "3/8"'),
    ('repeat = "pmm"', 'repeat: expected a repeat, not "pmm"; write repeat = "p2mm"'),
    ('repeat = "Half Drop"', 'repeat: expected a repeat, not "Half Drop"; write repeat = "half-drop"'),
    (
        'repeat = "hexagon"',
        "repeat: expected straight, half-drop, brick, mirror, turned, ogee, diamond, scallop, stripe, ring, tossed"
        ' or a plane group (p1 to p6mm), not "hexagon"; write such as repeat = "half-drop"',
    ),
    ("tile = 1", "tile: expected 2 to 2000 mm, not 1; write such as tile = [60, 60]"),
    ("tile = [60, 2001]", "tile: expected 2 to 2000 mm, not 2001; write such as tile = [60, 60]"),
    (
        "tile = [1, 2, 3]",
        "tile: expected one length or [width, height], not a list of 3; write such as tile = [60, 60]",
    ),
    ('tile = [60, 50]\nrepeat = "p4"', "tile: p4 needs a tile with equal sides; write tile = 60"),
    ('tile = [60, 50]\nrepeat = "p6mm"', "tile: p6mm needs a tile with equal sides; write tile = 60"),
    ("coverage = 55", "coverage: expected a share of 1 (0.02 to 0.95), not 55; write coverage = 0.55"),
    ("coverage = 0", "coverage: expected 0.02 to 0.95, not 0; write such as coverage = 0.55"),
    ('coverage = "0,5"', 'coverage: "0,5" has a decimal comma; write coverage = 0.5'),
    ("count = 2001", "count: expected 1 to 2000, not 2001; write such as count = 40"),
    ("grid = [21, 1]", "grid: expected 1 to 20, not 21; write such as grid = [2, 2]"),
    ("grid = 4", "grid: expected places [across, down], not 4; write such as grid = [2, 2]"),
    ('gap = "tiny"', 'gap: \'tiny\' is not a length; write a number of mm, or such as "6cm" or "2.5in"'),
]


@pytest.mark.parametrize(("written", "line"), PATTERNS)
def test_patterns(written: str, line: str) -> None:
    assert refused(f"{LEAST}{written}\n") == f"rose.toml, line 6, [pattern] {line}"


MOTIF_LISTS = [
    ('"pear"', '[pattern] motifs: expected a list of motifs, not "pear"; write motifs = ["pear"]'),
    (
        "[]",
        '[pattern] motifs: expected a list of 1 to 100 motifs, not a list of 0; write such as motifs = ["pear"]',
    ),
    ("[3]", '[pattern] motifs: number 1: expected a motif\'s name, not 3; write ["pear", "fig"]'),
    ('["pear", { turn = 3 }]', '[[pattern.motifs]] 2: name is missing; write such as name = "pear"'),
    ('[{ name = "a", turns = 3 }]', '[[pattern.motifs]] 1: unknown key "turns"; did you mean turn?'),
    (
        '[{ name = "a", scale = 0 }]',
        "[[pattern.motifs]] 1 scale: expected 0.05 to 20, not 0; write such as scale = 1.2",
    ),
]


@pytest.mark.parametrize(("written", "line"), MOTIF_LISTS)
def test_motifs(written: str, line: str) -> None:
    assert refused(f"{INK}[pattern]\nmotifs = {written}\n") == f"rose.toml, line 5, {line}"
