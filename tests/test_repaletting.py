"""Another palette in a design file: it says what it said but for the inks, and no remark of hers is lost."""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small import BLOCKS

from mockup.colour.conversion import read_colour
from mockup.colour.ink import Ink
from mockup.colour.palette import Palette
from mockup.design.amending import remarks
from mockup.design.reading import parse_design
from mockup.design.records import InkSpec
from mockup.design.repaletting import with_palette
from mockup.errors import DesignError
from mockup.jobs.offers import Offer, changed_design

OLD = ("Clay", "moss", "old jar", "Ébène", "night", "l'or")
NEW = ("sea", "Rust", "paper sky", "Grün", "bone", "ink nº 7")
COLOURS = ("#b5532a", "#73834f", "lab(50 20 30)", "tomato", "rgb(10, 20, 30)", "oklch(0.5 0.1 200)")
STYLES = ("tables", "list", "one line", "dotted", "braces")


@dataclass(frozen=True)
class Case:
    """A design as numbers of inks: whatever names an ink holds its place, so that it can be written in any names."""

    style: str
    old: tuple[InkSpec, ...]
    new: tuple[InkSpec, ...]
    places: tuple[int | None, ...]
    named: dict[str, int]
    """What names an ink, to the ink's place."""
    cased: bool
    remarked: bool
    end: str
    mark: bool
    last_first: bool
    inner: str
    open_end: bool
    box: str | None

    @property
    def heirs(self) -> dict[int, str]:
        """The new name of every old ink that stays."""
        return {
            place: ink.name for ink, place in zip(self.new, self.places, strict=True) if place is not None
        }


@st.composite
def specs(draw: st.DrawFn, names: Sequence[str], box: bool) -> tuple[InkSpec, ...]:
    inks = []
    for name in names:
        colour = draw(st.sampled_from(COLOURS) | st.none() if box else st.sampled_from(COLOURS))
        coats = tuple(draw(st.lists(st.sampled_from(COLOURS), max_size=3)))
        role = draw(st.sampled_from([None, "accent"]))
        width = st.none() | st.sampled_from([0.5, 1.0, 2.25])
        inks.append(
            InkSpec(name, colour, role, draw(st.none() | st.just(0.25)), coats, draw(width), draw(width))
        )
    return tuple(inks)


REFERENCES = (
    *("ground", "fixed a", "fixed b", "only leaf", "only stem", "line", "border"),
    *("way ground", "way from", "way from 2", "way to"),
)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    count = draw(st.integers(1, 4))
    box = draw(st.sampled_from([None, None, "my inks.csv"]))
    old = draw(specs(draw(st.permutations(OLD))[:count], False))
    stay = sorted(draw(st.sets(st.integers(0, count - 1), min_size=1)))
    further = draw(st.integers(0, 2))
    names = draw(st.permutations([*(ink.name for ink in old), *NEW]))[: len(stay) + further]
    new = draw(specs(names, box is not None))
    named = draw(st.dictionaries(st.sampled_from(REFERENCES), st.sampled_from(stay)))
    if named.get("way from") == named.get("way from 2"):
        named.pop("way from", None)
    flag = st.booleans()
    return Case(
        draw(st.sampled_from(STYLES)),
        old,
        new,
        (*stay, *[None] * further),
        named,
        draw(flag),
        draw(flag),
        draw(st.sampled_from(["\n", "\r\n"])),
        draw(flag),
        draw(flag),
        draw(st.sampled_from(["braces", "dotted", "tables"])),
        draw(flag),
        box,
    )


def values(ink: InkSpec) -> dict[str, Any]:
    """Give what an ink's table says."""
    found: dict[str, Any] = {"name": ink.name, "colour": ink.colour, "role": ink.role, "share": ink.share}
    found |= {"coats": list(ink.coats) or None, "tip": ink.tip, "bleed": ink.bleed}
    return {key: value for key, value in found.items() if value is not None}


class Writer:
    """Writes lines, each with a remark of its own and one above it."""

    def __init__(self, remarked: bool) -> None:
        self.rows: list[str] = []
        self.count = 0
        self.remarked = remarked

    def remark(self) -> str:
        self.count += self.remarked
        return f'#  she said <{self.count}>, "x = 1" [y] \'' if self.remarked else ""

    def line(self, text: str) -> None:
        if self.remarked:
            self.rows.append(self.remark())
        self.rows.append(f"{text} {self.remark()}".rstrip())


def quoted(text: str) -> str:
    return f"'{text}'" if " " in text and "'" not in text else f'"{text}"'


def literal(value: object, writer: Writer, lines: bool) -> str:
    """Write a value; lists over several lines where that may be."""
    if isinstance(value, list) and lines:
        inner = "\n".join(f"    {quoted(one)}, {writer.remark()}" for one in value)
        return f"[ {writer.remark()}\n{inner}\n  {writer.remark()}\n]"
    if isinstance(value, list):
        return f"[{', '.join(map(quoted, value))}]"
    return quoted(value) if isinstance(value, str) else f"{value}"


def palette_lines(case: Case, writer: Writer) -> None:
    if case.style == "tables":
        for ink in case.old:
            writer.line("[[palette.ink]]")
            for key, value in values(ink).items():
                writer.line(f"{key} = {literal(value, writer, case.remarked)}")
            writer.rows.append("")
        return
    tables = [
        "{ "
        + ", ".join(f"{key} = {literal(value, writer, False)}" for key, value in values(ink).items())
        + " }"
        for ink in case.old
    ]
    if case.style == "list":
        writer.line("[palette]")
        rows = "\n".join(
            f"  {table}{',' * (place < len(tables) - 1)} {writer.remark()}"
            for place, table in enumerate(tables)
        )
        writer.line(f"ink = [ {writer.remark()}\n{rows}\n  {writer.remark()}\n]")
    elif case.style == "one line":
        writer.line("[palette]")
        writer.line(f"ink = [{', '.join(tables)}]")
    elif case.style == "dotted":
        writer.line(f"palette.ink = [{', '.join(tables)}]")
    else:
        writer.line(f"palette = {{ ink = [{', '.join(tables)}] }}")


def references(case: Case, names: dict[int, str], writer: Writer) -> None:
    """Write whatever names inks, in some names."""

    def name(key: str) -> str:
        plain = names[case.named[key]]
        return quoted(
            plain.swapcase() if case.cased and plain.swapcase().casefold() == plain.casefold() else plain
        )

    has = case.named.__contains__
    writer.line("[colouring]")
    writer.line(f"ground = {name('ground')}" if has("ground") else 'ground = "dark"')
    fixed = [f'"a-{n}/b" = {name(key)}' for n, key in enumerate(["fixed a", "fixed b"], 1) if has(key)]
    only = [
        f"{part} = [ {writer.remark()}\n  {name(f'only {part}')} {writer.remark()}\n ]"
        for part in ("leaf", "stem")
        if has(f"only {part}")
    ]
    tables(case.inner, "colouring", {"fixed": fixed, "only": only}, writer)
    for table in ("line", "border"):
        writer.line(f"[{table}]")
        writer.line(f"ink = {name(table)}" if has(table) else 'ink = "dark"')
        writer.line("width = 1")
    writer.line("[[colourway]]")
    writer.line('name = "Dusk"')
    if has("way ground"):
        writer.line(f"ground = {name('way ground')}")
    inks = [
        f"{name(key)} = {name(other) if has(other) else quoted('#123456')}"
        for key, other in (("way from", "way to"), ("way from 2", ""))
        if has(key)
    ]
    tables(case.inner, "colourway", {"inks": inks}, writer)


def tables(inner: str, outer: str, told: dict[str, list[str]], writer: Writer) -> None:
    """Write tables within another in one of three ways."""
    for key, entries in told.items():
        if inner == "braces":
            writer.line(f"{key} = {{ {', '.join(entries)} }}")
        elif inner == "dotted":
            for entry in entries:
                writer.line(f"{key}.{entry}")
        else:
            writer.line(f"[{outer}.{key}]")
            for entry in entries:
                writer.line(entry)


def text_of(case: Case) -> tuple[str, int]:
    """Write a design file in the old names; how many remarks are in it."""
    writer = Writer(case.remarked)
    names = {place: ink.name for place, ink in enumerate(case.old)}
    top = case.style in {"dotted", "braces"} or not case.last_first
    writer.line('title = "Pears # no remark"')
    if top:
        palette_lines(case, writer)
    writer.line("[pattern]")
    writer.line('motifs = ["pear", { name = "fig", turn = 15 }]')
    references(case, names, writer)
    if not top:
        palette_lines(case, writer)
    text = "\n".join(writer.rows) + "\n" * (not case.open_end)
    return "\ufeff" * case.mark + text.replace("\n", case.end), writer.count


def expected(case: Case, text: str) -> dict[str, Any]:
    """What the file must say afterwards: all else as it was, inks and their names in the new form."""
    said = tomllib.loads(text.removeprefix("\ufeff"))
    writer = Writer(False)
    plain = replace(case, cased=False)
    references(plain, case.heirs, writer)
    renamed = tomllib.loads("\n".join(writer.rows))
    for table in ("colouring", "line", "border", "colourway"):
        said[table] = renamed[table]
    same_count = len(case.new) == len(case.old)
    inks = []
    for ink, place in zip(case.new, case.places, strict=True):
        kept = case.old[place].share if place is not None and same_count else None
        inks.append(values(replace(ink, share=kept if ink.share is None else ink.share)))
    said["palette"] = {"ink": inks} | ({"box": case.box} if case.box else {})
    return said


def folded(said: dict[str, Any], names: Sequence[str]) -> dict[str, Any]:
    """Give data with references in one case: an ink that keeps its name may stay written as it was."""
    known = {name.casefold(): name for name in names}

    def fold(value: Any) -> Any:
        if isinstance(value, dict):
            return {known.get(str(key).casefold(), key): fold(one) for key, one in value.items()}
        if isinstance(value, list):
            return [fold(one) for one in value]
        return known.get(value.casefold(), value) if isinstance(value, str) else value

    found: dict[str, Any] = fold(said)
    return found


@settings(max_examples=30)
@given(cases())
def test_the_file_says_what_it_said_but_for_the_inks_and_keeps_every_remark(case: Case) -> None:
    text, count = text_of(case)
    found = with_palette(text, case.new, case.places, box=case.box, where="rose.toml")
    bare = found.removeprefix("\ufeff")
    names = [ink.name for ink in case.new]
    assert folded(tomllib.loads(bare), names) == folded(expected(case, text), names)
    for number in range(1, count + 1):
        assert found.count(f'she said <{number}>, "x = 1" [y] \'') == 1
    assert found.startswith("\ufeff") == case.mark
    assert found.count("\r\n") == (found.count("\n") if "\r\n" in text else 0)
    design = parse_design(found)
    assert [ink.name for ink in design.palette.inks] == names
    again = with_palette(found, design.palette.inks, range(len(names)), box=case.box)
    assert again == found


@settings(max_examples=15)
@given(cases())
def test_the_same_palette_leaves_every_byte(case: Case) -> None:
    text, _ = text_of(case)
    inks = parse_design(text).palette.inks
    assert with_palette(text, inks, range(len(inks))) == text


LEAST = """[[palette.ink]]
name = "clay"
colour = "#b5532a"
[[palette.ink]]
name = "night"
colour = "#25313f"
[drawing]
file = "blocks.svg"
"""


@pytest.mark.parametrize(
    ("table", "place"),
    [
        ('[colouring]\nground = "NIGHT"', "[colouring] ground"),
        ('[colouring]\nfixed = { "at 7,7" = "night" }', "[colouring] fixed"),
        ('[colouring]\nonly = { a = ["clay", "night"] }', "[colouring] only"),
        ('[line]\nink = "night"', "[line] ink"),
        ('[border]\nink = "night"', "[border] ink"),
        ('[[colourway]]\nground = "night"', "[[colourway]] ground"),
        ('[[colourway]]\ninks = { night = "#222222" }', "[[colourway]] inks"),
        ('[[colourway]]\ninks = { clay = "night" }', "[[colourway]] inks"),
    ],
)
def test_an_ink_that_is_named_elsewhere_cannot_go_and_nothing_is_written(
    tmp_path: Path, table: str, place: str
) -> None:
    (tmp_path / "blocks.svg").write_text(BLOCKS, encoding="utf-8")
    file = tmp_path / "rose.toml"
    file.write_text(f"{LEAST}{table}\n", encoding="utf-8")
    before = file.read_bytes()
    with pytest.raises(DesignError) as caught:
        changed_design(file, Offer(Palette((Ink("sea", read_colour("#336677"), "dominant"),))))
    named = '"NIGHT"' if "NIGHT" in table else '"night"'
    assert str(caught.value) == (
        f"rose.toml, {place}: names the ink {named}, and no ink of the new palette takes its place; "
        "name another ink there first"
    )
    assert file.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir() if path.name not in {"blocks.svg", "rose.toml"}] == []


WORDS = """[[palette.ink]]
name = "dark"
colour = "#25313f"
role = "dark"
[[palette.ink]]
name = "oat"
colour = "#f1e4c8"
[pattern]
motifs = ["pear"]
[colouring]
ground = "dark"
fixed = { "pear-1/body" = "dark" }
[line]
ink = "dark"
[border]
ink = "dark"
[[colourway]]
ground = "light"
"""


@pytest.mark.parametrize(
    "form", ["[colourway.inks]\n{0}\n{1}\n", "inks = {{ {0}, {1} }}\n", "inks.{0}\ninks.{1}\n"]
)
def test_colourways_take_both_new_names_even_those_that_change_places(form: str) -> None:
    told = form.format('dark = "#123456"', 'oat = "#654321"')
    text = WORDS.replace('ground = "light"', 'name = "Dusk"\n' + told)
    for names in (["sea", "bone"], ["oat", "dark"], ["bone", "oat"]):
        found = with_palette(text, [InkSpec(name, "#111122") for name in names], [0, 1])
        inks = tomllib.loads(found)["colourway"][0]["inks"]
        assert inks == dict(zip(names, ["#123456", "#654321"], strict=True))


def test_words_stay_words_where_an_ink_had_their_name() -> None:
    found = with_palette(WORDS, [InkSpec("night", "#111122"), InkSpec("oat", "#f1e4c8")], [0, 1])
    said = tomllib.loads(found)
    wanted = tomllib.loads(WORDS)
    wanted["palette"]["ink"][0] = {"name": "night", "colour": "#111122"}
    wanted["colouring"]["fixed"] = {"pear-1/body": "night"}
    assert said == wanted


def test_words_do_not_keep_an_ink() -> None:
    text = WORDS.replace("fixed", "# fixed")
    assert tomllib.loads(with_palette(text, [InkSpec("oat", "#f1e4c8")], [1]))["palette"]["ink"] == [
        {"name": "oat", "colour": "#f1e4c8"}
    ]


def test_lengths_and_blanks_that_say_the_same_stay_as_they_are() -> None:
    text = LEAST.replace('"clay"', '" clay "').replace('"#b5532a"', '"#b5532a"\ntip = "0.1cm"\nbleed = 0')
    inks = parse_design(text).palette.inks
    assert inks[0].tip == 1.0
    assert with_palette(text, inks, range(2)) == text


APART = """[[palette.ink]]
name = "clay" # one
colour = "#b5532a"
[pattern] # all sorts between
motifs = ["pear"]
[[palette.ink]] # two
name = "night"
colour = "#25313f"
[[palette.side]]
name = "skin"
ink = [{ name = "tan", colour = "#cc9999" }] # apart
[line]
ink = "night"
"""


def test_inks_may_stand_apart_from_each_other_and_sides_are_left_alone() -> None:
    inks = [InkSpec("sea", "#336677"), InkSpec("bone", "#eeeecc")]
    found = with_palette(APART, inks, [0, 1], box="inks.csv")
    wanted = tomllib.loads(APART)
    wanted["palette"] |= {"box": "inks.csv", "ink": [values(ink) for ink in inks]}
    wanted["line"]["ink"] = "bone"
    assert tomllib.loads(found) == wanted
    assert [word for word in ("# one", "# two", "# all sorts between", "# apart") if word not in found] == []


@pytest.mark.parametrize(
    "text", ["", "[palette]\n", 'palette = "x"\n', "[[palette]]\n", "[palette]\nink = 3\n"]
)
def test_a_file_without_inks_cannot_be_given_others(text: str) -> None:
    with pytest.raises(DesignError) as caught:
        with_palette(text, [InkSpec("sea", "#336677")], [0], where="rose.toml")
    assert str(caught.value) == (
        "rose.toml: is written in a way that cannot be changed from here; "
        "write what is printed into it by hand"
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("# a\nx = 1 #b\n  #  c  \n", ["# a", "#b", "#  c"]),
        ('x = "# no" # yes\n', ["# yes"]),
        ("x = '# no' # yes\n", ["# yes"]),
        ('x = "a \\" # no" # yes "\n', ['# yes "']),
        ("x = 'a \\' # yes\n", ["# yes"]),
        ('x = """\n# no\n\\""" # no\n""" # yes\n', ["# yes"]),
        ('x = """a\\\\""" # yes\n', ["# yes"]),
        ('x = """""" # yes\ny = """a""""" # too\n', ["# yes", "# too"]),
        ("x = '''\n# no\n''''' # yes\n", ["# yes"]),
        ('x = [ # a\n "#", # b\n] # c\r\n', ["# a", "# b", "# c"]),
        ('"#" = 1\n', []),
    ],
)
def test_remarks_are_told_from_texts(text: str, told: list[str]) -> None:
    tomllib.loads(text)
    assert remarks(text) == told


@pytest.mark.parametrize(
    "text",
    [
        '[palette] # one\nbox = "old.csv" # two\n[[palette.ink]]\nname = "clay"\n[pattern]\nmotifs = ["pear"]\n',
        '[palette]\nink = [{ name = "clay" }] # one\nbox = "old.csv" # two\n[pattern]\nmotifs = ["pear"]\n',
        'palette.box = "old.csv" # one\npalette.ink = [{ name = "clay" }] # two\npattern.motifs = ["pear"]\n',
        'palette = { box = "old.csv", ink = [{ name = "clay" }] } # one two\npattern = { motifs = ["pear"] }\n',
    ],
)
@pytest.mark.parametrize("box", [None, "old.csv", "new.csv"])
def test_a_box_takes_the_place_of_another(text: str, box: str | None) -> None:
    found = with_palette(text, [InkSpec("clay")], [0], box=box)
    assert found == (text if box != "new.csv" else text.replace("old.csv", "new.csv"))
