"""Designs with an ink box: names alone are enough, a paper is one of the box's, and the picture is the same."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small import BLOCKS, DRAWN, Tables, changed, scene_of, toml

from mockup.colour.boxcsv import read_csv, write_csv
from mockup.colour.conversion import read_colour
from mockup.colour.difference import ciede2000
from mockup.colour.ink import Ink
from mockup.colour.palette import Palette
from mockup.design.boxes import box_bytes
from mockup.design.reading import parse_design, read_design
from mockup.errors import MockupError
from mockup.jobs.inks import PAPER, Sheet, as_written, sheet_of
from mockup.jobs.palettecheck import check_palette
from mockup.jobs.preview import preview_design
from mockup.rendering.scene import fingerprint

BOX = """name,colour,paper,tip,bleed,coat 2,coat 3,uncertainty,note
clay,#b9522b,Rag,0.8,0.15,#a04520,#903010,1.5,old jar
oat,#f1e4c8,Rag,,,,,,
moss,lab(52 -18 25),Rag,1,,#5f7040,,,
night,#25313f,Rag,,0.3,,,,
vivid,lab(55 -60 -5),Rag,,,,,,beyond sRGB
paper,#fbf6ea,Rag,,,,,,
"""
SECOND = """clay,#a8492a,Smooth,0.8,0.05,,,,
oat,#efe6d4,Smooth,,,,,,
sky,#88aacc,Smooth,,,,,,
paper,#ffffff,Smooth,,,,,,
"""
NAMES = ("clay", "oat", "moss", "night", "vivid")


def palette(*inks: str, box: str = "inks.csv", side: str = "") -> str:
    """Write a palette of inks, each the text between braces."""
    listed = ",\n  ".join(f"{{ {ink} }}" for ink in inks)
    return f'[palette]\nbox = "{box}"\nink = [\n  {listed}\n]\n{side}'


def named(*names: str) -> list[str]:
    return [f'name = "{name}"' for name in names]


def write(
    folder: Path,
    inks: Sequence[str],
    tables: Tables = DRAWN,
    *,
    box: str = BOX,
    side: str = "",
    name: str = "rose",
) -> Path:
    """Write a design, its drawing and a box into a folder."""
    (folder / "inks.csv").write_text(box, encoding="utf-8")
    (folder / "blocks.svg").write_text(BLOCKS, encoding="utf-8")
    path = folder / f"{name}.toml"
    path.write_text(toml(tables, ()) + palette(*inks, side=side), encoding="utf-8")
    return path


def read(path: Path) -> tuple[Palette, Sheet]:
    design = read_design(path)
    sheet = sheet_of(design)
    return as_written(design, sheet), sheet


def on_paper(paper: str) -> Tables:
    return changed(DRAWN, sheet={"paper": f'"{paper}"'})


def refused(path: Path) -> str:
    with pytest.raises(MockupError) as caught:
        read(path)
    return str(caught.value)


def test_names_alone_are_the_inks_of_the_box(tmp_path: Path) -> None:
    inks, sheet = read(write(tmp_path, named("CLAY", "moss", "night", "vivid")))
    clay, moss, night, vivid = inks.inks
    coats = (read_colour("#a04520"), read_colour("#903010"))
    assert clay == Ink("CLAY", read_colour("#b9522b"), coats=coats, tip=0.8, bleed=0.15, uncertainty=1.5)
    assert moss == Ink("moss", read_colour("lab(52 -18 25)"), coats=(read_colour("#5f7040"),), tip=1.0)
    assert night == Ink("night", read_colour("#25313f"), bleed=0.3)
    assert vivid.colour.loss > 5
    assert (sheet.paper, sheet.stock, sheet.strange) == (read_colour("#fbf6ea"), "Rag", 0.0)


OVERRIDES = st.fixed_dictionaries(
    {},
    optional={
        "colour": st.sampled_from(["#336699", "tomato", "lab(40 10 10)"]),
        "coats": st.sampled_from([["#445566"], ["#445566", "#112233"]]),
        "tip": st.sampled_from([0.5, 2.0]),
        "bleed": st.sampled_from([0.0, 0.4]),
        "role": st.just("accent"),
        "share": st.sampled_from([0.1, 0.2]),
    },
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("designs")
    write(made, named("clay"))
    return made


@settings(max_examples=40)
@given(st.dictionaries(st.sampled_from(NAMES), OVERRIDES, min_size=1))
def test_what_the_design_says_wins_and_the_box_says_the_rest(
    folder: Path, inks: dict[str, dict[str, object]]
) -> None:
    written = [
        ", ".join(f"{key} = {value!r}".replace("'", '"') for key, value in {"name": name, **own}.items())
        for name, own in inks.items()
    ]
    text = palette(*written) + '[drawing]\nfile = "blocks.svg"\n'
    design = parse_design(text, file=folder / "rose.toml")
    owned = {one.ink.name: one.ink for one in read_csv(BOX).swatches}
    for ink, (name, own) in zip(as_written(design, sheet_of(design)).inks, inks.items(), strict=True):
        kept = owned[name]
        if "colour" in own:
            kept = replace(kept, colour=read_colour(str(own["colour"])), coats=(), uncertainty=None)
        coats = own.get("coats", [])
        assert isinstance(coats, list)
        if coats:
            kept = replace(kept, coats=tuple(read_colour(coat) for coat in coats))
        plain = {key: value for key, value in own.items() if key not in {"colour", "coats"}}
        assert ink == replace(kept, **plain)  # type: ignore[arg-type]


def test_an_ink_that_is_not_in_the_box_may_have_its_own_colour(tmp_path: Path) -> None:
    inks, _ = read(write(tmp_path, [*named("clay"), 'name = "new", colour = "#336699"']))
    assert inks.inks[1] == Ink("new", read_colour("#336699"))


def test_bare_paper_is_that_of_the_box_or_the_design(tmp_path: Path) -> None:
    for inks in (named("clay", "Paper"), [*named("clay"), 'name = "bare", colour = "paper"']):
        made, _ = read(write(tmp_path, inks))
        assert (made.inks[1].paper, made.inks[1].colour) == (True, read_colour("#fbf6ea"))
        made, _ = read(write(tmp_path, inks, on_paper("#fcf7ec")))
        assert (made.inks[1].paper, made.inks[1].colour) == (True, read_colour("#fcf7ec"))


def test_a_box_may_lie_anywhere_and_be_of_any_form(tmp_path: Path) -> None:
    (tmp_path / "my inks").mkdir()
    path = write(tmp_path, named("clay", "moss"))
    wanted = read(path)
    for name in ("inks.toml", "inks.txt", "inks.tsv"):
        box = tmp_path / "my inks" / name
        box.write_bytes(box_bytes(read_csv(BOX), box))
        path.write_text(
            toml(DRAWN, ()) + palette(*named("clay", "moss"), box=f"my inks/{name}"), encoding="utf-8"
        )
        found, sheet = read(path)
        assert (found, sheet.paper) == (wanted[0], wanted[1].paper)


REFUSED = {
    "a slip": (named("cley", "oat"), "", "rose.toml, ink 'cley': no ink of the box is named 'cley'; did you mean 'clay'?"),
    "unknown": (named("zzz"), "", "rose.toml, ink 'zzz': no ink of the box is named 'zzz'; there are clay, oat, moss, night, vivid and paper"),
    "a slip on the side": (named("clay"), '[[palette.side]]\nink = [{ name = "mos" }]\n', "rose.toml, ink 'mos': no ink of the box is named 'mos'; did you mean 'moss'?"),
    "no colour": (['name = "x", colour = "toamto"'], "", "rose.toml, ink 'x': 'toamto' is not a colour; did you mean \"tomato\"?"),
    "no coat": (['name = "clay", coats = ["toamto"]'], "", "rose.toml, ink 'clay', coats: 'toamto' is not a colour; did you mean \"tomato\"?"),
    "coats of paper": (['name = "bare", colour = "paper", coats = ["#eee"]'], "", "rose.toml, ink 'bare': the ink 'bare' is bare paper and has coats; leave its coats out"),
}  # fmt: skip


@pytest.mark.parametrize("kind", REFUSED)
def test_what_the_box_does_not_have_is_told_with_what_is_near(tmp_path: Path, kind: str) -> None:
    inks, side, told = REFUSED[kind]
    path = write(tmp_path, inks, side=side)
    assert refused(path) == told
    with pytest.raises(MockupError) as caught:
        preview_design(path)
    assert str(caught.value) == told


def test_a_box_that_cannot_be_read_is_told_as_such(tmp_path: Path) -> None:
    path = write(tmp_path, named("clay"), box="name,colour\nclay,#b9522\n")
    assert refused(path) == (
        "inks.csv, line 2: colour: '#b9522' has 5 digits where 3 or 6 are due; write such as \"#b5532a\""
    )
    (tmp_path / "inks.csv").rename(tmp_path / "ink.csv")
    assert refused(path) == "inks.csv: there is no such file; did you mean 'ink.csv'?"


def test_a_name_alone_needs_a_box(tmp_path: Path) -> None:
    path = write(tmp_path, named("clay"))
    path.write_text(path.read_text(encoding="utf-8").replace('box = "inks.csv"\n', ""), encoding="utf-8")
    assert refused(path).startswith("rose.toml, line ")
    assert "[[palette.ink]] 1: colour is missing" in refused(path)


# Papers


@pytest.mark.parametrize(
    ("told", "stock", "paper"), [("rag", "Rag", "#fbf6ea"), ("SMOOTH", "Smooth", "#ffffff")]
)
def test_a_paper_of_the_box_is_named(tmp_path: Path, told: str, stock: str, paper: str) -> None:
    inks, sheet = read(write(tmp_path, named("clay", "oat"), on_paper(told), box=BOX + SECOND))
    assert (sheet.stock, sheet.paper, sheet.strange) == (stock, read_colour(paper), 0.0)
    own = {one.ink.name: one.ink for one in read_csv(BOX + SECOND).on(stock).swatches}
    assert inks.inks == (own["clay"], own["oat"])


def test_an_ink_on_another_paper_only_is_refused(tmp_path: Path) -> None:
    assert refused(write(tmp_path, named("clay", "sky"), on_paper("Rag"), box=BOX + SECOND)) == (
        "rose.toml, ink 'sky': 'sky' was tried on Smooth, not on Rag; "
        "try it on this paper and add the swatch, or name the paper it was tried on in [sheet]"
    )


def test_which_of_two_papers_is_asked_where_both_would_do(tmp_path: Path) -> None:
    assert refused(write(tmp_path, named("clay", "oat"), box=BOX + SECOND)) == (
        "rose.toml, ink 'clay': 'clay' was tried on Rag and Smooth; "
        'name the paper of the piece: paper = "Rag" in [sheet]'
    )


def test_the_one_paper_that_has_all_inks_is_taken(tmp_path: Path) -> None:
    _, sheet = read(write(tmp_path, named("clay", "sky"), box=BOX + SECOND))
    assert (sheet.stock, sheet.paper) == ("Smooth", read_colour("#ffffff"))
    inks, sheet = read(write(tmp_path, named("clay", "moss"), on_paper("#fcf7ec"), box=BOX + SECOND))
    assert (sheet.stock, inks.inks[0].colour) == ("Rag", read_colour("#b9522b"))
    assert sheet.strange == pytest.approx(ciede2000(read_colour("#fcf7ec"), read_colour("#fbf6ea")))


def test_inks_that_no_paper_has_together_are_refused(tmp_path: Path) -> None:
    for paper in (None, "#fbf6ea"):
        tables = on_paper(paper) if paper else DRAWN
        assert refused(write(tmp_path, named("clay", "moss", "sky"), tables, box=BOX + SECOND)) == (
            "rose.toml, [palette]: the inks were not tried on one paper: clay on Rag and Smooth, moss on Rag, "
            "sky on Smooth; try them on one paper and add the swatches, or write their colours"
        )
    inks, _ = read(
        write(tmp_path, [*named("clay", "moss"), 'name = "sky", colour = "#88aacc"'], box=BOX + SECOND)
    )
    assert inks.inks[2].colour == read_colour("#88aacc")


def test_a_swatch_whose_paper_is_not_told_does_for_all(tmp_path: Path) -> None:
    box = BOX + SECOND + "gold,#c9a227,,,,,,,\n"
    inks, sheet = read(write(tmp_path, named("gold", "sky"), box=box))
    assert (sheet.stock, inks.inks[0].colour) == ("Smooth", read_colour("#c9a227"))


def test_without_a_word_of_papers_the_usual_paper_is_taken(tmp_path: Path) -> None:
    _, sheet = read(write(tmp_path, named("clay"), box="name,colour\nclay,#b9522b\n"))
    assert (sheet.stock, sheet.paper) == (None, read_colour(PAPER))
    _, sheet = read(write(tmp_path, named("clay"), box="name,colour\nclay,#b9522b\npaper,#eee\n"))
    assert (sheet.stock, sheet.paper) == (None, read_colour("#eee"))


OTHER = "#e9dcc0"
SLIGHTLY = "#f9f0dc"


def test_a_paper_of_clearly_another_colour_is_refused(tmp_path: Path) -> None:
    far = ciede2000(read_colour(OTHER), read_colour("#fbf6ea"))
    assert far > 6
    assert refused(write(tmp_path, named("clay"), on_paper(OTHER))) == (
        "rose.toml, [sheet] paper: the inks of inks.csv were tried on Rag of #fbf6ea, and this paper is #e9dcc0 "
        f"(CIEDE2000 {far:.0f} apart); leave paper out to take that of the box, or try the inks on this one"
    )


def test_a_paper_of_slightly_another_colour_is_flagged(tmp_path: Path) -> None:
    far = ciede2000(read_colour(SLIGHTLY), read_colour("#fbf6ea"))
    assert 3 < far < 6
    findings = check_palette(write(tmp_path, named(*NAMES[:4]), on_paper(SLIGHTLY))).findings
    told = [finding for finding in findings if finding.topic == "paper"]
    assert [finding.seen for finding in told] == [
        f"the inks of the box were tried on another paper (CIEDE2000 {far:.0f} from this one)"
    ]
    for paper in ("#fcf7ec", "Rag"):
        findings = check_palette(write(tmp_path, named(*NAMES[:4]), on_paper(paper))).findings
        assert [finding for finding in findings if finding.topic == "paper"] == []


@given(st.tuples(*[st.integers(200, 255)] * 3))
@settings(max_examples=40)
def test_how_strange_a_paper_is_decides(folder: Path, channels: tuple[int, int, int]) -> None:
    paper = "#{:02x}{:02x}{:02x}".format(*channels)
    text = palette(*named("clay")) + f'[sheet]\npaper = "{paper}"\n[drawing]\nfile = "blocks.svg"\n'
    design = parse_design(text, file=folder / "rose.toml")
    far = ciede2000(read_colour(paper), read_colour("#fbf6ea"))
    if far > 6:
        with pytest.raises(MockupError, match="CIEDE2000"):
            sheet_of(design)
    else:
        assert sheet_of(design).strange == far


def test_a_word_that_is_no_paper_and_no_colour_is_told_with_the_papers(tmp_path: Path) -> None:
    assert refused(write(tmp_path, named("clay"), on_paper("Raag"), box=BOX + SECOND)) == (
        "rose.toml, [sheet] paper: 'Raag' is neither a paper of the box (Rag, Smooth) nor a colour; "
        'write such as "#b5532a", "tomato" or "lab(48 39 43)"'
    )


# Side palettes and pictures


def test_side_palettes_are_out_of_the_box_too(tmp_path: Path) -> None:
    side = (
        '[[palette.side]]\nname = "skin"\nink = [{ name = "Moss" }, { name = "own", colour = "#ccaa99" }]\n'
    )
    inks, _ = read(write(tmp_path, named("clay", "oat"), side=side))
    (skin,) = inks.side
    assert skin.inks[0] == Ink(
        "Moss", read_colour("lab(52 -18 25)"), coats=(read_colour("#5f7040"),), tip=1.0
    )
    assert skin.inks[1] == Ink("own", read_colour("#ccaa99"))


WRITTEN_OUT = [
    'name = "clay", colour = "#b9522b", coats = ["#a04520", "#903010"]',
    'name = "oat", colour = "#f1e4c8"',
    'name = "moss", colour = "lab(52 -18 25)", coats = ["#5f7040"]',
    'name = "night", colour = "#25313f"',
]
LOOKS: dict[str, Tables] = {
    "plain": DRAWN,
    "shaded": changed(DRAWN, shading={"style": '"rim"', "width": "1", "coats": "2"}),
    "on an ink": changed(
        DRAWN, colouring={"ground": '"oat"'}, line={"ink": '"night"'}, border={"ink": '"clay"'}
    ),
}


@pytest.mark.parametrize(
    ("look", "paper"),
    [("plain", None), ("plain", "Rag"), ("plain", "#fbf6ea"), ("shaded", None), ("on an ink", None)],
)
def test_the_picture_is_that_of_the_design_with_all_colours_written(
    tmp_path: Path, look: str, paper: str | None
) -> None:
    tables = changed(LOOKS[look], sheet={"paper": f'"{paper}"'}) if paper else LOOKS[look]
    boxed = write(tmp_path, named(*NAMES[:4]), tables, name="boxed")
    plain = write(tmp_path, WRITTEN_OUT, changed(LOOKS[look], sheet={"paper": '"#fbf6ea"'}), name="plain")
    plain.write_text(plain.read_text(encoding="utf-8").replace('box = "inks.csv"\n', ""), encoding="utf-8")
    assert fingerprint(scene_of(boxed)) == fingerprint(scene_of(plain))
    other = write(tmp_path, named(*NAMES[:4]), tables, box=BOX.replace("#b9522b", "#b9522c"), name="other")
    assert fingerprint(scene_of(other)) != fingerprint(scene_of(plain))


def test_the_box_may_be_written_again_without_changing_the_picture(tmp_path: Path) -> None:
    path = write(tmp_path, named(*NAMES))
    before = fingerprint(scene_of(path))
    (tmp_path / "inks.csv").write_text(write_csv(read_csv(BOX)), encoding="utf-8")
    assert fingerprint(scene_of(path)) == before
