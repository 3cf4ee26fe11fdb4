"""Where things stand on the squint sheet: two pictures of one size, and the maps below or beside them."""

from dataclasses import dataclass
from typing import Final

from mockup.geometry.shapes import Box

WIDTH: Final = 297.0
HEIGHT: Final = 210.0
MARGIN: Final = 14.0

_TOP: Final = 30.0
_FOOT: Final = 21.0
_GAP: Final = 8.0
_UNDER: Final = 8.0
_CAPTION: Final = 13.5
_WORDS: Final = 32.0
"""Width of a caption, mm."""

_FULL: Final = 0.85
"""Share of the width that pictures with maps below them must fill."""
_TIMES: Final = ((1, 1), (1, 2), (2, 1), (2, 2))
_SHARES: Final = tuple(share / 100 for share in range(40, 78, 2))
"""How much of the height, or of the width, the pictures may take."""


@dataclass(frozen=True, slots=True)
class Places:
    """Boxes of the two pictures and of the maps, mm; how many ``times`` the cell stands in each; their scales."""

    pictures: tuple[Box, Box]
    times: tuple[int, int]
    scale: float
    maps: tuple[Box, ...]
    map_scale: float

    @property
    def foot(self) -> float:
        """Base of the line below everything, mm."""
        lowest = max(max(box[3] for box in self.maps) + _CAPTION, self.pictures[0][3] + _UNDER)
        return min(lowest + 5.0, HEIGHT - MARGIN)


def places(cell: tuple[float, float], maps: int, wraps: bool) -> Places:
    """Lay out the sheet for cells of width x height mm: the way in which what is shown comes out largest."""
    wide, high = WIDTH - 2 * MARGIN, HEIGHT - _TOP - _FOOT
    ways = []
    for times in _TIMES if wraps else _TIMES[:1]:
        window = cell[0] * times[0], cell[1] * times[1]
        for share in _SHARES:
            ways.append(_beside(window, times, maps, ((wide * share - _GAP) / 2, high - _UNDER)))
            below = _below(window, times, maps, ((wide - _GAP) / 2, high * share - _UNDER))
            if below.pictures[0][2] - MARGIN >= _FULL * (wide - _GAP) / 2:
                ways.append(below)
    return max(ways, key=_worth)


def _worth(laid: Places) -> float:
    """Weigh a layout: pictures and maps are both to be large; a cell shown oftener counts a little less."""
    shown = _area(laid.pictures[0]) * sum(map(_area, laid.maps))
    return shown * (1.0 - 0.1 * (laid.times[0] * laid.times[1] - 1))


def _area(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


def _below(
    window: tuple[float, float], times: tuple[int, int], maps: int, most: tuple[float, float]
) -> Places:
    """Put the pictures to both margins and the maps below them."""
    scale = min(most[0] / window[0], most[1] / window[1])
    w, h = window[0] * scale, window[1] * scale
    pictures = (MARGIN, _TOP, MARGIN + w, _TOP + h), (WIDTH - MARGIN - w, _TOP, WIDTH - MARGIN, _TOP + h)
    room = (MARGIN, _TOP + h + _UNDER + 5.0, WIDTH - MARGIN, HEIGHT - _FOOT)
    boxes, small = _maps(window, maps, room)
    return Places(pictures, times, scale, boxes, small)


def _beside(
    window: tuple[float, float], times: tuple[int, int], maps: int, most: tuple[float, float]
) -> Places:
    """Put the pictures to the left and the maps beside them."""
    scale = min(most[0] / window[0], most[1] / window[1])
    w, h = window[0] * scale, window[1] * scale
    left = MARGIN + w + _GAP
    pictures = (MARGIN, _TOP, MARGIN + w, _TOP + h), (left, _TOP, left + w, _TOP + h)
    boxes, small = _maps(window, maps, (left + w + 1.5 * _GAP, _TOP, WIDTH - MARGIN, HEIGHT - _FOOT))
    return Places(pictures, times, scale, boxes, small)


def _maps(window: tuple[float, float], count: int, room: Box) -> tuple[tuple[Box, ...], float]:
    """Put maps into rows so that they come out largest; captions stand under them."""
    wide, high = room[2] - room[0], room[3] - room[1]

    def scale_of(across: int) -> float:
        down = -(-count // across)
        width = (wide - _GAP * (across - 1)) / across
        height = (high - _GAP * (down - 1)) / down - _CAPTION
        return max(min(width / window[0], height / window[1]), 1e-3)

    most = max(1, min(count, int((wide + _GAP / 2) // (_WORDS + _GAP / 2))))
    across = max(range(1, most + 1), key=lambda n: (round(scale_of(n), 9), n))
    scale = scale_of(across)
    w, h = window[0] * scale, window[1] * scale
    pitch = (wide - max(w, _WORDS)) / max(across - 1, 1)
    boxes = []
    for number in range(count):
        row, column = divmod(number, across)
        x, y = room[0] + column * pitch, room[1] + row * (h + _CAPTION + _GAP)
        boxes.append((x, y, x + w, y + h))
    return tuple(boxes), scale
