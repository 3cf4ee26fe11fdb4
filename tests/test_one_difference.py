"""One colour difference in the whole package: CIEDE2000 of ``mockup.colour.difference``, never a library's.

``test_colour_difference.py`` finds calls that leave the method out. Here no call is allowed at all, and colour
objects of the library stay in their one home, so that none can be asked anywhere else.
"""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "mockup"
HOME = "colour/conversion.py"

ASKING = ("delta_e", "deltae", "closest", "de2000")
"""Beginnings of names, underscores and capitals aside, by which libraries give a difference or the nearest colour."""

OBJECTS = ("distance", "match")
"""Methods of colour objects that other things have too: forbidden where the library is at hand, but for patterns."""


LIBRARIES = ("coloraide", "colour_science", "colormath", "skimage")

MENTIONED = re.compile(
    "|".join((*LIBRARIES, "colour[.]conversion", r"de_?l_?t_?a_?e", "closest", r"de_?2000")), re.IGNORECASE
)


def plain(name: str) -> str:
    return name.replace("_", "").lower()


def asks(name: str) -> bool:
    return plain(name).startswith(tuple(plain(beginning) for beginning in ASKING))


def is_pattern(receiver: ast.expr) -> bool:
    """Tell whether something is `re` or one of the module's own compiled patterns, named in capitals."""
    return isinstance(receiver, ast.Name) and (receiver.id == "re" or receiver.id.isupper())


def libraries(tree: ast.Module) -> list[int]:
    """Lines that import a library of colours."""
    found = []
    for node in ast.walk(tree):
        names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        if isinstance(node, ast.ImportFrom):
            names = [node.module or ""]
        if isinstance(node, ast.Call):  # import_module("coloraide"), __import__("coloraide")
            names = [a.value for a in node.args if isinstance(a, ast.Constant) and isinstance(a.value, str)]
        if any(
            name.split(".")[0] in {"coloraide", "colour_science", "colormath"}
            or name in {"skimage", "skimage.color"}
            for name in names
        ):
            assert isinstance(node, ast.stmt | ast.expr)
            found.append(node.lineno)
    return found


def faults(tree: ast.Module) -> list[int]:
    """Lines that ask a library for a difference, or for what is nearest."""
    at_hand = bool(libraries(tree))
    found = []
    for node in ast.walk(tree):
        match node:
            case ast.Attribute(attr=name) if asks(name):
                found.append(node.lineno)
            case ast.ImportFrom(module=module, names=names) if (module or "").split(".")[0] != "mockup":
                found += [alias.lineno for alias in names if asks(alias.name)]
            case ast.Call(func=ast.Attribute(attr=name, value=receiver)) if name in OBJECTS and at_hand:
                if not is_pattern(receiver):
                    found.append(node.lineno)
            case ast.Call(func=ast.Name(id="getattr"), args=[_, ast.Constant(value=str(name)), *_]) if asks(
                name
            ):
                found.append(node.lineno)
            case _:
                pass
    return sorted(found)


@pytest.mark.parametrize(
    ("source", "lines"),
    [
        ("a.delta_e(b)", [1]),
        ("a.delta_e(b, method='2000')", [1]),
        ("f = a.delta_e", [1]),
        ("from skimage.color import deltaE_ciede2000", [1]),
        ("from skimage.color import deltaE_cie76 as far", [1]),
        ("import colour\ncolour.delta_E(a, b)", [2]),
        ("getattr(a, 'delta_e')(b)", [1]),
        ("x.closest(y)", [1]),
        ("from coloraide import Color\nColor('red').distance(b)", [2]),
        ("from coloraide import Color\nColor.match('red')", [2]),
        (
            "import re\nfrom coloraide import Color\n_CALL = re.compile('a')\n_CALL.match('a')\nre.match('a', 'b')",
            [],
        ),
        ("import shapely\nshapely.distance(a, b)", []),
        ("from mockup.colour.difference import ciede2000\nciede2000(a, b)", []),
        ("from mockup.colouring.ceiling import closest\nclosest(a)", []),
        ("the_closest = 1\nprint('closest')", []),
    ],
)
def test_the_search_finds_what_it_is_for(source: str, lines: list[int]) -> None:
    assert faults(ast.parse(source)) == lines
    assert MENTIONED.search(source) or not lines


@pytest.mark.parametrize(
    ("source", "lines"),
    [
        ("from coloraide import Color", [1]),
        ("import coloraide.css", [1]),
        ("import importlib\nimportlib.import_module('coloraide')", [2]),
        ("from mockup.colour.conversion import Colour", []),
    ],
)
def test_the_search_finds_the_library(source: str, lines: list[int]) -> None:
    assert libraries(ast.parse(source)) == lines
    assert MENTIONED.search(source)


@cache
def modules() -> dict[str, ast.Module]:
    """Parse the modules that so much as mention what is looked for."""
    texts = {
        path.relative_to(PACKAGE).as_posix(): path.read_text(encoding="utf-8")
        for path in PACKAGE.rglob("*.py")
    }
    return {name: ast.parse(text) for name, text in sorted(texts.items()) if MENTIONED.search(text)}


def test_no_module_asks_a_library_for_a_difference() -> None:
    found = {name: faults(tree) for name, tree in modules().items()}
    assert {name: lines for name, lines in found.items() if lines} == {}


def test_the_library_of_colours_has_one_home() -> None:
    assert [name for name, tree in modules().items() if libraries(tree)] == [HOME]


def test_colour_objects_of_the_library_do_not_leave_their_home() -> None:
    """No public function of the home takes or gives one, and no record holds one."""
    tree = modules()[HOME]
    public = [
        n for n in tree.body if isinstance(n, ast.FunctionDef | ast.ClassDef) and not n.name.startswith("_")
    ]
    assert len(public) > 5
    for node in public:
        parts = [node.args, node.returns] if isinstance(node, ast.FunctionDef) else node.body
        annotations = [inner for part in parts if part is not None for inner in ast.walk(part)]
        assert not any(isinstance(inner, ast.Name) and inner.id == "Color" for inner in annotations), (
            node.name
        )
    takers = [
        name
        for name, module in modules().items()
        for node in ast.walk(module)
        if isinstance(node, ast.ImportFrom)
        and node.module == "mockup.colour.conversion"
        and any(alias.name == "Color" for alias in node.names)
    ]
    assert takers == []
