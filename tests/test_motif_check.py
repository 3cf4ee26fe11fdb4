"""What a motif's drawing is read as, what a pen cannot ink of it, and the sheet that says so; strokes as parts."""

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from refusals import INK
from small import flat

from mockup.cli.main import run
from mockup.design.reading import parse_design
from mockup.errors import DrawingError
from mockup.geometry.affine import rotation
from mockup.geometry.narrow import fills, narrow_spots, uncovered
from mockup.geometry.shapes import area, box_of, moved, rectangle, union
from mockup.geometry.strokes import MOST_POINTS, Pen, stroked
from mockup.jobs.motifcheck import check_motif
from mockup.jobs.piece import read_piece
from mockup.pattern.inkable import MOST, Finding, inspect
from mockup.pattern.motif import LineWork, Motif
from mockup.pattern.motif_library import entries, library_motif
from mockup.pattern.svg import read_svg
from mockup.rendering.scene import Fill, Scene, Text
from mockup.sheets.motifcheck import check_sheet


def svg(inside: str, side: float = 40.0) -> str:
    names = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    return f'<svg {names} width="{side}mm" height="{side}mm" viewBox="0 0 {side} {side}">{inside}</svg>'


def drawing(inside: str, side: float = 40.0, *, stroke_parts: bool = False) -> Motif:
    return read_svg(svg(inside, side).encode(), "pear", where="pear.svg", stroke_parts=stroke_parts)


def box(x: float, y: float, width: float, height: float, group: str, more: str = "") -> str:
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" data-part="leaf" data-group="{group}" {more}/>'


def found(inside: str, pen: float = 1.5) -> list[Finding]:
    return list(inspect(drawing(inside), pen)[1])


def kinds(inside: str, pen: float = 1.5) -> list[str]:
    return [finding.kind for finding in found(inside, pen)]


# ---- what cannot be inked


def test_a_plump_motif_has_no_findings() -> None:
    assert found(box(2, 2, 10, 10, "a") + box(12, 2, 10, 10, "b") + '<circle cx="7" cy="7" r="2"/>') == []


@settings(max_examples=40)
@given(st.floats(0.4, 4), st.floats(3, 20), st.floats(0, 180), st.floats(0.5, 3))
def test_a_strip_is_narrow_for_a_broader_pen_and_its_width_is_told(
    width: float, length: float, turn: float, pen: float
) -> None:
    strip = moved(rectangle(0, 0, length * pen, width), rotation(turn))
    spots = narrow_spots(strip, pen)
    if width > 1.02 * pen:
        assert spots == []
    elif width < 0.95 * pen:
        assert len(spots) == 1
        assert spots[0].across == pytest.approx(width, abs=0.03)
    assert not (spots and fills(strip, pen, 0.0))


@settings(max_examples=30)
@given(st.floats(0.3, 3.0), st.floats(0, 90))
def test_a_neck_is_found_where_it_is(neck: float, turn: float) -> None:
    apart = union(
        [rectangle(0, 0, 6, 6), rectangle(6, 3 - neck / 2, 7, 3 + neck / 2), rectangle(7, 0, 13, 6)]
    )
    spots = narrow_spots(moved(apart, rotation(turn)), 1.5)
    if neck > 1.53:
        assert spots == []
    elif neck < 1.45:
        x, y = moved(rectangle(6.499, 2.999, 6.501, 3.001), rotation(turn)).centroid.coords[0]
        assert len(spots) == 1
        assert math.dist(spots[0][:2], (x, y)) < 1.0
        assert spots[0].across == pytest.approx(neck, abs=0.2)


@pytest.mark.parametrize(("tip", "narrow"), [(24, True), (30, True), (42, False), (60, False)])
def test_sharp_tips_are_narrow_and_blunter_ones_are_not(tip: float, narrow: bool) -> None:
    half = 20 * math.tan(math.radians(tip / 2))
    assert (kinds(f'<path d="M2 20L22 {20 - half}V{20 + half}Z"/>') == ["narrow"]) is narrow


def test_each_kind_is_told_in_plain_words_and_where_it_is() -> None:
    told = {
        "narrow": (box(2, 2, 12, 1.2, "a"), "a is 1.20 mm wide, too narrow for a pen of 1.5 mm", None),
        "small": (box(2, 2, 1.2, 1.2, "a"), "a shows a speck of 1.44 mm2, less than 2 mm2", (2.6, 2.6)),
        "gap": (
            box(2, 2, 8, 8, "a") + box(10.3, 2, 8, 8, "b"),
            "a and b are 0.30 mm apart: let them share an edge, or leave 0.5 mm and more",
            None,
        ),
        "touching": (
            box(2, 2, 8, 8, "a") + box(10, 4, 8, 2, "a"),
            "two parts of a touch for 2.1 mm: unite them, or part them",
            (10, 5),
        ),
        "ground": (
            '<path data-group="a" fill-rule="evenodd" d="M2 2H12V12H2zM6 6H7V7H6z"/>',
            "1.00 mm2 of ground are shut in, less than 2 mm2",
            (6.5, 6.5),
        ),
        "hidden": (
            box(4, 4, 3, 3, "a") + box(2, 2, 8, 8, "b"),
            "a part of a lies wholly under others",
            (5.5, 5.5),
        ),
    }
    for kind, (inside, text, place) in told.items():
        (finding,) = found(inside)
        assert (finding.kind, finding.text) == (kind, text)
        if place:
            assert (finding.x, finding.y) == pytest.approx(place, abs=0.15)


def test_slivers_that_are_left_uncovered_are_told() -> None:
    (finding,) = found(box(2, 2, 8, 8, "a") + box(2.2, 2, 9, 8, "b"))
    assert finding.text == "a shows a sliver of 1.60 mm2, less than 2 mm2"


@pytest.mark.parametrize(
    "inside",
    [
        box(2, 2, 8, 8, "a") + box(10, 2, 8, 8, "b"),
        box(2, 2, 8, 8, "a") + box(10.6, 2, 8, 8, "b"),
        box(2, 2, 8, 8, "a") + box(10.6, 2, 8, 8, "a"),
        box(2, 2, 8, 8, "a", 'data-side="skin"') + box(10, 2, 8, 8, "a", 'data-side="skin"'),
        box(2, 2, 18, 8, "a") + box(10, 2, 3, 8, "b"),
    ],
)
def test_edges_shared_by_two_groups_and_wide_gaps_are_as_they_should_be(inside: str) -> None:
    assert found(inside) == []


def test_another_pen_finds_other_places() -> None:
    strip = box(2, 2, 12, 1.2, "a")
    assert kinds(strip, 1.0) == []
    assert kinds(strip, 1.5) == ["narrow"]
    assert found(strip, 3.0)[0].text == "a is 1.20 mm wide, too narrow for a pen of 3 mm"


def test_findings_of_one_kind_are_counted_when_they_are_many() -> None:
    specks = "".join(box(x, y, 1, 1, f"a{x}-{y}") for x in range(1, 39, 3) for y in range(1, 39, 3))
    told = found(specks)
    assert len(told) == MOST
    assert told[-1].text.endswith(f"; and {13 * 13 - MOST} more of this kind")
    assert [one.y for one in told] == sorted(one.y for one in told)


@given(
    st.lists(st.tuples(*[st.floats(0, 30), st.floats(0, 30), st.floats(1, 9), st.floats(1, 9)]), max_size=6)
)
@example([(0, 0, 5, 5), (0, 0, 5, 5)])
def test_what_is_seen_of_parts_is_what_they_cover_together(drawn: list[tuple[float, ...]]) -> None:
    shapes = [rectangle(x, y, x + width, y + height) for x, y, width, height in drawn]
    seen = uncovered(shapes)
    assert sum(map(area, seen)) == pytest.approx(area(union(shapes)), abs=0.01)
    if seen:
        assert area(seen[-1]) == pytest.approx(area(shapes[-1]))


def test_areas_of_groups_are_what_is_seen() -> None:
    groups, _ = inspect(drawing(box(0, 0, 10, 10, "a") + box(4, 4, 4, 4, "b") + box(20, 0, 5, 4, "a")))
    assert [(one.label, round(one.area, 3), one.names, one.side) for one in groups] == [
        ("a", 104.0, (("leaf", 2),), ""),
        ("b", 16.0, (("leaf", 1),), ""),
    ]
    for one in groups:
        assert one.spot.across > 1


def test_the_library_is_read_to_the_last_part() -> None:
    for entry in entries():
        motif = library_motif(entry.name)
        groups, told = inspect(motif)
        assert [one.label for one in groups] == list(motif.groups)
        assert sum(one.area for one in groups) == pytest.approx(
            area(union(part.shape for part in motif.parts)), rel=1e-3
        )
        for finding in told:
            assert -0.1 <= finding.x <= motif.width + 0.1
            assert -0.1 <= finding.y <= motif.height + 0.1


# ---- strokes as parts


@pytest.mark.parametrize(
    ("style", "wanted"),
    [
        ("", 40),
        ('stroke-linecap="round"', 40 + math.pi),
        ('stroke-linecap="square"', 44),
        ('stroke-linecap="nonsense"', 40),
    ],
)
def test_a_stroke_covers_its_width_and_its_caps(style: str, wanted: float) -> None:
    motif = drawing(
        f'<path d="M5 9H25" fill="none" stroke="red" stroke-width="2" {style}/>', stroke_parts=True
    )
    (part,) = motif.parts
    assert area(part.shape) == pytest.approx(wanted, abs=0.1)
    assert [part.name, part.group, part.fill] == ["line", "line", "red"]


@pytest.mark.parametrize(
    ("style", "wanted"),
    [("", 39 + 1), ('stroke-linejoin="bevel"', 39 + 0.5), ('stroke-linejoin="round"', 39 + math.pi / 4)],
)
def test_corners_are_joined_as_drawn(style: str, wanted: float) -> None:
    motif = drawing(
        f'<g {style}><path d="M5 5H15V15" fill="none" stroke="red" stroke-width="2"/></g>', stroke_parts=True
    )
    assert area(motif.parts[0].shape) == pytest.approx(wanted, abs=0.05)


@pytest.mark.parametrize(("join", "wanted"), [("miter", 80), ("bevel", 78), ("round", 76 + math.pi)])
def test_closed_strokes_have_all_their_corners(join: str, wanted: float) -> None:
    for path in ("M5 5H15V15H5Z", "M5 5V15H15V5Z"):
        inside = f'<path d="{path}" fill="none" stroke="red" stroke-width="2" stroke-linejoin="{join}"/>'
        assert area(drawing(inside, stroke_parts=True).parts[0].shape) == pytest.approx(wanted, abs=0.1)


def test_the_limit_of_mitres_is_kept() -> None:
    sharp = '<path d="M5 5L25 6L5 7" fill="none" stroke="red" stroke-width="2" stroke-miterlimit="{}"/>'
    ends = [box_of([drawing(sharp.format(n), stroke_parts=True).parts[0].shape])[2] for n in (2, 90, "x", 0)]
    assert ends[0] < 26.5
    assert ends[1] > 40
    assert ends[2] == ends[3] == pytest.approx(ends[0], abs=0.2)


def test_a_closed_stroke_is_a_ring_and_a_point_with_a_cap_a_dot() -> None:
    inside = '<circle cx="20" cy="20" r="10" fill="none" stroke="red" stroke-width="2"/>'
    (ring,) = drawing(inside, stroke_parts=True).parts
    assert area(ring.shape) == pytest.approx(math.pi * (121 - 81), rel=5e-3)
    dot = '<path d="M9 9h0" fill="none" stroke="red" stroke-width="4" stroke-linecap="round"/>'
    assert area(drawing(dot, stroke_parts=True).parts[0].shape) == pytest.approx(4 * math.pi, rel=0.02)


def test_scaling_scales_the_width() -> None:
    inside = '<g transform="scale(2)"><path d="M1 9H11" fill="none" stroke="red" stroke-width="1.5"/></g>'
    assert area(drawing(inside, stroke_parts=True).parts[0].shape) == pytest.approx(20 * 3)


def test_strokes_of_one_paint_are_one_group_and_never_one_with_fills() -> None:
    line = '<path d="M1 {0}H30" fill="none" stroke="{1}" stroke-width="2" {2}/>'
    inside = (
        '<rect width="5" height="5" fill="red"/>'
        + line.format(10, "red", "")
        + line.format(15, "RED", "")
        + line.format(20, "blue", "")
        + line.format(25, "blue", 'data-group="stem" data-part="stem"')
        + line.format(30, "red", 'data-side="skin"')
    )
    motif = drawing(inside, stroke_parts=True)
    assert [part.group for part in motif.parts] == ["shape", "line", "line", "line-2", "stem", "line-3"]
    assert [part.side for part in motif.parts][-1] == "skin"
    assert not any(isinstance(element, LineWork) for element in motif.elements)


def test_strokes_are_line_work_unless_asked_for_and_those_of_fills_are_nothing() -> None:
    inside = '<rect width="9" height="9" stroke="red" stroke-width="3"/><path d="M1 20H30" stroke="red" fill="none"/>'
    assert [type(element).__name__ for element in drawing(inside).elements] == ["Part", "LineWork"]
    motif = drawing(inside, stroke_parts=True)
    assert [round(area(part.shape)) for part in motif.parts] == [81, 29]


def test_a_stroke_without_end_is_refused() -> None:
    line = np.zeros((MOST_POINTS + 1, 2))
    with pytest.raises(DrawingError, match="strokes of more than 200000 points cannot be outlined"):
        stroked([line], [False], Pen(1.0), 0.02)


def test_the_design_file_says_what_strokes_are(tmp_path: Path) -> None:
    (tmp_path / "twig.svg").write_text(
        svg('<path d="M5 20H35" stroke="red" stroke-width="4"/><circle cx="20" cy="8" r="5"/>')
    )
    labels = []
    for strokes in ("lines", "parts"):
        text = f'{INK}[pattern]\nmotifs = [{{ name = "twig.svg", strokes = "{strokes}" }}]\n'
        piece = read_piece(parse_design(text, where="a.toml", file=tmp_path / "a.toml"))
        labels.append({node.label for node in piece.tile.nodes})
    assert labels == [{"twig-1/shape"}, {"twig-1/shape", "twig-1/line"}]


# ---- the command

EDITOR = """
<defs><linearGradient id="g"><stop offset="0"/></linearGradient><clipPath id="c"><rect width="9" height="9"/></clipPath>
<mask id="m"><rect width="9" height="9"/></mask></defs>
<style>.a { fill: #888 } .s { fill: none; stroke: #c00; stroke-width: 3 }</style>
<rect width="9" height="9" fill="url(#g)"/><rect x="20" width="9" height="9" fill="url(#gone)"/>
<g clip-path="url(#c)"><circle cx="20" cy="20" r="4" class="a"/></g><circle cx="30" cy="20" r="4" class="a" mask="url(#m)"/>
<text x="1" y="9">hello</text><flowRoot/>
<image href="http://example.org/z.png" width="9" height="9"/><use href="other.svg#a"/>
<path class="s" d="M5 30H35" data-group="stem"/>
"""


def told(capsys: pytest.CaptureFixture[str], *words: str | Path) -> tuple[int, list[str], str]:
    code = run(["motifs", "check", *map(str, words)])
    out, err = capsys.readouterr()
    return code, out.splitlines(), err


def test_whatever_an_editor_writes_comes_in_or_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "twig.svg"
    path.write_text(svg(EDITOR))
    code, lines, err = told(capsys, path)
    assert (code, err) == (0, "")
    assert lines == [
        "twig.svg: 40.0 x 40.0 mm, 3 parts in 2 groups, 1 line of line work, 3 mm wide",
        "  A  shape     81 mm2  shape",
        "  B  shape-2  100 mm2  2 shape",
        "left out: line 5: the paint '#gone' is not there",
        "left out: line 6: a clip-path is not applied",
        "left out: line 6: a mask is not applied",
        "left out: line 7: text is no shape; turn it into outlines (2 times in all)",
        "left out: line 8: a picture cannot be inked",
        "left out: line 8: what lies in another file is not fetched",
        "not well inked by a pen of 1.5 mm: nothing",
        str(tmp_path / "twig-check.png"),
    ]
    assert (tmp_path / "twig-check.png").read_bytes().startswith(b"\x89PNG")
    code, lines, _ = told(capsys, path, "--strokes", "parts", "--pen", "3.5")
    assert code == 0
    assert lines[:4] == [
        "twig.svg: 40.0 x 40.0 mm, 4 parts in 3 groups, no line work",
        "  A  shape     81 mm2  shape",
        "  B  shape-2  100 mm2  2 shape",
        "  C  stem      90 mm2  line",
    ]
    assert lines[-2] == "  a  at 33.5,30.0 mm: stem is 3.00 mm wide, too narrow for a pen of 3.5 mm"


def test_skin_and_findings_are_told_with_letters(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "figure.svg"
    path.write_text(svg(box(2, 2, 20, 9, "face", 'data-side="skin"') + box(2, 20, 12, 1.2, "hem")))
    code, lines, _ = told(capsys, path, "-o", tmp_path / "out.svg")
    assert code == 0
    assert lines[1].split() == ["A", "face", "180", "mm2", "leaf", "side", "skin"]
    assert lines[-3:-1] == [
        "not well inked by a pen of 1.5 mm:",
        lines[-2],
    ]
    assert lines[-2].startswith("  a  at ")
    assert lines[-1] == str(tmp_path / "out.svg")


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_the_sheet_is_written_again_over_itself_only(
    ending: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, sheet = tmp_path / "twig.svg", tmp_path / f"sheet.{ending}"
    path.write_text(svg(box(2, 2, 9, 9, "a")))
    first = check_motif(path, sheet)[1].read_bytes()
    assert check_motif(path, sheet)[1].read_bytes() == first
    sheet.write_bytes(b"hers")
    code, lines, err = told(capsys, path, "-o", sheet)
    assert (code, lines, len(err.splitlines())) == (1, [], 1)
    assert sheet.read_bytes() == b"hers"


@pytest.mark.parametrize(
    ("content", "words", "line"),
    [
        (None, (), "there is no such file"),
        ("<svg", (), "not sound XML"),
        ("a picture", (), "not sound XML"),
        (svg("<text>pear</text>"), (), "nothing in the drawing can be inked"),
        (svg(box(2, 2, 9, 9, "a")), ("-o", "drawing.svg"), "is the drawing itself"),
        (svg(box(2, 2, 9, 9, "a")), ("-o", "sheet.gif"), "a sheet cannot be written as '.gif'"),
    ],
)
def test_what_cannot_be_read_is_one_line(
    content: str | None,
    words: tuple[str, ...],
    line: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    if content is not None:
        Path("drawing.svg").write_text(content)
    code, lines, err = told(capsys, "drawing.svg", *words)
    assert (code, lines, len(err.splitlines())) == (1, [], 1)
    assert line in err
    assert {path.name for path in tmp_path.iterdir()} <= {"drawing.svg"}
    assert content is None or Path("drawing.svg").read_text() == content


def test_a_drawing_of_lines_alone_is_told_and_drawn(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "scribble.svg"
    path.write_text(svg('<path d="M1 1L30 30M5 5L9 30" fill="none" stroke="red"/>'))
    code, lines, _ = told(capsys, path)
    assert code == 0
    assert lines[0] == "scribble.svg: 40.0 x 40.0 mm, no parts, 2 lines of line work, 1 mm wide"


# ---- the sheet


def sheet_of(inside: str, side: float = 40.0) -> tuple[Motif, Scene, tuple[Finding, ...]]:
    motif = drawing(inside, side)
    groups, told_ = inspect(motif)
    return motif, check_sheet(motif, groups, told_, ["notes"], 1.5), told_


def words(scene: Scene) -> list[str]:
    return [item.text for item in flat(scene.items) if isinstance(item, Text)]


BUSY = (
    box(2, 2, 20, 20, "body")
    + box(24, 2, 12, 1.2, "hem")
    + box(5, 5, 1.2, 1.2, "eye")
    + box(2, 30, 8, 8, "foot")
    + box(10.2, 30, 8, 8, "toe")
)


def test_every_group_and_finding_has_its_sign_on_the_figure_and_in_the_list() -> None:
    _, scene, told_ = sheet_of(BUSY)
    shown = words(scene)
    assert len(told_) >= 3
    for letter in "ABCDE":
        assert shown.count(letter) == 2
    for letter, finding in zip("abcdef", told_, strict=False):
        assert shown.count(letter) == 2
        assert shown.count(finding.text) == 1
    assert "nothing" not in shown


@pytest.mark.parametrize(
    ("side", "factor", "told_"),
    [
        (40.0, 2.0, "twice natural size"),
        (20.0, 5.0, "5 times natural size"),
        (60.0, 1.0, "natural size"),
        (300.0, 1 / 3, "1:3 of natural size"),
    ],
)
def test_the_figure_is_drawn_large_and_small(side: float, factor: float, told_: str) -> None:
    motif, scene, _ = sheet_of(box(0, 0, side, side, "a"), side)
    sizes = [
        float(np.ptp(item.rings[0][:, 0]))
        for item in scene.items
        if isinstance(item, Fill) and item.layer == motif.name
    ]
    natural = [side] if factor > 1 else []
    assert sizes == pytest.approx([side * factor, *natural, 25.0, 12.0], abs=0.01)
    assert {told_, "25 mm", "12 mm"} <= set(words(scene))
    assert any(text.startswith("natural size,") for text in words(scene)) is bool(natural)


def test_nothing_stands_beyond_the_sheet() -> None:
    many = "".join(
        box(x, y, 1.6, 1.6, f"a-rather-long-name-of-a-group-{x}-{y}") for x in range(1, 38, 3) for y in (3, 9)
    )
    for inside in (BUSY, many, BUSY + "<text/>" * 3):
        _, scene, _ = sheet_of(inside)
        for item in flat(scene.items):
            if isinstance(item, Text):
                assert 5 < item.x < scene.width - 5
                assert 5 < item.y < scene.height - 3
            elif item.layer != "backdrop":
                points = np.vstack(item.rings if isinstance(item, Fill) else item.lines)
                assert (points > 4).all()
                assert (points < [scene.width - 4, scene.height - 4]).all()
