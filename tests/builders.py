"""Small makers of shapes, motifs, layouts, problems and designs that several tests share."""

import math
from collections.abc import Iterable, Sequence
from fractions import Fraction
from pathlib import Path

import networkx as nx
import numpy as np

from mockup.colouring.problem import Ints, Problem
from mockup.design.reading import parse_design
from mockup.geometry.affine import IDENTITY, Affine
from mockup.geometry.lattice import Lattice
from mockup.geometry.shapes import Shape, polygon, rectangle
from mockup.jobs.piece import Piece, read_piece
from mockup.pattern.motif import Motif, Part
from mockup.pattern.regions import Tile, visible
from mockup.pattern.repeat import Layout, Placed

PUBLISHED = Path(__file__).parent / "data" / "published"

COLOURS = ("#f1e4c8", "#b9522b", "#25313f", "#73834f", "#dca63f", "#6b3a55", "#8db3c0")
NAMES = ("oat", "clay", "night", "moss", "ochre", "plum", "sky")

LATTICES = (
    Lattice(40, 30),
    Lattice(40, 30, drop=Fraction(1, 2)),
    Lattice(40, 30, drop=Fraction(2, 3)),
    Lattice(40, 30, step=Fraction(1, 3)),
    Lattice(40, 30, step=Fraction(3, 4)),
)


def disc(x: float, y: float, radius: float, corners: int = 24) -> Shape:
    """Make a regular polygon round a point, mm."""
    turn = np.linspace(0, 2 * math.pi, corners, endpoint=False)
    return polygon(np.column_stack((x + radius * np.cos(turn), y + radius * np.sin(turn))))


def square(x: float, y: float, side: float) -> Shape:
    """Make a square with its top left at a point, mm."""
    return rectangle(x, y, x + side, y + side)


def motif(*shapes: Shape, name: str = "spot", groups: Sequence[str] = ()) -> Motif:
    """Make a motif of parts, later on top."""
    labels = groups or [f"p{number}" for number in range(len(shapes))]
    parts = tuple(Part(label, label, shape, "", "") for label, shape in zip(labels, shapes, strict=True))
    return Motif(name, 10.0, 10.0, parts, ())


def layout(lattice: Lattice, placed: Iterable[tuple[Motif, Affine]], repeat: str = "straight") -> Layout:
    """Place motifs in a tile, each named after its motif and its number in the tile."""
    own = tuple(Placed(one, at, f"{one.name}-{number + 1}") for number, (one, at) in enumerate(placed))
    return Layout(repeat, lattice, own, (len(own), 1))


def tile_of(lattice: Lattice, *shapes: Shape) -> Tile:
    """Make a tile in which each shape is a motif of its own."""
    return visible(layout(lattice, [(motif(shape), IDENTITY) for shape in shapes]))


def problem(
    count: int,
    pairs: Iterable[tuple[int, int]],
    inks: int,
    *,
    area: Sequence[float] | None = None,
    allowed: Sequence[Sequence[bool]] | None = None,
    target: Sequence[float] | None = None,
) -> Problem:
    """Make a problem of nodes on a wrapped square grid, all borders 1 mm."""
    ends = sorted({(min(pair), max(pair)) for pair in pairs if pair[0] != pair[1]})
    a, b = np.array(ends, dtype=np.int64).reshape(-1, 2).T
    side = math.ceil(math.sqrt(count))
    spots = np.array([divmod(number, side) for number in range(count)], dtype=float)
    may = np.ones((count, inks), dtype=bool) if allowed is None else np.array(allowed, dtype=bool)
    sizes = np.ones(count) if area is None else np.array(area, dtype=float)
    wanted = np.full(inks, 1 / inks) if target is None else np.array(target, dtype=float)
    return Problem(sizes, spots, (float(side), float(side)), a, b, np.ones(len(a)), may, wanted)


def of_graph(graph: nx.Graph, inks: int) -> Problem:
    """Make a problem of a graph whose nodes are numbered from 0."""
    return problem(graph.number_of_nodes(), [(int(a), int(b)) for a, b in graph.edges], inks)


def clashes(found: Ints, given: Problem) -> int:
    """Count the kept-apart pairs of one ink."""
    return int((found[given.a] == found[given.b]).sum())


def svg(width: float, height: float, body: str) -> str:
    """Write a drawing whose user unit is 1 mm."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">{body}</svg>'
    )


def dots(places: Iterable[tuple[float, float]], radius: float) -> str:
    """Write discs, each a part of its own."""
    return "".join(
        f'<circle id="d{number}" data-part="d{number}" cx="{x}" cy="{y}" r="{radius}"/>'
        for number, (x, y) in enumerate(places)
    )


def design_text(inks: int, pattern: str, colouring: str = "", drawing: bool = False) -> str:
    """Write a design in the first so many inks."""
    palette = "".join(
        f'[[palette.ink]]\nname = "{name}"\ncolour = "{colour}"\n'
        for name, colour in list(zip(NAMES, COLOURS, strict=True))[:inks]
    )
    table = "drawing" if drawing else "pattern"
    return f'title = "Test piece"\n[sheet]\nsize = "A4"\n{palette}[{table}]\n{pattern}\n[colouring]\n{colouring}\n'


def piece(text: str, folder: Path = Path()) -> Piece:
    """Read a design from its text."""
    return read_piece(parse_design(text, where="test.toml", file=folder / "test.toml"))


def drawn_piece(folder: Path, body: str, size: tuple[float, float], inks: int, colouring: str) -> Piece:
    """Read a design of a drawing that repeats straight; user unit 1 mm."""
    (folder / "own.svg").write_text(svg(*size, body), encoding="utf-8")
    return piece(design_text(inks, 'file = "own.svg"\nrepeat = "straight"', colouring, drawing=True), folder)
