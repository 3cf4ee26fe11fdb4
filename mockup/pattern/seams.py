"""A drawing of her own that is a repeat unit: what its page's edges cut in two is put together across them.

Parts that end straight on an edge go on where the copy of the page beyond it has parts that end there. Figures that
overhang the page and are drawn again at its other side are kept once. What runs on into its own copy is a stripe, or,
in two directions, the ground. Pieces of a part count one by one, since one path may draw many leaves. Lengths are mm
at the drawing's natural size.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Final, Literal, TypeVar

from mockup.geometry import seams, shapes
from mockup.geometry.lattice import Lattice
from mockup.geometry.seams import EDGE, FACING_EDGES, FAR, LIKE, SHARE, Meeting, Offsets, Step, Stretch, basis
from mockup.geometry.shapes import Shape, Strokes
from mockup.pattern.motif import Element, LineWork, Motif, Part
from mockup.pattern.paints import paint_key

MOST_TOLD: Final = 12
"""Mismatches that are told one by one."""

_OPPOSITE: Final = {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}

_Name = TypeVar("_Name", str, tuple[str, str])
_Kind = Literal["lines", "outlines"]


@dataclass(frozen=True, slots=True)
class Mismatch:
    """What does not go on at an ``edge``, ``place`` mm along it from the top or the left.

    "lines" or "outlines" miss each other by ``off`` mm, or nothing goes on at all: ``off`` is inf. ``across`` is the
    place on the facing edge.
    """

    kind: _Kind
    edge: str
    place: float
    off: float
    across: float = math.nan

    def told(self, scale: float = 1.0) -> str:
        """Say it in plain words, lengths drawn to a scale."""
        along = "top" if self.edge in {"left", "right"} else "left"
        other, at = (
            _OPPOSITE[self.edge],
            f"at the {self.edge} edge, {self.place * scale:.1f} mm from the {along}",
        )
        if math.isinf(self.off):
            what = "a line ends" if self.kind == "lines" else "a part is cut off"
            return f"{what} {at}, and nothing goes on at the {other}"
        missed = "each other"
        if abs(self.place - self.across) > 2 * FAR:
            missed = f"those at the {other}, {self.across * scale:.1f} mm from the {along},"
        return f"{at}, {self.kind} miss {missed} by {self.off * scale:.1f} mm"


@dataclass(frozen=True, eq=False, slots=True)
class Stripe:
    """A part that runs on into its own copies, moved by each of ``steps``: one, or two that differ in direction."""

    part: Part
    steps: tuple[Step, ...]


@dataclass(frozen=True, eq=False, slots=True)
class Joined:
    """A drawing with its seams joined, the very one that was given where nothing changes.

    ``ground`` are parts of it that run on in two directions with nothing beneath them, ``stripes`` others that run on
    into their own copies. ``mismatches`` tell what does not meet at the edges, largest first, ``notes`` in plain lines
    what was done.
    """

    motif: Motif
    ground: tuple[Part, ...]
    stripes: tuple[Stripe, ...]
    mismatches: tuple[Mismatch, ...]
    notes: tuple[str, ...]

    @property
    def bare(self) -> Motif:
        """The drawing without the ground."""
        left = tuple(one for one in self.motif.elements if not any(one is own for own in self.ground))
        return replace(self.motif, elements=left) if self.ground else self.motif

    def lines(self, scale: float = 1.0) -> tuple[str, ...]:
        """Say the mismatches in plain lines, lengths drawn to a scale."""
        told = tuple(one.told(scale) for one in self.mismatches[:MOST_TOLD])
        more = len(self.mismatches) - len(told)
        return (*told, f"and {more} more") if more else told


def join_seams(motif: Motif, lattice: Lattice) -> Joined:
    """Join what the edges of a drawing's page cut; ``lattice`` tells how the page steps.

    Raises
    ------
    ValueError
        What the lattice steps by is not the page.
    """
    if max(abs(lattice.width - motif.width), abs(lattice.height - motif.height)) > EDGE:
        size = f"{motif.width:g} x {motif.height:g} mm", f"{lattice.width:g} x {lattice.height:g} mm"
        raise ValueError(f"a page of {size[0]} cannot step by {size[1]}")
    return _Work(motif, lattice).joined()


class _Work:
    """One drawing while its seams are joined; the pieces of its elements are numbered through.

    ``of`` is the element that drew each piece, ``owner`` the one that has it in the end. ``lost`` are pieces that are
    copies of others, ``joins`` what stands in place of pieces that were united, ``ties`` the pairs of both.
    """

    def __init__(self, motif: Motif, lattice: Lattice) -> None:
        self.motif, self.lattice, self.elements = motif, lattice, motif.elements
        cut = [_cut(element) for element in self.elements]
        self.pieces = [piece for own in cut for piece in own]
        self.of = [number for number, own in enumerate(cut) for _ in own]
        starts = accumulate(map(len, cut), initial=0)
        self.own = [range(start, start + len(own)) for start, own in zip(starts, cut, strict=False)]
        self.owner, self.lost, self.joins = list(self.of), dict[int, int](), dict[int, Shape]()
        self.ties: list[tuple[int, int]] = []
        self.mismatches: list[Mismatch] = []
        self.notes: list[str] = []

    def joined(self) -> Joined:
        """Do all in turn."""
        self._drop_copies()
        runs = self._join()
        made = self._made()
        order = self._order(list(made))
        ground, stripes = self._running(runs, {number: made[number] for number in order})
        self._compare_lines()
        elements = tuple(made[number] for number in order)
        same = list(map(id, elements)) == list(map(id, self.elements))
        motif = self.motif if same else replace(self.motif, elements=elements)
        told = sorted(self.mismatches, key=lambda own: (-own.off, own.edge, own.place, own.kind))
        return Joined(motif, ground, stripes, tuple(told), tuple(self.notes))

    def _drop_copies(self) -> None:
        """Leave out what is drawn again, moved by a step: whole elements first, then pieces of what is left."""
        whole = [e.shape if isinstance(e, Part) else shapes.strokes(e.lines, e.closed) for e in self.elements]
        for number, kept in self._chosen(range(len(whole)), self.elements, whole).items():
            for rank, piece in enumerate(self.own[number]):
                self.lost[piece] = self.own[kept][min(rank, len(self.own[kept]) - 1)]
        left = [piece for piece in range(len(self.pieces)) if piece not in self.lost]
        drawn = [self.elements[self.of[piece]] for piece in left]
        self.lost |= self._chosen(left, drawn, [self.pieces[piece] for piece in left])
        self.ties += self.lost.items()
        if self.lost:
            many = len({self.of[piece] for piece in self.lost})
            what = "1 shape is" if many == 1 else f"{many} shapes are"
            self.notes.append(f"{what} drawn again at the other side of the page, and kept once")

    def _chosen(
        self, names: Sequence[int], drawn: Sequence[Element], forms: Sequence[Shape | Strokes]
    ) -> dict[int, int]:
        """Give what is left out and what is kept for it: of copies the one whose middle lies in the page."""
        offsets = Offsets(len(forms))
        found = [own for own in seams.copies(forms, self.lattice) if _kin(drawn[own[0]], drawn[own[1]])]
        for one, other, step in found:
            offsets.join(one, other, step)
        alike: dict[int, dict[Step, list[int]]] = defaultdict(lambda: defaultdict(list))
        for number in sorted({n for own in found for n in own[:2]}):
            root, step = offsets.find(number)
            alike[root][step].append(number)
        gone: dict[int, int] = {}
        for places in alike.values():
            best = min(places.values(), key=lambda own: (not self._in_page(forms[own[0]]), own[0]))
            for others in places.values():
                if others is not best:
                    gone |= {names[n]: names[best[min(rank, len(best) - 1)]] for rank, n in enumerate(others)}
        return gone

    def _in_page(self, form: Shape | Strokes) -> bool:
        x0, y0, x1, y1 = shapes.box_of([form])
        x, y = (x0 + x1) / 2, (y0 + y1) / 2
        return -EDGE <= x <= self.lattice.width + EDGE and -EDGE <= y <= self.lattice.height + EDGE

    def _join(self) -> dict[int, list[tuple[Step, ...]]]:
        """Unite what is one across the edges; give the steps by which pieces run on into themselves, by owner."""
        own = [p for p, n in enumerate(self.of) if isinstance(self.elements[n], Part) and p not in self.lost]
        found = seams.stretches([self.pieces[piece] for piece in own], self.lattice)
        found = [stretch._replace(piece=own[stretch.piece]) for stretch in found]
        met = seams.meetings(found, self.lattice)
        kin = [m for m in met if _kin(*(self.elements[self.of[found[n].piece]] for n in (m.one, m.other)))]
        joins, offsets = seams.cuts(kin, found, self.lattice), Offsets(len(self.pieces))
        for meeting in joins:
            self.ties.append((found[meeting.one].piece, found[meeting.other].piece))
            offsets.join(*self.ties[-1], meeting.step)
        together, away = (
            defaultdict(list),
            {stretch.piece: stretch.away for stretch in sorted(found, key=lambda own: own.away)},
        )
        for piece in own:
            together[offsets.find(piece)[0]].append(piece)
        for members in (members for members in together.values() if len(members) > 1):
            self._unite(members, offsets, max(away[piece] for piece in members))
        for piece, kept in reversed(self.lost.items()):
            self.owner[piece] = self.owner[kept]
        loops, runs = defaultdict(list), defaultdict(list)
        rounds = [(piece, seams.own_steps(self.pieces[piece], self.lattice)) for piece in own]
        for piece, step in offsets.loops + [(piece, step) for piece, steps in rounds for step in steps]:
            loops[offsets.find(piece)[0]].append(step)
        for root, steps in loops.items():
            runs[self.owner[root]].append(basis(steps))
        self._compare_ends(joins, found)
        self._tell_loose(met, joins, found)
        return runs

    def _unite(self, members: Sequence[int], offsets: Offsets, slack: float) -> None:
        """Unite pieces where the largest of them lies, to which the others are moved."""
        base = max(members, key=lambda piece: (shapes.area(self.pieces[piece]), -piece))
        i, j = offsets.find(base)[1]
        moves = [self.lattice.shift(x - i, y - j) for x, y in (offsets.find(own)[1] for own in members)]
        whole = seams.united([self.pieces[piece] for piece in members], moves, self.lattice, slack)
        for piece in members:
            self.owner[piece], self.joins[piece] = self.of[base], shapes.EMPTY
        self.joins[base] = self.pieces[base] if whole.is_empty else whole

    def _made(self) -> dict[int, Element]:
        """Give the elements that are left, by number, under the names that they bear now."""
        groups, figures = self._names()
        made: dict[int, Element] = {}
        for number, element in enumerate(self.elements):
            own = self.own[number]
            kept = [piece for piece in own if piece not in self.lost]
            left = [self.joins.get(piece, self.pieces[piece]) for piece in kept]
            if own and all(form.is_empty for form in left):
                continue
            made[number] = element
            if isinstance(element, LineWork) and len(kept) < len(own):
                lines = tuple(element.lines[piece - own.start] for piece in kept)
                closed = tuple(element.closed[piece - own.start] for piece in kept)
                made[number] = replace(element, lines=lines, closed=closed)
            elif isinstance(element, Part):
                whole = len(kept) == len(own) and not any(piece in self.joins for piece in own)
                shape = element.shape if whole else seams.together(left)
                group = groups.get(element.group, element.group)
                figure = figures.get((element.side, element.figure), ("", element.figure))[1]
                if (shape, group, figure) != (element.shape, element.group, element.figure):
                    made[number] = replace(element, shape=shape, group=group, figure=figure)
        old = {part.group for n in made if isinstance(part := self.elements[n], Part)}
        for name in (name for name, stands in groups.items() if name != stands and name in old):
            self.notes.append(f'the group "{name}" goes on in "{groups[name]}", and is one with it')
        return made

    def _names(self) -> tuple[dict[str, str], dict[tuple[str, str], tuple[str, str]]]:
        """Give the name that stands for each group, and each figure of a side, that is one with others."""
        groups, figures = [], []
        for pair in self.ties:
            one, other = (self.elements[self.of[piece]] for piece in pair)
            large, small = (0.0 if piece in self.lost else shapes.area(self.pieces[piece]) for piece in pair)
            if isinstance(one, Part) and isinstance(other, Part):
                groups.append(((one.group, large), (other.group, small)))
                if one.side == other.side != "":
                    figures.append((((one.side, one.figure), large), ((one.side, other.figure), small)))
        return _one_name(groups), _one_name(figures)

    def _lying(self, some: Sequence[int]) -> set[tuple[int, int]]:
        """Pairs of elements of which the second lies on the first, by whose they are now; ``some`` pieces are asked."""
        if not some:
            return set()
        near = shapes.near_pairs([self.pieces[piece] for piece in some], self.pieces).tolist()
        both = {tuple(sorted((some[a], b))) for a, b in near}
        pairs = sorted(pair for pair in both if self.owner[pair[0]] != self.owner[pair[1]])
        lie = seams.overlapping([self.pieces[a] for a, _ in pairs], [self.pieces[b] for _, b in pairs])
        return {(self.owner[a], self.owner[b]) for (a, b), on in zip(pairs, lie, strict=True) if on}

    def _order(self, left: list[int]) -> list[int]:
        """Put what is left into its old order, or one in which all lies on what it lay on."""
        moved = [piece for piece, number in enumerate(self.of) if self.owner[piece] != number]
        if not any(below > above for below, above in self._lying(moved)):
            return left
        lying = self._lying(range(len(self.pieces)))
        order = _sorted(left, lying)
        rank = {number: place for place, number in enumerate(order)}
        for pair in sorted((above, below) for below, above in lying if rank[below] > rank[above]):
            one, other = (getattr(self.elements[number], "name", "a line") for number in pair)
            self.notes.append(f"{one} lies on {other} at one side of the page and under it at the other")
        return order

    def _running(
        self, runs: Mapping[int, list[tuple[Step, ...]]], made: Mapping[int, Element]
    ) -> tuple[tuple[Part, ...], tuple[Stripe, ...]]:
        """Tell ground and stripes; what runs on all round but lies on something else counts as a stripe."""
        ground: dict[int, Part] = {}
        stripes = []
        for number, part in made.items():
            if number in runs and isinstance(part, Part):
                own = [piece for piece, owner in enumerate(self.owner) if owner == number]
                beneath = {below for below, above in self._lying(own) if above == number}
                if any(len(steps) > 1 for steps in runs[number]) and beneath <= ground.keys():
                    ground[number] = part
                else:
                    stripes.append(Stripe(part, basis(step for steps in runs[number] for step in steps)))
        return tuple(ground.values()), tuple(stripes)

    def _compare_ends(self, joins: Sequence[Meeting], found: Sequence[Stretch]) -> None:
        """Tell where the outlines of what was joined miss each other."""
        for side in ("start", "end"):
            ends = [[getattr(found[n], side) for n in (own.one, own.other)] for own in joins]
            offs = [abs(a - b - own.off) for (a, b), own in zip(ends, joins, strict=True)]
            best: dict[tuple[bool, int], float] = defaultdict(lambda: math.inf)
            for own, off in zip(joins, offs, strict=True):
                for key in ((True, own.one), (False, own.other)):
                    best[key] = min(best[key], off)
            for own, off, (place, across) in zip(joins, offs, ends, strict=True):
                edge, mutual = found[own.one].edge, off <= min(best[True, own.one], best[False, own.other])
                inner = min(place, across) > EDGE and max(place, across) < self._span(edge) - EDGE
                if mutual and inner and EDGE < off <= FAR:
                    self.mismatches.append(Mismatch("outlines", edge, place, off, across))

    def _span(self, edge: str) -> float:
        return self.lattice.height if edge in {"left", "right"} else self.lattice.width

    def _tell_loose(self, met: Sequence[Meeting], joins: Sequence[Meeting], found: Sequence[Stretch]) -> None:
        """Tell what is cut off at an edge and does not go on."""
        joined = {number for own in joins for number in (own.one, own.other)}
        loose = {n for n, own in enumerate(found) if min(own.depth, own.length) > LIKE and n not in joined}
        painted = loose & {n for m in met for n in (m.one, m.other) if m.length >= SHARE * found[n].length}
        if painted:
            self.notes.append("what an edge cuts and meets another paint there stays as it is")
        ends = [(found[n].edge, (found[n].start + found[n].end) / 2, True) for n in sorted(loose - painted)]
        self._compare("outlines", ends)

    def _compare_lines(self) -> None:
        """Tell where lines come to an edge and do not go on."""
        found = []
        for own, element in zip(self.own, self.elements, strict=True):
            if isinstance(element, LineWork):
                for piece, line, closed in zip(own, element.lines, element.closed, strict=True):
                    found += [] if piece in self.lost else seams.marks(line, closed, self.lattice)
        self._compare("lines", found)

    def _compare(self, kind: _Kind, found: Sequence[tuple[str, float, bool]]) -> None:
        """Compare places on edges with those across: edge, mm along it, and whether something must go on there."""
        for far, near, axis in FACING_EDGES:
            off = seams.beyond(self.lattice, axis)[0][1]
            ones, others = ([own[1:] for own in found if own[0] == edge] for edge in (far, near))
            pairs = seams.nearest([own[0] for own in ones], [own[0] + off for own in others], self._span(far))
            wrong = [(ones[a][0], missed, others[b][0]) for a, b, missed in pairs if missed > EDGE]
            self.mismatches += [Mismatch(kind, far, *own) for own in wrong]
            for edge, own, side in ((far, ones, 0), (near, others, 1)):
                met = {pair[side] for pair in pairs}
                alone = [place for n, (place, must) in enumerate(own) if must and n not in met]
                self.mismatches += [Mismatch(kind, edge, place, math.inf) for place in alone]


def _cut(element: Element) -> Sequence[Shape | Strokes]:
    """Give the pieces of a part, or the lines of line work."""
    if isinstance(element, Part):
        return shapes.pieces(element.shape)
    return [shapes.strokes([line], [shut]) for line, shut in zip(element.lines, element.closed, strict=True)]


def _kin(one: Element, other: Element) -> bool:
    """Tell whether two elements may be one: painted alike, or parts of one group."""
    if isinstance(one, Part) and isinstance(other, Part):
        return one.group == other.group or _same_paint(one.fill, other.fill)
    return isinstance(one, LineWork) and isinstance(other, LineWork) and _same_paint(one.stroke, other.stroke)


def _same_paint(one: str, other: str) -> bool:
    """Compare paints; two gradients may be those of the halves of one shape."""
    keys = paint_key(one), paint_key(other)
    return keys[0] == keys[1] or all(key.lower().startswith("url(") for key in keys)


def _one_name(ties: Sequence[tuple[tuple[_Name, float], tuple[_Name, float]]]) -> dict[_Name, _Name]:
    """Give for each name that is tied to others the one of all these that the largest shape bears."""
    size: dict[_Name, float] = {}
    for name, area in (borne for tie in ties for borne in tie):
        size[name] = max(size.get(name, 0.0), area)
    names = sorted(size, key=lambda name: -size[name])
    rank = {name: number for number, name in enumerate(names)}
    offsets, first = Offsets(len(names)), dict[int, _Name]()
    for (one, _), (other, _) in ties:
        offsets.join(rank[one], rank[other], (0, 0))
    return {name: first.setdefault(offsets.find(rank[name])[0], name) for name in names}


def _sorted(left: Sequence[int], lying: Iterable[tuple[int, int]]) -> list[int]:
    """Sort so that of each pair the first comes first, else as they are; where pairs go round, the lowest comes."""
    beneath: dict[int, set[int]] = defaultdict(set)
    for below, above in lying:
        beneath[above].add(below)
    waiting, still, order = list(left), set(left), []
    while waiting:
        order.append(next((own for own in waiting if beneath[own].isdisjoint(still)), waiting[0]))
        waiting.remove(order[-1])
        still.remove(order[-1])
    return order
