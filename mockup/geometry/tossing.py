"""Toss rigid outlines on a tile that wraps so that the gaps are even, nothing is left bare, and no stripes form.

Discs of the bodies' areas are spread first, from several starts. The outlines, small at first, then grow to their size
while they push each other apart; at last the gaps along all borders are brought nearer to their mean. All the while
the worst stripe is being broken up. Of what it passed through, the arrangement with the best figures is kept.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from mockup.geometry.alleys import Alleys
from mockup.geometry.crowd import COUNTS, Crowd, Push
from mockup.geometry.gaps import evened, gaps
from mockup.geometry.tucking import Poses
from mockup.geometry.shapes import Shape, area, closed_up, corner_points, filling_points, outline_points

Floats = NDArray[np.float64]

VOID, VARIATION, ALLEY = 0.55, 0.26, 0.17
"""Figures that a good layout has: largest bare circle over the mean spacing, variation of the gap, worst stripe."""

_CLOUD: Final = 0.2
"""Distance of the points that stand for a body's area, in mean spacings."""

_STARTS: Final = 4
_SPREAD: Final = 90
_GROWN: Final = 80
_EVENED: Final = 20
_TUCKED: Final = 3

_HOLE: Final = 0.45
"""A hole is a bare circle wider than so many mean spacings; of them one for so many bodies is filled at a time:"""

_HOLES: Final = 12
_AGAIN: Final = 8
"""Steps after which it is looked up anew who is near."""

_STRIPES: Final = 0.03
"""How far a step may move a body to break up stripes, in mean spacings."""

_CLOSE: Final = 0.5
"""Below this share of the mean gap a clearance is widened before anything else."""


@dataclass(frozen=True, eq=False, slots=True)
class Body:
    """What is tossed: everything that must not meet another body, and of this what is seen as a shape; about (0, 0), mm."""

    whole: Shape
    seen: Shape


@dataclass(frozen=True, eq=False, slots=True)
class Tossed:
    """Where bodies came to lie: spots (n, 2) mm, turns (n,) radians; the scale; the figures; the least clearance, mm."""

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

    Returns
    -------
    Tossed
        Its scale is below 1 and its clearance below ``gap`` where the bodies found no room.
    """
    board = _Board(bodies, size, gap)
    found = []
    for number in range(tries):
        found.append(board.tried(np.random.default_rng((seed, number)), turns, free))
        if found[-1].clear >= gap and found[-1].fault <= 1:
            break
    return min(found, key=lambda one: (one.scale < 1, max(gap - one.clear, 0.0), one.fault))


class _Board:
    """One tile and its bodies, ready to be tossed from any start."""

    def __init__(self, bodies: Sequence[Body], size: tuple[float, float], gap: float) -> None:
        self.size, self.gap, self.count = np.array(size), gap, len(bodies)
        self.spacing = math.sqrt(size[0] * size[1] / len(bodies))
        self.areas = np.array([area(body.seen) for body in bodies])
        self.radius = np.sqrt(self.areas / math.pi)
        covered = min(float(self.areas.sum()) / (size[0] * size[1]), 0.9)
        self.usual = self.spacing * (1 - math.sqrt(covered)) * 0.8
        step = 0.4 * self.usual
        self.outlines = [
            corner_points(closed_up(body.whole, min(0.5, step)), step, 0.1 * step, COUNTS) for body in bodies
        ]
        seen = [outline_points(closed_up(body.seen, 0.3), step) for body in bodies]
        self.points = np.concatenate(seen)
        self.owner = np.repeat(np.arange(self.count), [len(own) for own in seen])
        clouds = [filling_points(body.seen, _CLOUD * self.spacing) for body in bodies]
        self.alleys = Alleys(clouds, self.areas, size)

    def tried(self, rng: np.random.Generator, turns: Floats, free: NDArray[np.bool_]) -> Tossed:
        """Toss from one start."""
        self.alleys.turned(turns)
        starts = [self._spread(self._start(rng)) for _ in range(_STARTS if self.count > 1 else 1)]
        spot = min(starts, key=lambda start: start[1])[0]
        crowd = Crowd(self.outlines, (float(self.size[0]), float(self.size[1])), spot, turns.copy(), free)
        crowd.scale = self._clear(spot, crowd.radius)
        self._grow(crowd)
        best = self._even(crowd, _EVENED)
        poses = Poses(self.outlines, self.size, np.arange(12) * math.pi / 6)
        for _ in range(_TUCKED):
            crowd.spot, crowd.turn = best.spot.copy(), best.turn.copy()
            self._fill(crowd, poses)
            poses.tuck(crowd.spot, crowd.turn, crowd.scale, self.usual, self.gap, rng.random(self.count))
            best = min(best, self._even(crowd, _EVENED), key=self._rank)
        return best

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
        spot, placed = np.zeros((self.count, 2)), []
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

    def _grow(self, crowd: Crowd) -> None:
        """Let the outlines grow to their size while they push each other apart."""
        crowd.look_round(self.spacing)
        for step in range(4 * _GROWN):
            if step % _AGAIN == 0:
                self.alleys.turned(crowd.turn)
            near = crowd.near()
            if crowd.scale >= 1 and step >= _GROWN:
                return
            push = crowd.pushed(near, 0.1 * self.usual)
            stripes, _ = self._stripes(crowd.spot, 0.12)
            crowd.shift(near, Push(push.move + stripes, push.turn))
            if crowd.scale < 1:
                crowd.grow(near, 1.05)

    def _even(self, crowd: Crowd, steps: int) -> Tossed:
        """Bring the gaps nearer to their mean, and keep the best that is passed through."""
        best: Tossed | None = None
        crowd.look_round(0.8 * self.spacing)
        for _ in range(steps + 1):
            self.alleys.turned(crowd.turn)
            near = crowd.near()
            clear = crowd.least(near)
            own = gaps(self._placed(crowd), self.owner, crowd.spot, self.size, self.spacing)
            stripes, worst = self._stripes(crowd.spot, 0.12)
            void = own.widest / self.spacing
            now = Tossed(
                crowd.spot % self.size, crowd.turn, crowd.scale, void, own.variation, worst, float(clear.min())
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
