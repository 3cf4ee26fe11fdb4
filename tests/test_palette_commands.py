"""Palettes from the command line: built, matched, found in photographs, written into designs; and the list of a box."""

import itertools
import re
import tomllib
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image
from small import DRAWN, changed, spreading_of, write_design

from mockup.cli.main import mockup, run
from mockup.colour.conversion import read_colour
from mockup.colour.difference import ciede2000
from mockup.colour.skin import BANDS, band
from mockup.colour.vision import DEFICIENCIES, grey, seen
from mockup.design.reading import read_design
from mockup.jobs.inklist import usual_colours
from mockup.jobs.inks import palette_of, sheet_of

BOX = """name,colour,paper
paper,#fbf8f0,smooth card
shell,#f3e6d0,smooth card
coral,#d9603f,smooth card
marigold,#e9ae3d,smooth card
reed,#6f9a83,smooth card
sea,#3f7f86,smooth card
plum,#7b4a68,smooth card
midnight,#1f2b40,smooth card
midnight two,#202c42,smooth card
turquoise,lab(55 -60 -5),smooth card
"""
ROW = re.compile(r"^([A-Z]+)  (#[0-9a-f]{6})  (\w+) +(.+?)  +L\* +(\d+)  chroma +(\d+)")


@pytest.fixture
def box(tmp_path: Path) -> Path:
    path = tmp_path / "inks.csv"
    path.write_text(BOX, encoding="utf-8")
    return path


def told(*words: str) -> list[str]:
    return (
        CliRunner().invoke(mockup, words, standalone_mode=False, catch_exceptions=False).stdout.splitlines()
    )


def refused(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    code = run(words)
    out = capsys.readouterr()
    assert code in {1, 2}
    assert out.out == ""
    assert out.err.count("\n") == 1
    return out.err.rstrip("\n")


def inks_in(lines: list[str]) -> list[tuple[str, str, str]]:
    """Colour, role and name of every ink that is told."""
    return [(row[2], row[3], row[4]) for line in lines if (row := ROW.match(line))]


def palettes_in(lines: list[str]) -> dict[str, list[tuple[str, str, str]]]:
    found: dict[str, list[str]] = {}
    kind = ""
    for line in lines:
        if line.startswith("palette "):
            kind = line.split(": ")[1]
            found[kind] = []
        elif kind:
            found[kind].append(line)
    return {kind: inks_in(own) for kind, own in found.items()}


@pytest.mark.parametrize("count", [4, 5, 7])
def test_several_whole_palettes_are_built_round_an_ink(count: int) -> None:
    found = palettes_in(told("palette", "build", "#b9522b", "--inks", str(count), "--name", "clay"))
    assert {"monochrome", "pastel"} <= set(found)
    assert len(found) >= 5
    for inks in found.values():
        assert [role for _, role, _ in inks] == ["dominant", "dark", "light"] + ["accent"] * (count - 3)
        assert inks[0] == ("#b9522b", "dominant", "clay")
        assert len({name for _, _, name in inks}) == count
        light = [read_colour(colour).lightness for colour, _, _ in inks]
        assert min(light) == light[1]
        assert sorted(light)[1] - light[1] >= 10
    assert len({tuple(inks) for inks in found.values()}) == len(found)


def test_palettes_are_built_of_owned_inks_alone(box: Path) -> None:
    owned = {line.split(",")[0]: line.split(",")[1] for line in BOX.splitlines()[2:]}
    found = palettes_in(told("palette", "build", "coral", "--box", str(box)))
    for inks in found.values():
        names = [name for _, _, name in inks]
        assert names[0] == "coral"
        assert set(names) <= set(owned)
        assert len(set(names)) == 5
        for colour, _, name in inks:
            assert colour == read_colour(owned[name]).hex


def test_a_built_palette_goes_into_a_design_and_the_design_is_drawn_with_it(tmp_path: Path) -> None:
    design = write_design(
        tmp_path, changed(DRAWN, colouring={"ground": '"oat"', "fixed": '{ "blocks-1/a" = "clay" }'})
    )
    design.write_text(
        "# mine\n" + design.read_text().replace('name = "moss"', 'name = "moss"  # from the hedge')
    )
    lines = told(
        "palette", "build", "#2f6f8f", "--name", "sea", "--inks", "4", "--take", "B", "--into", str(design)
    )
    assert lines[-1] == str(design)
    chosen = list(palettes_in(lines).values())[1]
    text = design.read_text()
    assert text.startswith("# mine\n")
    assert "# from the hedge" in text
    written = read_design(design)
    own = palette_of(written, sheet_of(written))
    assert {(ink.colour.hex, ink.role, ink.name) for ink in own.inks} == set(chosen)
    roles = {role: name for _, role, name in chosen}
    assert written.colouring.ground == roles["light"]
    assert written.colouring.fixed == {"blocks-1/a": "sea"}
    assert spreading_of(design).piece.ground_name == roles["light"]


def test_a_design_that_follows_a_plan_keeps_its_inks(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    design = write_design(tmp_path, changed(DRAWN, colouring={"plan": '"own.geojson"'}))
    before = design.read_text()
    assert run(["palette", "build", "teal", "--into", str(design)]) == 1
    assert capsys.readouterr().err.splitlines() == [
        "mockup: blocks.toml, [colouring] plan: follows the plan own.geojson, which names its inks; "
        "take the plan out of the design first"
    ]
    assert design.read_text() == before


def test_a_palette_is_matched_at_once_and_no_ink_twice(box: Path) -> None:
    lines = told("palette", "match", "#1f2b41", "#222e44", "#e5a93a", "--box", str(box))
    taken = [line.split("  ")[-1].split(",")[0] for line in lines if "CIEDE2000" in line and "#" in line]
    assert set(taken) == {"midnight", "midnight two", "marigold"}


def test_a_matched_palette_is_never_worse_than_any_other_choice(box: Path) -> None:
    wanted = ["#aa5533", "#e0c080", "#2b4050", "#75a090"]
    lines = told("palette", "match", *wanted, "--box", str(box))
    total = sum(float(found) for found in re.findall(r"off by ([0-9.]+)", "\n".join(lines)))
    owned = [read_colour(line.split(",")[1]) for line in BOX.splitlines()[2:]]
    best = min(
        sum(ciede2000(read_colour(wish), ink) for wish, ink in zip(wanted, choice, strict=True))
        for choice in itertools.permutations(owned, 4)
    )
    assert total == pytest.approx(best, abs=0.21)


def test_a_match_goes_into_a_design_by_name(tmp_path: Path, box: Path) -> None:
    design = write_design(tmp_path)
    told("palette", "match", str(design), "--box", str(box), "--into", str(design))
    written = tomllib.loads(design.read_text())
    assert written["palette"]["box"] == "inks.csv"
    assert all("colour" not in ink for ink in written["palette"]["ink"])
    own = palette_of(read_design(design), sheet_of(read_design(design)))
    assert [ink.role for ink in own.inks] == ["light", "dominant", "accent", "dark"]
    again = told("palette", "match", str(design))
    assert sum("is that ink" in line for line in again) == 4


def test_the_pictures_show_every_ink_and_its_views(tmp_path: Path, box: Path) -> None:
    for words in (
        ["build", "coral", "--box", str(box)],
        ["match", "tomato", "teal", "--box", str(box)],
        ["skin", "light", "dark"],
    ):
        lines = told("palette", *words)
        inks = [read_colour(colour) for colour in re.findall("#[0-9a-f]{6}", "\n".join(lines))]
        wanted = {colour.hex for colour in inks} | {grey(colour).hex for colour in inks}
        wanted |= {colour.hex for kind in DEFICIENCIES for colour in seen(inks, kind)}
        assert len(wanted) > 3 * len(set(inks))
        drawn = {ending: tmp_path / f"{words[0]}.{ending}" for ending in ("png", "svg", "pdf")}
        for target in drawn.values():
            assert told("palette", *words, "-o", str(target))[-1] == str(target)
        with Image.open(drawn["png"]) as picture:
            packed = np.asarray(picture, dtype=np.int64) @ (65536, 256, 1)
        shown = {f"#{level:06x}" for level in np.flatnonzero(np.bincount(packed.ravel()) > 800)}
        assert wanted <= shown
        assert wanted <= set(re.findall("#[0-9a-f]{6}", drawn["svg"].read_text()))
        assert drawn["pdf"].read_bytes()[:5] == b"%PDF-"


def test_skins_are_told_in_bands_and_written_as_a_side_palette(tmp_path: Path) -> None:
    lines = told("palette", "skin")
    assert [line for line in lines if not line.startswith("#")] == [name for name, _ in BANDS]
    bases = [line[:7] for line in lines if "  base " in line]
    assert [band(read_colour(colour)) for colour in bases] == [name for name, _ in BANDS]
    figure = tmp_path / "figure.toml"
    inks = "".join(
        f'[[palette.ink]]\nname = "{name}"\ncolour = "{colour}"\n'
        for name, colour in (("a", "#eee"), ("b", "#a33"), ("c", "#223"))
    )
    figure.write_text(f'{inks}# skins\n[pattern]\nmotifs = ["gardener"]\n')
    told("palette", "skin", "light", "dark", "--into", str(figure))
    assert "# skins" in figure.read_text()
    side = tomllib.loads(figure.read_text())["palette"]["side"][0]
    assert [ink["name"] for ink in side["ink"] if "shades" not in ink] == ["light base", "dark base"]
    assert {ink["shades"] for ink in side["ink"] if "shades" in ink} == {"light base", "dark base"}
    before = figure.read_text()
    told("palette", "skin", "light", "dark", "--into", str(figure))
    assert figure.read_text() == before


def test_a_box_is_listed_with_twins_gaps_and_what_no_screen_shows(box: Path) -> None:
    lines = told("inks", "list", str(box))
    assert lines[0] == "inks.csv: 9 inks"
    assert lines[1] == "on smooth card"
    assert {line.split("  ")[0].strip() for line in lines[2:12]} == {
        line.split(",")[0] for line in BOX.splitlines()[1:]
    }
    apart = ciede2000(read_colour("#1f2b40"), read_colour("#202c42"))
    assert [line for line in lines if line.startswith("twins")] == [
        f"twins     midnight and midnight two differ by {apart:.1f}"
    ]
    owned = [read_colour(line.split(",")[1]) for line in BOX.splitlines()[2:]]
    for line in lines:
        if line.startswith("gap "):
            found = re.search(r"(#[0-9a-f]{6}): the nearest ink is (\d+) away", line)
            assert found
            wanted = next(colour for colour in usual_colours() if colour.hex == found[1])
            assert min(ciede2000(wanted, ink) for ink in owned) == pytest.approx(float(found[2]), abs=0.51)
    assert "screen    turquoise is more vivid than sRGB, and shown 7 off (CIEDE2000)" in lines


def photograph(path: Path) -> Path:
    rng = np.random.default_rng(5)
    picture = np.full((160, 240, 3), (186, 170, 148)) + rng.normal(0, 5, (160, 240, 3))
    picture[:, :90] = np.array((70, 84, 92)) + rng.normal(0, 5, (160, 90, 3))
    picture[20:40, 150:190] = np.array((214, 40, 60)) + rng.normal(0, 4, (20, 40, 3))
    Image.fromarray(picture.clip(0, 255).astype(np.uint8)).save(path)
    return path


def test_a_photograph_gives_one_ink_a_line_with_its_small_accent(tmp_path: Path) -> None:
    found = CliRunner().invoke(mockup, ["palette", "from-photo", str(photograph(tmp_path / "a.png"))])
    assert found.exit_code == 0
    inks = inks_in(found.stdout.splitlines())
    assert len(inks) == len(found.stdout.splitlines())
    assert 3 <= len(inks) <= 5
    assert min(ciede2000(read_colour(colour), read_colour("#d6283c")) for colour, _, _ in inks) < 6
    assert {role for _, role, _ in inks} >= {"dominant", "dark", "light"}
    assert "of the picture" in found.stderr


def test_a_photograph_in_owned_inks_goes_into_a_design(tmp_path: Path, box: Path) -> None:
    design = write_design(tmp_path)
    photo = photograph(tmp_path / "a.png")
    lines = told("palette", "from-photo", str(photo), "--inks", "4", "--box", str(box), "--into", str(design))
    names = {name for _, _, name in inks_in(lines)}
    assert names <= {line.split(",")[0] for line in BOX.splitlines()[1:]}
    assert {ink["name"] for ink in tomllib.loads(design.read_text())["palette"]["ink"]} == names


WRONG = [
    (["palette", "build", "blurple"], "mockup: 'blurple' is not a colour; did you mean"),
    (["palette", "build", "corall", "--box", "BOX"], "mockup: 'corall' is neither an ink of inks.csv nor a colour; `mockup inks list`"),
    (["palette", "build", "coral", "--box", "nosuch.csv"], "mockup: nosuch.csv: there is no such file; "),
    (["palette", "build", "coral", "--box", "BOX", "--paper", "card"], "mockup: no paper of the box is named 'card'; did you mean 'smooth card'?"),
    (["palette", "build", "teal", "--take", "Q"], "mockup: no palette has the letter 'Q'; take one of A, B"),
    (["palette", "match", "teal"], "mockup: there is no ink box; name one: --box inks.csv"),
    (["palette", "match", *["teal", "red", "blue", "tan", "pink", "gold", "plum", "navy", "lime", "snow"], "--box", "BOX"], "mockup: inks.csv: holds 9 inks, and 10 are wanted; "),
    (["palette", "skin", "pink"], "mockup: no band is called 'pink'; the bands are very light, light"),
    (["palette", "skin", "--box", "BOX"], "mockup: inks.csv: holds no skin with its shading: very light: none of your inks"),
    (["palette", "from-photo", "BOX"], "mockup: inks.csv: "),
    (["inks", "list", "nosuch.csv"], "mockup: nosuch.csv: there is no such file; "),
    (["palette", "check", "nosuch.toml"], "mockup: nosuch.toml: there is no such file; "),
]  # fmt: skip


@pytest.mark.parametrize(("words", "line"), WRONG, ids=lambda value: str(value)[:50])
def test_what_cannot_be_done_is_told_in_one_line(
    words: list[str],
    line: str,
    box: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(box.parent)
    assert refused(capsys, *(str(box) if word == "BOX" else word for word in words)).startswith(line)


@pytest.mark.parametrize("ending", ["csv", "toml", "txt"])
def test_a_box_is_written_in_another_form_and_says_the_same(ending: str, box: Path, tmp_path: Path) -> None:
    target = tmp_path / f"other.{ending}"
    lines = told("inks", "list", str(box), "-o", str(target))
    assert lines[-1] == str(target)
    assert told("inks", "list", str(target))[1:] == lines[1:-1]
    assert run(["inks", "list", str(box), "-o", str(tmp_path / "other.xlsx")]) == 1
    assert not (tmp_path / "other.xlsx").exists()


def files_in(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("fault", ["a plan in the design", "a picture of something else", "no such ending"])
@pytest.mark.parametrize(
    "words", [["build", "teal"], ["match", "tomato", "teal", "--box", "inks.csv"]], ids=str
)
def test_picture_and_design_are_written_both_or_neither(
    words: list[str], fault: str, box: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    plan = {"plan": '"own.geojson"'} if fault == "a plan in the design" else {}
    design = write_design(tmp_path, changed(DRAWN, colouring=plan))
    target = tmp_path / ("p.jpg" if fault == "no such ending" else "p.png")
    if fault == "a picture of something else":
        target.write_bytes(b"hers")
    before = files_in(tmp_path)
    assert run(["palette", *words, "-o", str(target), "--into", str(design)]) == 1
    assert files_in(tmp_path) == before
    assert box.exists()


@pytest.mark.parametrize("ending", ["toml", "csv"])
def test_a_palette_is_written_by_itself_and_read_again(ending: str, box: Path, tmp_path: Path) -> None:
    for words in (
        ["build", "#b9522b", "--take", "C"],
        ["match", "tomato", "teal", "#222", "--box", str(box)],
    ):
        target = tmp_path / f"{words[0]}.{ending}"
        lines = told("palette", *words, "-o", str(target))
        assert lines[-1] == str(target)
        own = list(palettes_in(lines).values())[2] if words[0] == "build" else None
        again = inks_in(told("palette", "check", str(target)))
        if own:
            assert again == own
        else:
            taken = {line.split("  ")[-1].split(",")[0] for line in lines if "off by" in line}
            assert {name for _, _, name in again} == taken
        assert told("palette", *words, "-o", str(target))[-1] == str(target)
