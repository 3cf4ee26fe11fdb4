"""Files that mean harm or are broken: always a motif or one plain line, never anything else."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from mockup.errors import DrawingError
from mockup.pattern import inking
from mockup.pattern import svg as svg_reader
from mockup.pattern.motif import Motif
from mockup.pattern.svg import read_svg

SOUND = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 90 90">
<style>.a{fill:red} #b{fill:url(#g)}</style><defs><linearGradient id='g'/></defs>
<g transform="rotate(5 4 3) scale(2)">
<path class="a" d="M0 0C5 5 9 9 0 9a5 4 3 0 1 9 9Q1 2 3 4T9 9z"/></g>
<rect id="b" x="5" width="9" height="50%" rx="2"/><use xlink:href="#b" x="9"/>
<polyline points="0,0 5,5 9,3" fill="none" stroke="navy" stroke-width="2"/></svg>
"""


def read(content: bytes | str) -> Motif:
    return read_svg(content.encode() if isinstance(content, str) else content, "x", where="x.svg")


def refused(content: bytes | str) -> str:
    """Read what must be refused; give the line."""
    with pytest.raises(DrawingError) as caught:
        read(content)
    line = str(caught.value)
    assert line.startswith("x.svg")
    assert "\n" not in line
    return line


def svg(inside: str, head: str = 'width="90" height="90"') -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{inside}</svg>'


def test_plain_doctype_is_read() -> None:
    assert len(read(SOUND).elements) == 4


@pytest.mark.parametrize(
    ("content", "line"),
    [
        (b"", "x.svg: the file is empty; save the drawing again as plain SVG"),
        (b" \n ", "x.svg: the file is empty; save the drawing again as plain SVG"),
        (b"\x1f\x8b\x08\x00abc", "x.svg: the file is compressed (svgz); save it as plain SVG"),
        (b"no xml", "x.svg, line 1, column 1: not sound XML: syntax error"),
        (
            b"\x89PNG\r\n\x1a\n",
            "x.svg: the file is a picture, no SVG drawing; `mockup scan` makes a drawing of scanned lines",
        ),
        (b"<svg>\n <g></svg>", "x.svg, line 2, column 7: not sound XML: mismatched tag"),
        (b"<svg>", "x.svg, line 1, column 6: not sound XML: no element found"),
        (b"<svg/><svg/>", "x.svg, line 1, column 7: not sound XML: junk after document element"),
        (b"<svg a='1' a='2'/>", "x.svg, line 1, column 12: not sound XML: duplicate attribute"),
        (b"<svg><b:g/></svg>", "x.svg, line 1, column 6: not sound XML: unbound prefix"),
        (b"<svg>&nbsp;</svg>", "x.svg, line 1, column 6: not sound XML: undefined entity"),
        (b"<svg>\xff</svg>", "x.svg, line 1, column 6: not sound XML: not well-formed (invalid token)"),
        (b"<html/>", "x.svg, line 1: no SVG drawing: it begins with <html>"),
        (
            b"<b xmlns='urn:b'/>",
            "x.svg, line 1: no SVG drawing: it begins with an element of another language",
        ),
    ],
)
def test_broken_file_is_refused_in_one_line(content: bytes, line: str) -> None:
    assert refused(content) == line


@pytest.mark.parametrize("encoding", ["klingon", "utf-7", "big5", "rot13"])
def test_unknown_encoding_is_refused(encoding: str) -> None:
    line = refused(f'<?xml version="1.0" encoding="{encoding}"?><svg/>')
    assert "the encoding that it names is not known" in line or "not sound XML: unknown encoding" in line


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "iso-8859-1", "windows-1252"])
def test_known_encoding_is_read(encoding: str) -> None:
    text = f'<?xml version="1.0" encoding="{encoding}"?>' + svg('<circle id="é" r="9"/>')
    assert read(text.encode(encoding)).parts[0].name == "é"


CIRCLE = svg('<circle r="9"/>')


@pytest.mark.parametrize(
    "declaration",
    [
        '<!ENTITY a "aaaa">',
        '<!ENTITY % a "aaaa">',
        '<!ENTITY a SYSTEM "file:///etc/passwd">',
        '<!ENTITY a SYSTEM "http://localhost:1/a">',
        '<!ENTITY % a SYSTEM "http://localhost:1/a"> %a;',
    ],
)
def test_entity_declarations_are_refused(declaration: str) -> None:
    line = refused(f"<!DOCTYPE svg [{declaration}]>{CIRCLE}")
    assert line.endswith("the file declares entities, which are not read; save it as plain SVG")


def test_entity_bomb_is_refused() -> None:
    lines = ['<!ENTITY a0 "ha">', *(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 12))]
    assert "declares entities" in refused(f"<!DOCTYPE svg [{''.join(lines)}]>{svg('&a11;')}")


def test_external_dtd_is_not_fetched() -> None:
    text = f'<!DOCTYPE svg SYSTEM "http://localhost:1/a.dtd">{CIRCLE}'
    assert len(read(text).parts) == 1


def test_deep_nesting_is_refused() -> None:
    assert len(read(svg("<g>" * 62 + '<circle r="9"/>' + "</g>" * 62)).parts) == 1
    assert "elements are nested more than 64 deep" in refused(svg("<g>" * 64 + "</g>" * 64))
    assert "elements are nested more than 64 deep" in refused("<g>" * 100_000)


def test_number_of_elements_is_bounded() -> None:
    assert "more than 200000 elements" in refused(svg("<g/>" * 200_001))


def test_size_is_bounded() -> None:
    assert refused(b"<svg>" + b" " * 2**23) == "x.svg: the file is larger than 8 MiB"


@pytest.mark.long
def test_use_fan_out_is_refused() -> None:
    refuse_fan_out(20_000, 200_000)


def test_use_fan_out_is_refused_at_any_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(inking, "MOST_SHAPES", 300)
    monkeypatch.setattr(svg_reader, "MOST_DRAWN", 2_000)
    refuse_fan_out(300, 2_000)


def refuse_fan_out(shapes: int, elements: int) -> None:
    levels = [f'<g id="a{n}">{f"<use href={chr(34)}#a{n - 1}{chr(34)}/>" * 10}</g>' for n in range(1, 10)]
    bomb = svg(f'<defs><rect id="a0" width="9" height="9"/>{"".join(levels)}</defs><use href="#a9"/>')
    assert f"the drawing has more than {shapes} shapes; simplify the drawing" in refused(bomb)
    hollow = bomb.replace('<rect id="a0" width="9" height="9"/>', '<g id="a0"/>')
    assert f"more than {elements} elements would be drawn; simplify the drawing" in refused(hollow)


def test_use_chain_is_bounded() -> None:
    chain = [f'<use id="a{n}" href="#a{n - 1}"/>' for n in range(1, 500)]
    deep = svg(f'<defs><circle id="a0" r="9"/>{"".join(chain)}</defs><use href="#a499"/>')
    assert "elements are drawn more than 128 deep; simplify the drawing" in refused(deep)


@pytest.mark.parametrize(
    "inside",
    [
        '<use id="a" href="#a"/>',
        '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>',
        '<symbol id="a"><use href="#a"/></symbol><use href="#a"/>',
    ],
)
def test_use_that_holds_itself_ends(inside: str) -> None:
    assert "which would hold itself" in " ".join(read(svg(f'<circle r="9"/>{inside}')).left_out)


def test_points_are_bounded() -> None:
    path = "M0 0" + "C90000 90000 -90000 90000 0 0" * 400
    uses = "".join(f'<use href="#a" x="{n}"/>' for n in range(60))
    line = refused(svg(f'<path id="a" fill="none" stroke="red" d="{path}"/>{uses}'))
    assert "the drawing would take more than 3000000 points" in line


@pytest.mark.parametrize(
    ("shape", "what"),
    [
        ('<path d="M0 0L1e999 5 5 5z"/>', "a path has the coordinate 1e999, which is too large"),
        ('<rect width="900000" height="9" x="900000"/>', "a path runs to coordinates that are too large"),
        ('<path d="M0 0H900000V5z" transform="scale(9)"/>', "a shape leads out of all bounds"),
    ],
)
def test_coordinates_are_bounded(shape: str, what: str) -> None:
    assert refused(svg(f"\n{shape}")) == f"x.svg, line 2: {what}; simplify the drawing"


@pytest.mark.parametrize(
    "number", ["NaN", "inf", "-inf", "1e999", "1e-999", "0x10", "1_0", "١", "--1", "1e", ".", ""]
)
@pytest.mark.parametrize(
    "shape",
    [
        '<rect width="{}" height="5"/>',
        '<circle r="{}" cx="{}"/>',
        '<path d="M0 0L{} 5 5 5z"/>',
        '<polygon points="0 0 {} 5 5 5"/>',
        '<g transform="scale({})"><circle r="5"/></g>',
        '<line x2="{}" stroke="red" stroke-width="{}"/>',
        '<use href="#a" x="{}"/>',
        '<svg width="{}" height="5" viewBox="0 0 {} 5"><circle r="5"/></svg>',
        '<g opacity="{}"><circle r="5" fill-opacity="{}"/></g>',
    ],
)
def test_strange_numbers_are_refused_or_left_out(shape: str, number: str) -> None:
    harmless('<svg width="9" height="9"><circle id="a" r="3"/>' + shape.replace("{}", number) + "</svg>")


def harmless(content: bytes | str) -> None:
    """Read into a motif within bounds, or refuse in one line; anything else fails the test."""
    try:
        motif = read(content)
    except DrawingError as error:
        line = str(error)
    else:
        line = "x.svg"
        assert motif.elements
        assert 0 < motif.width < 1e6
        assert all(abs(number) < 1e6 for number in motif.box)
        assert all(part.shape.is_valid and not part.shape.is_empty for part in motif.parts)
    assert line.startswith("x.svg")
    assert "\n" not in line


def test_every_truncation_is_harmless() -> None:
    content = SOUND.encode()
    for end in range(0, len(content), 7):
        harmless(content[:end])


@settings(deadline=None)
@given(st.binary(max_size=200))
@example(b"<svg")
@example(b"\xfe\xff")
@example(b"\xff\xfe<\x00")
@example(b"\x00\x00\x00<")
def test_random_bytes_are_harmless(content: bytes) -> None:
    harmless(content)


@settings(deadline=None, max_examples=300)
@given(st.integers(0, len(SOUND) - 1), st.integers(0, 40), st.text(max_size=12))
def test_a_damaged_file_is_harmless(start: int, length: int, instead: str) -> None:
    text = SOUND[:start] + instead + SOUND[start + length :]
    harmless(text.encode("utf-8", "surrogatepass"))


TAGS = ("g", "svg", "use", "symbol", "path", "rect", "circle", "line", "polygon", "switch", "defs", "style")
ATTRIBUTES = (
    *("d", "points", "x", "y", "x1", "y2", "width", "height", "r", "rx", "cx", "transform", "style", "class"),
    *(
        "id",
        "href",
        "fill",
        "stroke",
        "stroke-width",
        "opacity",
        "viewBox",
        "fill-rule",
        "display",
        "visibility",
    ),
    *("data-part", "data-group", "preserveAspectRatio", "clip-path", "ry", "cy", "stroke-linecap", "color"),
)
values = st.one_of(
    st.text(alphabet="0123456789.,-+eE %#()MLCQAZmlhvz", max_size=30),
    st.sampled_from(
        ["none", "inherit", "url(#a)", "#a", "scale(-1 0)", "fill:red;fill:none!important", "1e400"]
    ),
)
elements = st.recursive(
    st.just(""),
    lambda inner: st.builds(
        lambda tag, attributes, children: (
            f"<{tag} {' '.join(f'{key}={chr(34)}{value}{chr(34)}' for key, value in attributes.items())}>"
            f"{''.join(children)}</{tag}>"
        ),
        st.sampled_from(TAGS),
        st.dictionaries(st.sampled_from(ATTRIBUTES), values, max_size=5),
        st.lists(inner, max_size=3),
    ),
    max_leaves=12,
)


@settings(deadline=None, max_examples=400)
@given(elements)
def test_random_drawings_are_harmless(inside: str) -> None:
    harmless(svg(f'<circle id="a" r="5"/>{inside}'))


@pytest.mark.parametrize(
    "inside",
    [
        f"<style>{'{' * 100_000}</style>",
        f"<style>{'a' * 100_000}</style>",
        f"<style>/*{'*' * 100_000}</style>",
        f'<g style="{"fill:(" * 50_000}"/>',
        f'<g style="{"a" * 100_000}"/>',
        f'<g transform="{"scale(" * 50_000}"/>',
        f'<g transform="{" " * 100_000}x"/>',
        f'<path d="M{" " * 100_000}x"/>',
        f'<path d="M{"0" * 100_000}"/>',
        f'<rect width="{"1" * 100_000}" height="{" " * 100_000}1"/>',
        f'<polygon points="{"," * 100_000}"/>',
        f'<g class="{"a " * 50_000}" fill="{"rgb(" * 50_000}"/>',
        f'<circle r="1" fill="{"rgb(0" + "," * 100_000}"/>',
    ],
)
def test_long_attributes_are_harmless(inside: str) -> None:
    harmless(svg(f'<circle r="5"/>{inside}'))
