"""The motif library: every drawing sound, in its family and size class, and with parts that earn a colour."""

import math
import re
from collections import Counter

import pytest

from mockup.geometry import shapes
from mockup.geometry.path import Cubic, Line, Subpath, read_path
from mockup.pattern.motif import LineWork
from mockup.pattern.motif_library import entries, library_motif
from mockup.resources import data

NAMES = [entry.name for entry in entries()]
PARTS = frozenset(
    ("leaf", "stem", "petal", "centre", "body", "wing", "eye", "seed", "tip", "hair", "skin", "cloth", "band")
)
SIZES = {"hero": (28, 40), "second": (16, 26.6), "filler": (4, 12.6)}
FAMILIES = ("garden", "leaves", "kitchen", "creatures", "sea", "sky", "folk", "figures")


def test_there_are_sixty_and_more_in_eight_families() -> None:
    many = Counter(entry.family for entry in entries())
    assert set(many) == set(FAMILIES)
    assert sum(many.values()) >= 60
    assert min(many.values()) >= 8
    assert len(set(NAMES)) == len(NAMES)
    for family in set(FAMILIES) - {"figures"}:
        assert {entry.size for entry in entries() if entry.family == family} == set(SIZES)


@pytest.mark.parametrize("name", NAMES)
def test_a_motif_is_read_whole_and_in_sensible_groups(name: str) -> None:
    motif = library_motif(name)
    size = next(entry.size for entry in entries() if entry.name == name)
    assert motif.left_out == ()
    assert {part.name for part in motif.parts} <= PARTS
    assert (1 if size == "filler" else 2) <= len(motif.groups) <= 7
    x0, y0, x1, y1 = motif.box
    assert min(x0, y0) >= -1e-6
    assert x1 <= motif.width + 1e-6
    assert y1 <= motif.height + 1e-6
    least, most = SIZES[size]
    assert least <= max(motif.width, motif.height) <= most
    widths = {element.width for element in motif.elements if isinstance(element, LineWork)}
    assert all(width == pytest.approx(0.5) for width in widths)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_seen_of_a_part_can_be_inked(name: str) -> None:
    parts = library_motif(name).parts
    for number, part in enumerate(parts):
        above = shapes.union(other.shape for other in parts[number + 1 :])
        for piece in shapes.pieces(shapes.difference(part.shape, above)):
            if shapes.area(piece) > 0.01:
                assert shapes.area(piece) > 1.9, part.group
                assert not shapes.grown(piece, -0.7).is_empty, part.group


def test_figures_wear_skin_and_cloth() -> None:
    for entry in entries():
        if entry.family == "figures":
            motif = library_motif(entry.name)
            assert any(part.side == "skin" and part.name == "skin" for part in motif.parts)
            assert {"cloth", "hair"} & {part.name for part in motif.parts}


def _bends(subpath: Subpath) -> list[float]:
    """Angles between what comes into a joint and what goes out of it, degrees."""
    ins, outs, start = [], [], subpath.start
    for segment in subpath.segments:
        if not isinstance(segment, Cubic | Line):
            return []
        stops = [segment.first, segment.second] if isinstance(segment, Cubic) else []
        near = next((p for p in [*stops, segment.end] if math.dist(p, start) > 1e-6), segment.end)
        back = next((p for p in [*stops[::-1], start] if math.dist(p, segment.end) > 1e-6), start)
        outs.append((near[0] - start[0], near[1] - start[1]))
        ins.append((segment.end[0] - back[0], segment.end[1] - back[1]))
        start = segment.end
    shut = subpath.closed and math.dist(start, subpath.start) < 1e-3
    after = [*outs[1:], *(outs[:1] if shut else [])]
    pairs = zip(ins[: len(after)], after, strict=True)
    return [
        abs(math.degrees(math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])))
        for a, b in pairs
        if math.hypot(*a) > 1e-6 and math.hypot(*b) > 1e-6
    ]


@pytest.mark.parametrize("name", NAMES)
def test_curves_are_smooth_or_turn_a_corner(name: str) -> None:
    text = (data("motifs") / f"{name}.svg").read_text(encoding="utf-8")
    for drawn in re.findall(r'<path[^>]*?\sd="([^"]+)"', text):
        for subpath in read_path(drawn).subpaths:
            assert [bend for bend in _bends(subpath) if 3.5 < bend < 21] == []
