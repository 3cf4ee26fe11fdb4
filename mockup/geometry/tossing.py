"""Toss rigid outlines on a tile that wraps so that the gaps are even, nothing is left bare, and no stripes form.

Discs of the bodies' areas are spread first, from several starts. The outlines, small at first, then grow to their size
while they push each other apart; at last the gaps along all borders are brought nearer to their mean. All the while
the worst stripe is being broken up. Of what it passed through, the arrangement with the best figures is kept.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.alleys import Alleys
from mockup.geometry.crowd import COUNTS, Crowd, Push
from mockup.geometry.gaps import evened, gaps
from mockup.geometry.shapes import (
    Shape,
    area,
    closed_up,
    corner_points,
    filling_points,
    outline_points,
)
from mockup.geometry.tucking import Poses, clearance, lay

Floats = NDArray[np.float64]

VOID, VARIATION, ALLEY = 0.55, 0.22, 0.2
"""Figures that a good layout has: largest bare circle over the mean spacing, variation of the gap, worst stripe."""

_CLOUD: Final = 0.2
"""Distance of the points that stand for a body's area, in mean spacings."""

_STARTS: Final = 4
_SPREAD: Final = 90
_GROWN: Final = 60
_EVENED: Final = 14
_TUCKED: Final = 3

_THRONG: Final = 150
"""Above so many bodies there is one start and half the steps."""

_ROUNDS: Final = 4
"""How often bodies that do not reach their size are tried in other poses."""

_GOOD: Final = 1.2
_OF_USUAL: Final = 0.35
"""No clearance of more than this share of the mean gap that the coverage leaves is insisted on."""

_MORE: Final = 2
"""So many further starts are tried where nothing has room enough."""

_ENOUGH: Final = 0.6
_STUCK: Final = 0.9
_HOPELESS: Final = 0.96
"""Bodies smaller than these shares of their size are given up: in one start, and altogether."""

_ASKED: Final = 0.8
"""Shares of the wanted clearance that are let pass, and that are asked for where it is less."""

_OPENED: Final = 40
_BREATHS: Final = 3
_BREATH: Final = 0.95
"""Factor by which bodies are made smaller for a while where some are caught between others."""

_HARD: Final = 5.0
"""The harder, the more the nearest alone counts."""

_MANY: Final = 60
"""Above so many bodies one round of other poses must do."""

_HOLE: Final = 0.45
"""A hole is a bare circle wider than so many mean spacings; of them one for so many bodies is filled at a time:"""

_HOLES: Final = 12
_AGAIN: Final = 8
"""Steps after which it is looked up anew who is near."""

_STRIPES: Final = 0.03
"""How far a step may move a body to break up stripes, in mean spacings."""

_CALM: Final = 0.14
"""A worst stripe of so much is let be."""

_CLOSE: Final = 0.5
"""Below this share of the mean gap a clearance is widened before anything else."""


@dataclass(frozen=True, eq=False, slots=True)
class Body:
    """What is tossed, about (0, 0), mm: all that must not meet another body, and of this what is seen as a shape."""

    whole: Shape
    seen: Shape


@dataclass(frozen=True, eq=False, slots=True)
class Tossed:
    """Where bodies came to lie: spots (n, 2) mm, turns (n,) radians, scale, figures, and the least clearance, mm."""

    spot: Floats
    turn: Floats
    scale: float
    void: float
    variation: float
    alley: float
    clear: float

    @property
    def fault(self) -> float:
        """How far the worst figure is from what a good layout has: 1 is just good."""
        return max(self.void / VOID, self.variation / VARIATION, self.alley / ALLEY)


def toss(
    bodies: Sequence[Body],
    size: tuple[float, float],
    turns: Floats,
    free: NDArray[np.bool_],
    gap: float,
    seed: int,
    tries: int = 1,
    ways: int = 0,
) -> Tossed:
    """Toss bodies on a tile.

    Parameters
    ----------
    bodies : sequence of Body
        At their full size.
    size : (float, float)
        Width and height of the tile, mm.
    turns : (n,) floats
        Turn of each at the start, radians.
    free : (n,) bools
        Which may be turned further.
    gap : float
        Least clearance that is wanted, mm.
    seed : int
        Another number, another arrangement.
    tries : int
        From so many starts; the best is kept.
    ways : int
        Turns that a body may have beside its own: 1, 2 (half turns), 4 (quarter turns); 0 for any.

    Returns
    -------
    Tossed
        Its scale is below 1 and its clearance below ``gap`` where the bodies found no room.
    """
    board = _Board(bodies, size, gap, ways)
    found = []
    for number in range(tries + _MORE):
        one = board.tried(np.random.default_rng((seed, number)), turns, free)
        if one.scale >= 1 and one.clear < _ENOUGH * board.gap:
            one = board.opened(one, free)
        found.append(one)
        enough = one.scale >= 1 and one.clear >= _ENOUGH * board.gap
        if (enough and (one.fault <= _GOOD or number >= tries - 1)) or one.scale < _HOPELESS:
            break
    best = min(found, key=lambda one: (-one.scale, max(_ENOUGH * board.gap - one.clear, 0.0), one.fault))
    own = [
        lay(b.whole, at, float(t), best.scale) for b, at, t in zip(bodies, best.spot, best.turn, strict=True)
    ]
    return replace(best, clear=clearance(own, board.size, 2 * best.clear + 1))


class _Board:
    """One tile and its bodies, ready to be tossed from any start."""

    def __init__(self, bodies: Sequence[Body], size: tuple[float, float], gap: float, ways: int) -> None:
        self.ways = ways or 12
        self.size, self.count = np.array(size), len(bodies)
        self.spacing = math.sqrt(size[0] * size[1] / len(bodies))
        self.areas = np.array([area(body.seen) for body in bodies])
        self.radius = np.sqrt(self.areas / math.pi)
        covered = min(float(self.areas.sum()) / (size[0] * size[1]), 0.9)
        self.usual = self.spacing * (1 - math.sqrt(covered)) * 0.8
        self.gap = min(gap, _OF_USUAL * self.usual)
        step = 0.6 * self.usual
        self.shells = [closed_up(body.whole, self.gap) for body in bodies]
        self.outlines = [corner_points(shell, step, 0.08 * step, COUNTS) for shell in self.shells]
        seen = [outline_points(closed_up(body.seen, 0.3), 0.8 * step) for body in bodies]
        self.points = np.concatenate(seen)
        self.owner = np.repeat(np.arange(self.count), [len(own) for own in seen])
        clouds = [filling_points(body.seen, _CLOUD * self.spacing) for body in bodies]
        self.alleys = Alleys(clouds, self.areas, size)

    def tried(self, rng: np.random.Generator, turns: Floats, free: NDArray[np.bool_]) -> Tossed:
        """Toss from one start."""
        self.alleys.turned(turns)
        starts = [self._spread(self._start(rng)) for _ in range(_STARTS if self.count <= _THRONG else 1)]
        spot = min(starts, key=lambda start: start[1])[0]
        crowd = Crowd(self.outlines, (float(self.size[0]), float(self.size[1])), spot, turns.copy(), free)
        crowd.scale = self._clear(spot, crowd.radius)
        poses = self._poses()
        for round_ in range(_ROUNDS):
            self._grow(crowd, _GROWN if round_ == 0 else 0)
            if crowd.scale >= 1 or crowd.scale < _STUCK:
                break
            self._fill(crowd, poses)
            self._tuck(crowd, poses, rng.permutation(self.count).tolist())
        if crowd.scale < 1:
            return self._even(crowd, 0)
        steps = _EVENED if self.count <= _THRONG else _EVENED // 2
        best = self._even(crowd, steps)
        for _ in range(_TUCKED if self.count <= _MANY else 1):
            crowd.spot, crowd.turn = best.spot.copy(), best.turn.copy()
            self._fill(crowd, poses)
            self._tuck(crowd, poses, rng.permutation(self.count).tolist())
            best = min(best, self._even(crowd, steps), key=self._rank)
        return best

    def opened(self, best: Tossed, free: NDArray[np.bool_]) -> Tossed:
        """Let only what is too close push, hard, until everything keeps its distance; what is caught is let breathe."""
        size = float(self.size[0]), float(self.size[1])
        crowd = Crowd(self.outlines, size, best.spot.copy(), best.turn.copy(), free)
        crowd.look_round(0.5 * self.spacing)
        poses = self._poses()
        for breath in range(_BREATHS):
            if self._parted(crowd):
                break
            self._tuck(crowd, poses, np.flatnonzero(crowd.least(crowd.near()) < self.gap).tolist())
            crowd.scale = _BREATH ** (1 + breath)
            crowd.look_round(0.5 * self.spacing)
            for _ in range(_OPENED):
                near = crowd.near()
                crowd.shift(near, crowd.pushed(near, 0.1 * self.gap, _HARD))
                crowd.grow(near, 1.01)
        if crowd.scale < 1:
            return best
        return min(best, self._even(crowd, 0), key=self._rank)

    def _parted(self, crowd: Crowd) -> bool:
        """Push what is too close apart; tell whether everything keeps its distance."""
        for _ in range(_OPENED):
            near = crowd.near()
            if crowd.scale >= 1 and crowd.least(near).min() >= _ASKED * self.gap:
                return True
            crowd.shift(near, crowd.pushed(near, 0.1 * self.gap, _HARD))
            crowd.grow(near, 1.01)
        return False

    def _poses(self) -> Poses:
        return Poses(
            [points for points, _ in self.outlines],
            self.shells,
            self.size,
            np.arange(self.ways) * 2 * math.pi / self.ways,
        )

    def _tuck(self, crowd: Crowd, poses: Poses, bodies: list[int]) -> None:
        """Try other poses for bodies, one after another."""
        poses.tuck(crowd.spot, crowd.turn, crowd.scale, self.usual, self.gap, bodies)

    def _fill(self, crowd: Crowd, poses: Poses) -> None:
        """Put small bodies from where it is crowded into the largest holes."""
        own = gaps(self._placed(crowd), self.owner, crowd.spot, self.size, self.spacing)
        holes: list[Floats] = []
        most = max(1, self.count // _HOLES)
        for circle in np.argsort(-own.radius, kind="stable").tolist():
            if len(holes) == most or 2 * own.radius[circle] < _HOLE * self.spacing:
                break
            way = np.array(holes).reshape(-1, 2) - own.centre[circle]
            way -= self.size * np.round(way / self.size)
            if (np.hypot(way[:, 0], way[:, 1]) > self.spacing).all():
                holes.append(own.centre[circle])
        small = np.flatnonzero(self.radius <= np.median(self.radius))
        around = own.around(self.count)[small]
        spare = small[np.argsort(around, kind="stable")][: 3 * most].tolist()
        if holes:
            poses.fill(crowd.spot, crowd.turn, crowd.scale, np.array(holes), spare, own.mean)

    def _rank(self, one: Tossed) -> tuple[float, float]:
        return max(self.gap - one.clear, 0.0), one.fault

    def _start(self, rng: np.random.Generator) -> Floats:
        """Put the largest first, each where of many places at random it is farthest from all before it."""
        spot = np.zeros((self.count, 2))
        placed: list[int] = []
        for body in np.argsort(-self.radius, kind="stable").tolist():
            tried = rng.random((60, 2)) * self.size
            if placed:
                way = tried[:, None, :] - spot[placed]
                way -= self.size * np.round(way / self.size)
                away = np.hypot(way[..., 0], way[..., 1]) - self.radius[placed]
                tried = tried[np.argmax(away.min(axis=1))][None, :]
            spot[body] = tried[0]
            placed.append(body)
        return spot

    def _spread(self, spot: Floats) -> tuple[Floats, float]:
        """Let discs push each other apart; tell how far it came, the less the better."""
        worst, least = 0.0, 0.0
        weight = np.minimum(self.radius[:, None], self.radius[None, :])
        for _ in range(_SPREAD):
            way = spot[:, None, :] - spot[None, :, :]
            way -= self.size * np.round(way / self.size)
            far = np.hypot(way[..., 0], way[..., 1])
            np.fill_diagonal(far, np.inf)
            gap = np.maximum(far - self.radius[:, None] - self.radius[None, :], 0.05 * self.spacing)
            push = weight * gap**-3
            force = np.einsum("ijk,ij->ik", way, push / far)
            move = 0.6 * force / np.maximum((3 * push / gap).sum(axis=1), 1e-12)[:, None]
            long = np.maximum(np.hypot(move[:, 0], move[:, 1]), 1e-12)
            move *= np.minimum(1, 0.1 * self.spacing / long)[:, None]
            stripes, worst = self._stripes(spot, 0.08)
            spot = (spot + move + stripes) % self.size
            least = float(gap.min()) / self.spacing
        return spot, worst - least / 2

    def _stripes(self, spot: Floats, least: float) -> tuple[Floats, float]:
        """Ways that break up stripes, (n, 2) mm, none once the worst is down to ``least``; and the worst."""
        way, worst = self.alleys.force(spot)
        return way * (_STRIPES * self.spacing * min(max(worst - least, 0.0) / 0.1, 1.0)), worst

    def _clear(self, spot: Floats, radius: Floats) -> float:
        """Scale at which the circles round the bodies keep clear of each other."""
        way = spot[:, None, :] - spot[None, :, :]
        way -= self.size * np.round(way / self.size)
        far = np.hypot(way[..., 0], way[..., 1])
        np.fill_diagonal(far, self.size.min())
        return min(1.0, 0.9 * float((far / (radius[:, None] + radius[None, :])).min()))

    def _grow(self, crowd: Crowd, least: int) -> None:
        """Let the outlines grow to their size while they push each other apart, for so many steps at least."""
        crowd.look_round(0.7 * self.spacing)
        for step in range(2 * _GROWN):
            if step % _AGAIN == 0:
                self.alleys.turned(crowd.turn)
            near = crowd.near()
            if crowd.scale >= 1 and step >= least:
                return
            push = crowd.pushed(near, 0.1 * self.usual)
            stripes, _ = self._stripes(crowd.spot, _CALM)
            crowd.shift(near, Push(push.move + stripes, push.turn))
            if crowd.scale < 1:
                crowd.grow(near, 1.05)

    def _even(self, crowd: Crowd, steps: int) -> Tossed:
        """Bring the gaps nearer to their mean, and keep the best that is passed through."""
        best: Tossed | None = None
        crowd.look_round(0.5 * self.spacing)
        for _ in range(steps + 1):
            self.alleys.turned(crowd.turn)
            near = crowd.near()
            clear = crowd.least(near)
            own = gaps(self._placed(crowd), self.owner, crowd.spot, self.size, self.spacing)
            stripes, worst = self._stripes(crowd.spot, _CALM)
            void = own.widest / self.spacing
            now = Tossed(
                crowd.spot % self.size,
                crowd.turn,
                crowd.scale,
                void,
                own.variation,
                worst,
                float(clear.min()),
            )
            if best is None or self._rank(now) < self._rank(best):
                best = now
            close = np.clip(1 - clear / max(_CLOSE * own.mean, 1.2 * self.gap), 0, 1)
            push, (move, turn) = crowd.pushed(near, 0.1 * self.usual), evened(own, self.count)
            move = move + stripes
            crowd.shift(
                near,
                Push(
                    move * (1 - close)[:, None] + push.move * close[:, None],
                    turn * (1 - close) + push.turn * close,
                ),
            )
        assert best is not None
        return best

    def _placed(self, crowd: Crowd) -> Floats:
        """Outline points of all bodies about their spots, turned and scaled."""
        cosine, sine = (crowd.scale * f(crowd.turn)[self.owner] for f in (np.cos, np.sin))
        x, y = self.points[:, 0], self.points[:, 1]
        return np.column_stack((cosine * x - sine * y, sine * x + cosine * y))
