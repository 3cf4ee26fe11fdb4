"""Habits that a reader counts on: short modules and functions, docstrings, quick help, British spelling."""

import ast
import io
import re
import subprocess
import sys
import tokenize
from collections.abc import Iterator
from pathlib import Path

import pytest

from mockup.cli.main import COMMANDS

ROOT = Path(__file__).resolve().parent.parent
MODULES = sorted((ROOT / "mockup").rglob("*.py"))

LONGEST_MODULE = 400
LONGEST_FUNCTION = 40
"""Lines of a function, its docstring not counted."""

HEAVY = (
    *("numpy", "scipy", "shapely", "networkx", "cairocffi", "coloraide", "svg.path", "jinja2"),
    *("PIL", "tomlkit"),
)

AMERICAN = re.compile(
    r"colors?|colored|coloring|colorful|colorways?|recolor\w*|uncolored|centers?|centered|centering|gray\w*|neighbor\w*"
    r"|behaviors?|favor\w*|labeled|labeling|unlabeled|modeled|modeling|canceled|traveled|leveled|(?:centi|milli|kilo)meters?"
    r"|fibers?|catalogs?|defense|analyz\w+|aluminum|jewelry|molds?|molded|skeptical"
    r"|(?:equal|general|initial|maxim|minim|normal|optim|organ|random|raster|real|recogn|serial|summar|symmetr|visual)iz\w+"
)
"""Whole words, in lower case."""

QUOTED = re.compile(r'``.*?``|`[^`]*`|"[^"\n]*"|“[^”]*”', re.DOTALL)
"""Names of code and titles of papers within prose keep their spelling."""

TITLES = re.compile(
    r"CSS Color|Color and Imaging|SVG Color|Color Module|Color Research|Color Imaging|Color-Difference Formula"
    r"|methods to color the vertices|graph coloring|Coloring of Graphs|Graph Colorings"
)

ALLOWED = {
    "mockup/colour/conversion.py": {"color"},
    "mockup/colour/boxtable.py": {"color"},
    "mockup/colour/cgats.py": {"color"},
}
"""The CSS function color(), coloraide's objects in their one home, and how others may head a column."""


def functions(tree: ast.AST) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    return (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef))


def lines_of(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines from `def` to the end, the docstring left out."""
    assert function.end_lineno is not None
    first = function.body[0]
    is_documented = ast.get_docstring(function) is not None
    docstring = (first.end_lineno or 0) - first.lineno + 1 if is_documented else 0
    return function.end_lineno - function.lineno + 1 - docstring


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_modules_and_functions_are_short(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= LONGEST_MODULE
    sizes = {f"{f.name} (line {f.lineno})": lines_of(f) for f in functions(ast.parse(text))}
    assert {name: size for name, size in sizes.items() if size > LONGEST_FUNCTION} == {}


def undocumented(tree: ast.Module) -> list[str]:
    """Name the public functions, classes and methods, and the module, that have no docstring."""
    found = [] if ast.get_docstring(tree) else ["the module"]
    holders: list[ast.Module | ast.ClassDef] = [tree]
    while holders:
        for node in holders.pop().body:
            if isinstance(node, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
                if node.name.startswith("_"):
                    continue
                if not ast.get_docstring(node):
                    found.append(node.name)
                if isinstance(node, ast.ClassDef):
                    holders.append(node)
    return found


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_public_things_have_docstrings(path: Path) -> None:
    assert undocumented(ast.parse(path.read_text(encoding="utf-8"))) == []


def test_a_missing_docstring_is_found() -> None:
    tree = ast.parse('class A:\n    """A."""\n    def b(self): ...\n    def _c(self): ...\ndef d(): ...\n')
    assert undocumented(tree) == ["the module", "d", "b"]


@pytest.mark.parametrize(
    "arguments", [["--help"], ["--version"], *([name, "-h"] for name in COMMANDS)], ids=" ".join
)
def test_help_is_quick(arguments: list[str]) -> None:
    script = (
        "import sys; from mockup.cli.main import run; code = run(sys.argv[1:]); "
        f"print('loaded:', [name for name in {HEAVY!r} if name in sys.modules]); sys.exit(code)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    told, loaded = done.stdout.rsplit("loaded: ", 1)
    assert told.startswith(("Usage: mockup", "mockup "))
    assert loaded == "[]\n"


def own_names(tree: ast.Module) -> Iterator[str]:
    """List the names that a module gives to things, not those that libraries gave."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            yield node.name
        elif isinstance(node, ast.arg):
            yield node.arg
        elif isinstance(node, ast.Name | ast.Attribute) and isinstance(node.ctx, ast.Store):
            yield node.id if isinstance(node, ast.Name) else node.attr
        elif isinstance(node, ast.alias) and node.asname:
            yield node.asname


def prose(text: str) -> Iterator[str]:
    """List docstrings, comments, and the sentences that a user may see."""
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type == tokenize.COMMENT:
            yield token.string
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and len(node.value.split()) > 3:
            yield node.value


def american(text: str) -> list[str]:
    """Find the American forms in names or prose."""
    bare = TITLES.sub(" ", QUOTED.sub(" ", text))
    words = re.findall(r"[a-z]+", re.sub(r"([a-z])([A-Z])", r"\1 \2", bare).lower())
    return [word for word in words if AMERICAN.fullmatch(word)]


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_spelling_is_british(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    found = [word for part in prose(text) for word in american(part)]
    found += [word for name in own_names(ast.parse(text)) for word in american(name)]
    assert set(found) - ALLOWED.get(name_of(path), set()) == set()
    assert american(path.stem) == []


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_the_papers_are_in_british_spelling(name: str) -> None:
    text = re.sub(r"```.*?```", "", (ROOT / name).read_text(encoding="utf-8"), flags=re.DOTALL)
    assert american(text) == []


def test_american_spelling_is_found() -> None:
    told = (
        "A centered gray color, see ``color`` and `center`; Color Research & Application; the colour is sized"
    )
    assert american(told) == ["centered", "gray", "color"]
    assert american("set_color") == ["color"]
    assert american("ColorTable") == ["color"]
    module = "import a as gray\nclass Neighbor:\n    def f(self, center): x.color = 1\n"
    assert sorted(own_names(ast.parse(module))) == ["Neighbor", "center", "color", "f", "gray", "self"]
    assert list(prose('x = "one two three four"  # five\n')) == ["# five", "one two three four"]
