"""The rooms of the house: imports only go down, none goes in a circle, every heavy library has one home."""

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = "mockup"

FLOORS = {
    **dict.fromkeys(("errors", "units", "resources"), 0),
    **dict.fromkeys(("geometry", "colour"), 1),
    **dict.fromkeys(("pattern", "drawing"), 2),
    "colouring": 3,
    "rendering": 4,
    "sheets": 5,
    "design": 6,
    "jobs": 7,
    "cli": 8,
    "__main__": 9,
}
"""Floor of each room. A room may import lower floors, but for the pairs in STRANGERS, and itself."""

SAME_FLOOR = 0
"""The ground floor's modules may import each other: they are siblings."""

STRANGERS = {
    ("pattern", "colour"),
    ("drawing", "pattern"),
    ("colouring", "pattern"),
    ("colouring", "drawing"),
}
"""Pairs (room, lower room) that know nothing of each other all the same."""

HOMES = {
    "shapely": ("mockup.geometry.",),
    "scipy": ("mockup.geometry.", "mockup.colouring.", "mockup.colour.matching", "mockup.drawing."),
    "skimage": ("mockup.drawing.",),
    "PIL": ("mockup.colour.photo",),
    "tomlkit": ("mockup.design.",),
    "coloraide": ("mockup.colour.conversion",),
    "cairocffi": ("mockup.rendering.canvas",),
    "networkx": ("mockup.colouring.",),
    "jinja2": ("mockup.sheets.page",),
    "markupsafe": ("mockup.sheets.page",),
    "click": ("mockup.cli.",),
    "svg": ("mockup.geometry.path",),
    "numpy": ("mockup.",),
}
"""Beginnings of the module names in which a library may be imported; no other library may be imported at all."""

PROJECTS = {"PIL": "pillow", "skimage": "scikit-image"}
"""What a library is called where it is installed from, if not by its name."""


@dataclass(frozen=True)
class Import:
    """One name that a module imports: ``target`` is as long as can be known to be a module."""

    module: str
    target: str
    line: int
    late: bool

    def __str__(self) -> str:
        """Give what a report says."""
        return f"{self.module}:{self.line} imports {self.target}"


def module_name(path: Path, package: Path) -> str:
    parts = path.relative_to(package.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def modules(package: Path) -> dict[str, ast.Module]:
    """Parse every module of a package, by its full name."""
    return {
        module_name(path, package): ast.parse(path.read_text(encoding="utf-8"))
        for path in sorted(package.rglob("*.py"))
    }


def late_nodes(tree: ast.Module) -> set[ast.AST]:
    functions = (
        n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
    )
    return {inner for function in functions for inner in ast.walk(function)}


def imports(trees: dict[str, ast.Module]) -> Iterator[Import]:
    """List every import, `from package import module` counted as one of the module itself."""
    for module, tree in trees.items():
        late = late_nodes(tree)
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                base = "." * node.level + (node.module or "")
                names = [f"{base}.{a.name}" if f"{base}.{a.name}" in trees else base for a in node.names]
                if base == PACKAGE:
                    names = [f"{base}.{alias.name}" for alias in node.names]
            else:
                continue
            for name in names:
                yield Import(module, name, node.lineno, node in late)


def room(module: str) -> str:
    return module.split(".")[1] if "." in module else ""


def upward(found: Import) -> bool:
    """Tell whether an import of our own goes up, sideways to another room, or to a stranger."""
    here, there = room(found.module), room(found.target)
    if here == there:
        return False
    if (here, there) in STRANGERS:
        return True
    return FLOORS[there] > FLOORS[here] or (FLOORS[there] == FLOORS[here] and FLOORS[here] != SAME_FLOOR)


def fault(found: Import) -> str:
    """Say what is wrong with an import; nothing where all is well."""
    top = found.target.split(".")[0]
    if found.target.startswith("."):
        return "a relative import"
    if found.late and room(found.module) != "cli":
        return "an import inside a function"
    if top == PACKAGE:
        if found.target == f"{PACKAGE}.__version__" and room(found.module) == "cli":
            return ""
        if room(found.target) not in FLOORS:
            return "an import of the package root"
        return "an import that does not go down" if upward(found) else ""
    if top in sys.stdlib_module_names or found.module.startswith(HOMES.get(top, ())):
        return ""
    return "a library away from home"


def faults(package: Path) -> list[str]:
    """Say everything that is wrong with the imports of a package."""
    trees = modules(package)
    told = [f"{room_} has no floor" for room_ in {room(m) for m in trees if m != PACKAGE} - set(FLOORS)]
    known = [found for found in imports(trees) if room(found.module) in FLOORS or found.module == PACKAGE]
    for found in known:
        if found.module == PACKAGE:
            told.append(f"{found}: the package root imports nothing")
        elif wrong := fault(found):
            told.append(f"{found}: {wrong}")
    graph: dict[str, set[str]] = {module: set() for module in trees}
    for found in known:
        graph[found.module].update({found.target} & set(trees))
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as circle:
        told.append(f"a circle: {' '.join(circle.args[1])}")
    return sorted(told)


def test_imports_go_down() -> None:
    assert faults(ROOT / PACKAGE) == []


def test_the_whole_package_was_read() -> None:
    trees = modules(ROOT / PACKAGE)
    assert {room(module) for module in trees if module != PACKAGE} <= set(FLOORS)
    assert {"mockup.cli.main", "mockup.geometry.path", "mockup.jobs.demo"} <= set(trees)
    libraries = {found.target.split(".")[0] for found in imports(trees)}
    assert set(HOMES) <= libraries, "a library has a home and is not used"


def test_what_is_imported_is_declared() -> None:
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    names = {re.split(r"[<>=!.]", line)[0].strip() for line in declared}
    assert names == {PROJECTS.get(library, library) for library in HOMES}


def plant(folder: Path, files: dict[str, str]) -> Path:
    package = folder / PACKAGE
    for name, text in files.items():
        path = package / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return package


BAD = {
    "upward": ("geometry/a.py", "from mockup.pattern.b import c\n", "an import that does not go down"),
    "upward, as a module": ("geometry/a.py", "import mockup.cli.main\n", "an import that does not go down"),
    "sideways": ("geometry/a.py", "from mockup.colour.ink import Ink\n", "an import that does not go down"),
    "stranger": ("pattern/a.py", "from mockup.colour.ink import Ink\n", "an import that does not go down"),
    "root": ("geometry/a.py", "from mockup import __version__\n", "an import of the package root"),
    "root, whole": ("cli/a.py", "import mockup\n", "an import of the package root"),
    "relative": ("geometry/a.py", "from . import b\n", "a relative import"),
    "late": ("jobs/a.py", "def f():\n    import json\n", "an import inside a function"),
    "late method": (
        "jobs/a.py",
        "class A:\n    def f(self):\n        import json\n",
        "an import inside a function",
    ),
    "away": ("pattern/a.py", "import shapely\n", "a library away from home"),
    "away, part": ("rendering/png.py", "from cairocffi import Context\n", "a library away from home"),
    "away, late": ("cli/a.py", "def f():\n    import numpy.linalg, scipy.fft\n", "a library away from home"),
    "unknown": ("cli/a.py", "import requests\n", "a library away from home"),
}


@pytest.mark.parametrize("case", BAD)
def test_a_bad_import_is_found(case: str, tmp_path: Path) -> None:
    name, text, wrong = BAD[case]
    assert [told.split(": ")[1] for told in faults(plant(tmp_path, {name: text}))] == [wrong]


def test_a_circle_is_found(tmp_path: Path) -> None:
    files = {
        "geometry/a.py": "from mockup.geometry.b import x\n",
        "geometry/b.py": "from mockup.geometry import c\n",
        "geometry/c.py": "import mockup.geometry.a\n",
    }
    (told,) = faults(plant(tmp_path, files))
    assert told.startswith("a circle: ")


def test_a_room_without_a_floor_is_found(tmp_path: Path) -> None:
    assert faults(plant(tmp_path, {"attic/a.py": "import json\n"})) == ["attic has no floor"]


def test_good_imports_pass(tmp_path: Path) -> None:
    files = {
        "__init__.py": '__version__ = "1"\n',
        "units.py": "from mockup.errors import DesignError\n",
        "geometry/shapes.py": "import math\nimport numpy as np\nimport shapely\nfrom mockup.units import mm\n",
        "rendering/canvas_pen.py": "import cairocffi\nfrom mockup.geometry import shapes\n",
        "jobs/a.py": "from mockup.design.reading import read\n",
        "cli/main.py": "import click\nfrom mockup import __version__\ndef f():\n    from mockup.jobs.a import b\n",
    }
    assert faults(plant(tmp_path, files)) == []
