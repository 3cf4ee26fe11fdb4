"""Reading plain SVG: sizes, shapes, transforms, styles, uses, and what becomes part, group and line work."""

import math
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mockup.errors import DrawingError
from mockup.geometry.affine import Affine, about, rotation, scaling, translation
from mockup.geometry.shapes import area, box_of, strokes
from mockup.pattern.motif import LineWork, Motif, Part
from mockup.pattern.svg import read_svg
from mockup.pattern.transforms import read_transform

PIXEL = 25.4 / 96


def drawing(inside: str, head: str = 'width="100mm" height="100mm" viewBox="0 0 100 100"') -> Motif:
    """Read a drawing of which, by default, one unit is 1 mm."""
    names = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    return read_svg(f"<svg {names} {head}>{inside}</svg>".encode(), "pear", where="pear.svg", tolerance=0.002)


def areas(motif: Motif) -> list[float]:
    return [area(part.shape) for part in motif.parts]


def one_box(inside: str) -> tuple[float, float, float, float]:
    return drawing(inside).box


def labels(inside: str) -> list[str]:
    return [part.group for part in drawing(inside).parts]


def lines(motif: Motif) -> list[LineWork]:
    return [element for element in motif.elements if isinstance(element, LineWork)]


SQUARE = '<rect width="10" height="10"/>'


# ---- sizes


@pytest.mark.parametrize(
    ("head", "size", "box"),
    [
        ('width="40mm" height="20mm"', (40, 20), 10 * PIXEL),
        ('width="4cm" height="2cm" viewBox="0 0 80 40"', (40, 20), 5),
        ('width="96" height="48"', (25.4, 12.7), 10 * PIXEL),
        ('width="96px" height="0.5in" viewBox="0 0 96 48"', (25.4, 12.7), 10 * PIXEL),
        ('viewBox="0 0 96 48"', (25.4, 12.7), 10 * PIXEL),
        ('width="100%" height="100%" viewBox="0,0,96,48"', (25.4, 12.7), 10 * PIXEL),
        ('width="40mm" viewBox="0 0 20 10"', (40, 20), 20),
        ('height="20mm" viewBox="0 0 20 10"', (40, 20), 20),
    ],
)
def test_natural_size(head: str, size: tuple[float, float], box: float) -> None:
    motif = drawing(SQUARE, head)
    assert (motif.width, motif.height) == pytest.approx(size)
    assert motif.box == pytest.approx((0, 0, box, box), abs=1e-3)


@pytest.mark.parametrize(
    ("aspect", "box"),
    [
        ("", (10, 0, 20, 10)),
        ("xMidYMid meet", (10, 0, 20, 10)),
        ("xMinYMid", (0, 0, 10, 10)),
        ("xMaxYMax meet", (20, 0, 30, 10)),
        ("none", (0, 0, 30, 10)),
        ("xMidYMin slice", (0, 0, 30, 30)),
        ("nonsense", (10, 0, 20, 10)),
    ],
)
def test_view_box_is_fitted(aspect: str, box: tuple[float, ...]) -> None:
    head = f'width="30mm" height="10mm" viewBox="5 5 4 4" preserveAspectRatio="{aspect}"'
    assert drawing('<rect x="5" y="5" width="4" height="4"/>', head).box == pytest.approx(box, abs=1e-3)


@pytest.mark.parametrize(
    ("head", "what"),
    [
        ("", "the drawing has no size; give it width and height, or a viewBox"),
        (
            'width="0" height="5"',
            "the drawing has no size that can be drawn; width and height must be above 0",
        ),
        ('width="-3mm" height="5"', "the drawing has no size that can be drawn"),
        ('width="wide" height="5"', "'wide' is not a length"),
        ('width="1e999" height="5"', "'1e999' is too large for a length"),
        ('width="nan" height="5"', "'nan' is not a length"),
        ('width="9" height="9" viewBox="0 0 5"', "viewBox '0 0 5' is no four numbers"),
        ('width="9" height="9" viewBox="0 0 nan 5"', "viewBox '0 0 nan 5' is no four numbers"),
        ('width="9" height="9" viewBox="0 0 0 5"', "viewBox '0 0 0 5' encloses nothing"),
        ('width="9" height="9" viewBox="0 0 -4 5"', "viewBox '0 0 -4 5' encloses nothing"),
        ('width="9" height="9" viewBox="0 0 1e-9 1e-9"', "transform leads out of all bounds"),
    ],
)
def test_size_that_cannot_be_drawn_is_refused(head: str, what: str) -> None:
    with pytest.raises(DrawingError) as caught:
        drawing(SQUARE, head)
    assert str(caught.value).startswith(f"pear.svg, line 1: {what}")


# ---- shapes


@pytest.mark.parametrize(
    ("shape", "wanted", "box"),
    [
        ('<rect x="1" y="2" width="30" height="20"/>', 600, (1, 2, 31, 22)),
        ('<rect width="30" height="20" rx="4"/>', 600 - (4 - math.pi) * 16, (0, 0, 30, 20)),
        ('<rect width="30" height="20" rx="4" ry="2"/>', 600 - (4 - math.pi) * 8, (0, 0, 30, 20)),
        ('<rect width="30" height="20" rx="99" ry="99"/>', math.pi * 150, (0, 0, 30, 20)),
        ('<rect width="30" height="20" rx="0" ry="5"/>', 600, (0, 0, 30, 20)),
        ('<circle cx="50" cy="40" r="10"/>', math.pi * 100, (40, 30, 60, 50)),
        ('<circle cx="50%" cy="40%" r="10%"/>', math.pi * 100, (40, 30, 60, 50)),
        ('<ellipse cx="50" cy="40" rx="20" ry="10"/>', math.pi * 200, (30, 30, 70, 50)),
        ('<ellipse cx="50" cy="40" rx="10"/>', math.pi * 100, (40, 30, 60, 50)),
        ('<polygon points="0,0 10,0 10,10"/>', 50, (0, 0, 10, 10)),
        ('<polyline points="0 0,10 0,10 10"/>', 50, (0, 0, 10, 10)),
        ('<path d="M0 0h10v10h-10z"/>', 100, (0, 0, 10, 10)),
        ('<path d="M0 0H10V10H0zM2 2H8V8H2z" fill-rule="evenodd"/>', 64, (0, 0, 10, 10)),
        ('<path d="M0 0H10V10H0zM2 2H8V8H2z"/>', 100, (0, 0, 10, 10)),
        ('<rect width="1cm" height="10"/>', 10 / PIXEL * 10, (0, 0, 10 / PIXEL, 10)),
    ],
)
def test_shape(shape: str, wanted: float, box: tuple[float, ...]) -> None:
    motif = drawing(shape)
    assert areas(motif) == pytest.approx([wanted], rel=1e-3)
    assert motif.box == pytest.approx(box, abs=2e-3)
    assert motif.left_out == ()


@pytest.mark.parametrize(
    ("shape", "note"),
    [
        ('<rect width="0" height="5"/>', "rect is left out: width is zero"),
        ('<rect width="5"/>', "rect is left out: height is zero"),
        ('<rect width="-5" height="5"/>', "rect is left out: width is negative"),
        ('<rect width="5" height="5" rx="-1"/>', "rect is left out: rx is negative"),
        ('<circle r="0"/>', "circle is left out: r is zero"),
        ('<circle r="-3"/>', "circle is left out: r is negative"),
        ('<circle r="1e999"/>', "circle is left out: '1e999' is too large for a length"),
        (
            f'<circle r="{"1" * 99}"/>',
            "circle is left out: '11111111111111111111'... is too long for a length",
        ),
        ('<circle r="nan"/>', "circle is left out: 'nan' is not a length"),
        ('<circle r="5" cx="inf"/>', "circle is left out: 'inf' is not a length"),
        ('<circle r="5" cx="9e9%"/>', "circle is left out: '9e9%' is too large for a length"),
        ('<ellipse rx="5" ry="0"/>', "ellipse is left out: ellipse has no size"),
        ('<polygon points="0 0 five 5"/>', "polygon is left out: points are not all numbers"),
        ('<polygon points=""/>', "polygon draws nothing"),
        ('<path d="M0 0L10 10"/>', "path draws nothing"),
        ('<path d=""/>', "path draws nothing"),
        ('<line x2="9"/>', "line draws nothing"),
        ('<line x2="9" stroke="red" stroke-width="0"/>', "line draws nothing"),
        ('<line x2="9" stroke="red" stroke-width="-2"/>', "line draws nothing"),
        ('<line x2="9" stroke="red" stroke-width="2em"/>', "line is left out: '2em' has an unknown unit"),
        (
            '<path d="M0 0V5H5X" />',
            "path data has 'X' at character 9 where a command is due; the rest is left out",
        ),
        (
            '<rect width="9" height="9" transform="spin(3)"/>',
            "rect is left out: transform function 'spin' cannot",
        ),
        ('<rect width="9" height="9" transform="scale(0)"/>', "rect draws nothing"),
        (
            '<rect width="9" height="9" transform="scale(1e7)"/>',
            "rect is left out: transform leads out of all bound",
        ),
        ("<text>hello</text>", "text is no shape; turn it into outlines"),
        ('<image href="a.png"/>', "a picture cannot be inked"),
        ("<foreignObject/>", "foreign content is not drawn"),
        ("<script>1</script>", "scripts are not run"),
        ('<use href="#none"/>', "use of '#none', which is not there"),
        ('<use href="other.svg#a"/>', "what lies in another file is not fetched"),
        ("<use/>", "what lies in another file is not fetched"),
        ('<use href="#a" x="wide"/>', "use is left out: 'wide' is not a length"),
        ('<g id="loop"><use href="#loop"/></g>', "use of '#loop', which would hold itself"),
        ('<g clip-path="url(#c)"/>', "a clip-path is not applied"),
        ('<g mask="url(#c)"/>', "a mask is not applied"),
        ('<g style="filter: url(#c)"/>', "a filter is not applied"),
        ('<path d="M0 0H9V9" marker-end="url(#c)"/>', "markers are not drawn"),
        ('<line x2="9" stroke="red" stroke-dasharray="1 2"/>', "dashes are drawn as whole lines"),
        ('<circle r="9" fill="url(other.svg#g)"/>', "a paint from another file is not fetched"),
        ("<style>g path {fill: red}</style>", "the style rule 'g path' is not followed"),
        ("<style>a:hover {fill: red}</style>", "the style rule 'a:hover' is not followed"),
        ("<style>@import 'x.css';</style>", "the style sheet's @import is not followed"),
        ("<style>@media print {.a {fill: red}}</style>", "the style sheet's @media is not followed"),
        ('<svg width="0" height="5"/>', "svg is left out: it has no size"),
    ],
)
def test_what_cannot_be_inked_is_left_out_with_the_reason(shape: str, note: str) -> None:
    motif = drawing(f'<rect id="a" x="50" y="50" width="5" height="5"/>{shape}')
    assert len(motif.left_out) == 1
    assert motif.left_out[0].startswith(f"line 1: {note}")
    assert 25 in [round(one) for one in areas(motif)]


def test_notes_are_counted_not_repeated() -> None:
    motif = drawing(SQUARE + "\n<text/>" * 1000 + '\n<path d="M0 0H9V9L"/><path d="M0 0H9V9X"/>')
    assert motif.left_out == (
        "line 2: text is no shape; turn it into outlines (1000 times in all)",
        "line 1002: path data has the end at character 10 where a number of 'L' is due; the rest is left out "
        "(2 times in all)",
    )


def test_nothing_to_ink_is_refused() -> None:
    with pytest.raises(DrawingError) as caught:
        drawing("<g/>")
    assert str(caught.value) == (
        "pear.svg: nothing in the drawing can be inked; give at least one shape a fill or a stroke"
    )
    with pytest.raises(DrawingError, match=r"can be inked \(line 1: text is no shape"):
        drawing("<text>pear</text>")


# ---- transforms


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", Affine()),
        ("none", Affine()),
        ("matrix(1 2 3 4 5 6)", Affine(1, 2, 3, 4, 5, 6)),
        ("translate(3)", translation(3, 0)),
        ("translate(3,-4)", translation(3, -4)),
        ("translate(10px, 5px)", translation(10, 5)),
        ("translate(1in)", translation(96, 0)),
        ("translateX(3) translateY(4px)", translation(3, 4)),
        ("scale(2)", scaling(2)),
        ("scale(2 3)", scaling(2, 3)),
        ("scaleX(2),scaleY(3)", scaling(2, 3)),
        ("rotate(30)", rotation(30)),
        ("rotate(30deg)", rotation(30)),
        ("rotate(0.25turn)", rotation(90)),
        ("rotate(100grad)", rotation(90)),
        ("rotate(1rad)", rotation(math.degrees(1))),
        ("rotate(30, 5 6)", about(5, 6, rotation(30))),
        ("skewX(45)", Affine(c=1)),
        ("skewY(45)", Affine(b=1)),
        ("skew(45deg, 45deg)", Affine(b=1, c=1)),
        (" translate( 1 , 2 )\n,\trotate(30)scale(-1,1) ", translation(1, 2) @ rotation(30) @ scaling(-1, 1)),
        ("translate(-.5.5)", translation(-0.5, 0.5)),
    ],
)
def test_transform(text: str, wanted: Affine) -> None:
    got = read_transform(text)
    for name in "abcdef":
        assert getattr(got, name) == pytest.approx(getattr(wanted, name), abs=1e-12)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("rotate(30", "transform 'rotate(30' cannot be read"),
        ("scale(2) and", "transform 'and' cannot be read"),
        ("spin(3)", "transform function 'spin' cannot be read"),
        ("scale(two)", "transform function 'scale' cannot be read"),
        ("scale()", "transform function 'scale' has 0 arguments"),
        ("rotate(1 2)", "transform function 'rotate' has 2 arguments"),
        ("matrix(1 2 3)", "transform function 'matrix' has 3 arguments"),
        ("rotate(3px)", "transform argument '3px' has an unknown unit"),
        ("translate(3deg)", "'3.0deg' has an unknown unit; the units are mm, cm, in, Q, pt, pc, px"),
        ("scale(1e999)", "transform leads out of all bounds"),
        ("rotate(1e999)", "transform leads out of all bounds"),
        ("skewX(1e999)", "transform leads out of all bounds"),
        ("skewX(90)", "transform leads out of all bounds"),
        ("scale(1e5)scale(1e5)", "transform leads out of all bounds"),
        ("scale(1)" * 1001, "transform 'scale(1)' cannot be read"),
    ],
)
def test_transform_that_cannot_be_read(text: str, what: str) -> None:
    with pytest.raises(ValueError, match=r"transform|unit") as caught:
        read_transform(text)
    assert str(caught.value) == what


def test_transforms_nest() -> None:
    inside = f'<g transform="translate(10 20)"><g transform="scale(2)">{SQUARE}</g></g>'
    assert one_box(inside) == pytest.approx((10, 20, 30, 40))


def test_style_transform_wins_over_the_attribute() -> None:
    shape = '<rect width="9" height="9" transform="scale(9)" style="transform: translate(5px, 6px)"/>'
    assert one_box(shape) == pytest.approx((5, 6, 14, 15))


@settings(deadline=None)
@given(*[st.floats(-2, 2).map(lambda x: round(x, 4))] * 4)
def test_area_grows_with_the_determinant(a: float, b: float, c: float, d: float) -> None:
    grown = abs(a * d - b * c)
    shape = '<path d="M50 50C60 20 90 70 60 80Q40 90 50 50z"/>'
    plain = areas(drawing(shape))[0]
    turned = f'{SQUARE}<g transform="matrix({a} {b} {c} {d} 0 0)">{shape}</g>'
    got = [*areas(drawing(turned)), 0.0][1]
    assert got == pytest.approx(plain * grown, rel=2e-3, abs=0.1)


# ---- structure


def test_inner_svg_has_a_viewport_of_its_own() -> None:
    inner = (
        '<svg x="10" y="20" width="40" height="20" viewBox="0 0 10 10"><rect width="100%" height="10"/></svg>'
    )
    assert one_box(inner) == pytest.approx((20, 20, 40, 40))
    plain = '<svg x="10" y="20" width="50%" height="20"><rect width="100%" height="100%"/></svg>'
    assert one_box(plain) == pytest.approx((10, 20, 60, 40))


@pytest.mark.parametrize("attribute", ["href", "xlink:href"])
def test_use_moves_its_target(attribute: str) -> None:
    inside = f'<defs><rect id="r" width="10" height="10"/></defs><use {attribute}="#r" x="5" y="6"/>'
    assert one_box(inside) == pytest.approx((5, 6, 15, 16))
    turned = inside.replace("<use", '<use transform="scale(2)"')
    assert one_box(turned) == pytest.approx((10, 12, 30, 32))


def test_use_of_a_symbol_fits_its_view_box() -> None:
    symbol = '<symbol id="s" viewBox="0 0 10 10"><rect width="10" height="10"/></symbol>'
    assert one_box(f'{symbol}<use href="#s" x="10" width="20" height="20"/>') == pytest.approx(
        (10, 0, 30, 20)
    )
    assert one_box(f'{symbol}<use href="#s"/>') == pytest.approx((0, 0, 100, 100))


def test_use_passes_its_style_on() -> None:
    inside = '<defs fill="blue"><rect id="r" width="9" height="9"/></defs><g fill="red"><use href="#r"/></g>'
    assert drawing(inside).parts[0].fill == "red"


def test_use_that_holds_itself_is_drawn_once_more_round() -> None:
    loop = '<g id="a"><rect width="9" height="9"/><use href="#b"/></g><g id="b"><use href="#a"/></g>'
    assert len(drawing(loop).parts) == 3


def test_switch_takes_the_first_child_that_needs_no_extension() -> None:
    first = '<g requiredExtensions="http://example.org/x"><rect width="1" height="1"/></g>'
    inside = (
        f'<switch><title>x</title>{first}<rect width="2" height="2"/><rect width="9" height="9"/></switch>'
    )
    assert areas(drawing(inside)) == pytest.approx([4])


@pytest.mark.parametrize(
    "tag", ["defs", "symbol", "clipPath", "mask", "pattern", "marker", "metadata", "title", "b:g"]
)
def test_what_is_only_kept_is_not_drawn(tag: str) -> None:
    inside = f'{SQUARE}<{tag} xmlns:b="http://example.org/b"><rect width="50" height="50"/></{tag}>'
    assert areas(drawing(inside)) == pytest.approx([100])


def test_anchors_and_groups_are_entered() -> None:
    assert areas(drawing(f"<a><g>{SQUARE}</g></a>")) == pytest.approx([100])


def test_elements_lie_in_the_order_of_the_file() -> None:
    inside = (
        '<g id="x"><rect id="a" width="9" height="9"/><line id="l" x2="9" stroke="red"/></g>'
        '<use href="#a"/><circle id="c" r="5"/>'
    )
    kinds = [e.name if isinstance(e, Part) else "line" for e in drawing(inside).elements]
    assert kinds == ["a", "line", "a", "c"]


@given(st.permutations(["a", "b", "c", "d", "e"]))
def test_reading_order_is_stacking_order(order: Sequence[str]) -> None:
    shapes = "".join(f'<rect id="{name}" width="5" height="5"/>' for name in order)
    assert [part.name for part in drawing(shapes).parts] == list(order)


# ---- styles


@pytest.mark.parametrize(
    ("inside", "fill"),
    [
        ('<r fill="red"/>', "red"),
        ("<r/>", ""),
        ('<g fill="red"><r/></g>', "red"),
        ('<g fill="red"><r fill="inherit"/></g>', "red"),
        ('<g fill="red"><r fill="initial"/></g>', ""),
        ('<r fill="red" style="fill: blue"/>', "blue"),
        ('<style>.a {fill: green}</style><r class="b a"  fill="red"/>', "green"),
        ('<style>.a {fill: green}</style><r class="a"  style="fill:blue"/>', "blue"),
        ('<style>.a {fill: green !important}</style><r class="a"  style="fill:blue"/>', "green"),
        ('<style>.a {fill:green!important}</style><r class="a"  style="fill:blue!important"/>', "blue"),
        ('<style>#i {fill: green} .a {fill: red} rect {fill: blue}</style><r id="i" class="a"/>', "green"),
        ('<style>rect.a {fill: green} .a {fill: red}</style><r class="a"/>', "green"),
        ('<style>.a {fill: green} .a {fill: red}</style><r class="a"/>', "red"),
        ("<style>.b, rect {fill: green}</style><r/>", "green"),
        ("<style>* {fill: green}</style><r/>", "green"),
        ('<style><![CDATA[ /* } */ .a { fill : green ; ]]></style><r class="a"/>', ""),
        ('<style>@font-face {src: url("a;b{")} .a {fill: green}</style><r class="a"/>', "green"),
        ('<g color="teal"><r fill="currentColor"/></g>', "teal"),
        ('<r fill="currentColor"/>', "black"),
        ('<linearGradient id="g"/><r fill="url(#g)"/>', "url(#g)"),
        ('<r fill="url(#gone) red"/>', "red"),
        ('<r style="fill: url(data:a;b) ; fill-rule: evenodd"/>', "url(data:a;b)"),
    ],
)
def test_fill_as_written(inside: str, fill: str) -> None:
    spelt_out = inside.replace("<r ", '<rect width="9" height="9" ').replace(
        "<r/", '<rect width="9" height="9"/'
    )
    assert [part.fill for part in drawing(spelt_out).parts] == [fill]


@pytest.mark.parametrize(
    "style",
    [
        "display:none",
        "visibility:hidden",
        "visibility: collapse",
        "opacity:0",
        "opacity: 0%",
        "fill:none",
        "fill-opacity:0",
        "fill:transparent",
        "fill:#fff0",
        "fill:#ffffff00",
        "fill:rgba(1,2,3,0)",
        "fill:rgb(1 2 3 / 0%)",
        "fill:url(#gone)",
    ],
)
def test_what_is_not_seen_is_left_out(style: str) -> None:
    assert areas(drawing(f'{SQUARE}<g style="{style}"><rect width="50" height="50"/></g>')) == pytest.approx(
        [100]
    )


@pytest.mark.parametrize(
    "style", ["opacity:0.1", "fill:rgba(1,2,3,0.5)", "fill:rgb(1,2,0)", "fill:#f00", "fill:#0000"]
)
def test_what_is_seen_a_little_counts(style: str) -> None:
    wanted = 0 if style == "fill:#0000" else 1
    assert len(drawing(f'<circle r="1" cx="50"/><g style="{style}">{SQUARE}</g>').parts) == 1 + wanted


def test_a_child_may_be_visible_again_but_not_displayed_again() -> None:
    assert areas(
        drawing(f'<g visibility="hidden"><g visibility="visible">{SQUARE}</g></g>')
    ) == pytest.approx([100])
    with pytest.raises(DrawingError, match="nothing in the drawing can be inked"):
        drawing(f'<g display="none"><g display="inline">{SQUARE}</g></g>')


def test_number_of_rules_is_bounded() -> None:
    with pytest.raises(DrawingError, match="line 1: the style sheet has more than 2000 rules"):
        drawing(f"<style>{'.a{fill:red}' * 2001}</style>{SQUARE}")


def test_style_sheet_outside_is_named() -> None:
    content = b'<?xml-stylesheet href="a.css"?><svg width="9" height="9"><circle r="5"/></svg>'
    motif = read_svg(content, "a", where="a.svg")
    assert motif.left_out == ("line 1: a style sheet outside the file is not fetched",)


# ---- parts and groups


def rect(**attributes: str) -> str:
    words = " ".join(f'{key.replace("_", "-")}="{value}"' for key, value in attributes.items())
    return f'<rect width="9" height="9" {words}/>'


def test_name_is_data_part_else_id_else_shape() -> None:
    inside = rect(data_part="petal", id="p7") + rect(id="leaf") + rect()
    assert [part.name for part in drawing(inside).parts] == ["petal", "leaf", "shape"]


def test_same_written_fill_goes_together() -> None:
    inside = (
        "<style>.r {fill: red}</style>"
        + rect(id="a", fill="red")
        + rect(id="b", style="fill:RED")
        + rect(id="c", **{"class": "r"})
        + f'<g fill="red">{rect(id="d")}</g>'
        + rect(id="e", fill="blue")
    )
    assert labels(inside) == ["a", "a", "a", "a", "e"]


def test_unwritten_fill_is_shared_with_nobody() -> None:
    assert labels(rect() + rect() + rect(fill="black")) == ["shape", "shape-2", "shape-3"]


def test_data_part_stands_alone() -> None:
    inside = rect(data_part="petal", fill="red") * 2 + rect(fill="red", id="a") + rect(fill="red", id="b")
    assert labels(inside) == ["petal", "petal-2", "a", "a"]


def test_data_group_joins_whatever_the_fill() -> None:
    inside = (
        rect(data_group="eye", fill="red")
        + f'<g data-group="eye">{rect(data_part="iris")}</g>'
        + rect(fill="red")
    )
    assert labels(inside) == ["eye", "eye", "shape"]


def test_inner_group_wins_over_the_enclosing_one() -> None:
    assert labels(f'<g data-group="out">{rect()}{rect(data_group="in")}</g>') == ["out", "in"]


def test_names_of_a_use_win_over_its_target() -> None:
    target = f"<defs>{rect(id='r', data_part='leaf', data_group='one', data_side='skin')}</defs>"
    motif = drawing(
        f'{target}<use href="#r"/><use href="#r" data-part="petal"/>'
        '<use href="#r" data-group="two" data-side="other"/><g data-group="three"><use href="#r"/></g>'
    )
    assert [part.name for part in motif.parts] == ["leaf", "petal", "leaf", "leaf"]
    assert [part.group for part in motif.parts] == ["one", "one", "two", "one"]
    assert [part.side for part in motif.parts] == ["skin", "skin", "other", "skin"]


def test_use_of_a_whole_group_names_what_has_no_name() -> None:
    symbol = f'<symbol id="s" data-group="own">{rect()}{rect(data_part="vein", data_group="v")}</symbol>'
    motif = drawing(f'{symbol}<use href="#s" data-part="leaf" data-group="mine"/>')
    assert [(part.name, part.group) for part in motif.parts] == [("leaf", "mine"), ("vein", "v")]


def test_side_is_own_or_enclosing() -> None:
    motif = drawing(f'<g data-side="skin">{rect()}</g>{rect(data_side="skin")}{rect()}')
    assert [part.side for part in motif.parts] == ["skin", "skin", ""]


def test_one_fill_on_two_sides_is_two_groups() -> None:
    assert labels(rect(fill="red", data_side="skin") + rect(fill="red")) == ["shape", "shape-2"]


def test_labels_are_plain_and_a_written_group_keeps_its_name() -> None:
    inside = (
        rect(data_part="eye") + rect(data_group="eye") + rect(data_part="a/b \n c") + rect(data_part="x" * 99)
    )
    assert labels(inside) == ["eye-2", "eye", "a-b-c", "x" * 40]


@given(
    st.lists(st.tuples(st.sampled_from(["", "a", "a-2", "b/c", "/"]), st.sampled_from(["", "red", "blue"])))
)
def test_labels_are_unique_and_hold_no_slash(written: list[tuple[str, str]]) -> None:
    inside = "".join(rect(data_part=name, fill=fill) for name, fill in [("first", "red"), *written])
    motif = drawing(inside)
    assert all("/" not in label and label for label in motif.groups)
    alone = [part.group for part, (name, _) in zip(motif.parts[1:], written, strict=True) if name]
    assert len(set(alone)) == len(alone)
    assert motif.groups == tuple(dict.fromkeys(part.group for part in motif.parts))


# ---- line work


def test_stroke_without_fill_is_line_work() -> None:
    motif = drawing(
        '<path d="M0 0H9V9M20 20H30V30z" fill="none" stroke="navy" stroke-width="2" transform="scale(2)"/>'
    )
    (work,) = lines(motif)
    assert motif.parts == ()
    assert work.closed == (False, True)
    assert [line.tolist() for line in work.lines] == [
        [[0, 0], [18, 0], [18, 18]],
        [[40, 40], [60, 40], [60, 60]],
    ]
    assert work.width == pytest.approx(4)
    assert work.stroke == "navy"
    assert motif.box == pytest.approx((0, 0, 60, 60))


def test_stroke_of_a_filled_element_is_not() -> None:
    motif = drawing('<rect width="9" height="9" fill="red" stroke="black"/>')
    assert lines(motif) == []
    assert motif.box == pytest.approx((0, 0, 9, 9))


@pytest.mark.parametrize("shape", ['<line x2="9" stroke="red"/>', '<path d="M0 0H9" stroke="red"/>'])
def test_stroke_of_what_encloses_nothing_is_line_work(shape: str) -> None:
    assert len(lines(drawing(shape))) == 1


def test_stroke_that_does_not_show_is_none() -> None:
    hidden = '<line x2="9" stroke="red" stroke-opacity="0"/><line x2="9" fill="none"/>'
    assert lines(drawing(SQUARE + hidden)) == []


@pytest.mark.parametrize(("cap", "count"), [("round", 1), ("square", 1), ("butt", 0)])
def test_point_with_a_cap_is_a_dot(cap: str, count: int) -> None:
    motif = drawing(f'{SQUARE}<path d="M50 60h0" fill="none" stroke="red" stroke-linecap="{cap}"/>')
    assert len(lines(motif)) == count
    for work in lines(motif):
        assert box_of([strokes(work.lines, work.closed)]) == pytest.approx((50, 60, 50, 60), abs=1e-3)


def test_box_leaves_line_work_out_where_there_is_a_part() -> None:
    assert one_box(SQUARE + '<line x2="99" stroke="red"/>') == pytest.approx((0, 0, 10, 10))


def test_coarser_tolerance_takes_fewer_points() -> None:
    content = b'<svg width="99mm" height="99mm"><circle cx="50" cy="50" r="40"/></svg>'
    fine, coarse = (read_svg(content, "a", where="a", tolerance=t).parts[0].shape for t in (0.001, 0.1))
    assert len(coarse.geoms[0].exterior.coords) < len(fine.geoms[0].exterior.coords)
    assert area(coarse) == pytest.approx(area(fine), rel=0.02)
