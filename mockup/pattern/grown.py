"""Motifs that grow from a few numbers: rosettes, leaves, sprays and medallions, in the form of the library's files.

The same numbers give the same text in every process. Another seed gives another relative: other proportions,
another petal, another middle. Where not all that is asked can be inked at the size asked, the motif is cut less
deeply, or has fewer layers.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from mockup.pattern.grown_leaves import leaf
from mockup.pattern.grown_medallions import medallion
from mockup.pattern.grown_rosettes import rosette
from mockup.pattern.grown_sprays import spray
from mockup.pattern.motif import Motif
from mockup.pattern.sketch import Sketch, written
from mockup.pattern.svg import read_svg

KINDS: Final[Mapping[str, Callable[[int, int, float, float, int], Sketch]]] = MappingProxyType(
    {"rosette": rosette, "leaf": leaf, "spray": spray, "medallion": medallion}
)
"""What can grow."""

PETALS: Final = (3, 24)
LAYERS: Final = (1, 4)
DEPTH: Final = (0.0, 1.0)
SIZE: Final = (6.0, 80.0)
SEED: Final = (0, 1_000_000_000)

_DEPTH: Final = 0.4
_SIZE: Final = 32.0


@dataclass(frozen=True, slots=True)
class Growth:
    """What a motif grows from.

    Attributes
    ----------
    kind : str
        One of ``KINDS``.
    petals : int
        Petals of a rosette or sectors of a medallion, lobes of a leaf, leaves of a spray; 3 to 24.
    layers : int
        1 to 4: rings of petals or ornaments; of a leaf its halves, an inner blade and seeds; of a spray leaves in
        two inks, berries and a flower.
    depth : float
        0 to 1: how deeply petals or lobes are cut; leaves of a spray are the slimmer for it.
    size : float
        Longer side of its page, 6 to 80 mm.
    seed : int
        Another whole number, another relative.

    Raises
    ------
    ValueError
        One of them lies beyond its limits.
    """

    kind: str
    petals: int = 8
    layers: int = 2
    depth: float = _DEPTH
    size: float = _SIZE
    seed: int = 1

    def __post_init__(self) -> None:
        """Refuse what cannot grow."""
        if self.kind not in KINDS:
            raise ValueError(f"nothing grows that is called {self.kind!r}")
        for name, limits in LIMITS.items():
            if not limits[0] <= getattr(self, name) <= limits[1]:
                raise ValueError(f"{name} is {limits[0]:g} to {limits[1]:g}, not {getattr(self, name):g}")

    @property
    def name(self) -> str:
        """What it is called where it has no name of its own: "rosette-8-2-3" by petals, layers and seed.

        A size or a depth of its own is told too ("leaf-7-2-5-24mm"): other numbers, another name.
        """
        name = f"{self.kind}-{self.petals}-{self.layers}-{self.seed}"
        if self.size != _SIZE:
            name += f"-{self.size:.10g}mm"
        return name if self.depth == _DEPTH else f"{name}-{self.depth:.10g}"


LIMITS: Final[Mapping[str, tuple[float, float]]] = MappingProxyType(
    {"petals": PETALS, "layers": LAYERS, "depth": DEPTH, "size": SIZE, "seed": SEED}
)
"""Least and greatest value of each number."""


@lru_cache(maxsize=256)
def grown_svg(growth: Growth) -> str:
    """Write a grown motif as an SVG file: mm, parts with their names and groups, line work."""
    grow = KINDS[growth.kind]
    sketch = grow(growth.petals, growth.layers, growth.depth, growth.size, growth.seed)
    title = f"{growth.kind.capitalize()} {growth.petals}-{growth.layers}-{growth.seed}"
    return written(sketch, growth.size, title)


def grown_motif(growth: Growth, name: str = "", *, stroke_parts: bool = False) -> Motif:
    """Give a grown motif, called ``name``, else by its numbers; with ``stroke_parts`` its line work as parts."""
    name = name or growth.name
    return read_svg(grown_svg(growth).encode(), name, where=name, stroke_parts=stroke_parts)
