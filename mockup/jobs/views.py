"""The guts of ``views``: a piece whose inks are spread in all the ways in which it is judged, on one sheet."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from mockup.colour.coding import linear_from_srgb, srgb_from_linear
from mockup.colour.vision import DEFICIENCIES
from mockup.colouring.problem import Floats
from mockup.errors import DesignError
from mockup.jobs.check import figures_of
from mockup.jobs.looks import key_of, look_of
from mockup.jobs.planned import Spreading
from mockup.jobs.preview import draw_design
from mockup.jobs.progress import Tell, quiet
from mockup.jobs.squint import excess_in
from mockup.jobs.targets import beside, suffix
from mockup.pattern.field import origin
from mockup.rendering.afar import resampled
from mockup.rendering.canvas import pixels
from mockup.rendering.eye import as_seen, finest, in_grey, seen_from, shown
from mockup.rendering.look import Look
from mockup.rendering.pattern import Painted, Window, field_items, painted
from mockup.rendering.scene import Scene, channels
from mockup.sheets.caption import letters
from mockup.sheets.files import mark
from mockup.sheets.formats import as_file
from mockup.sheets.squint import LEAST
from mockup.sheets.views import ROOM, Spot, View, has_room, laid, run_on, turned, views_sheet
from mockup.units import MM_PER_INCH, plain

DISTANCE: Final = 6.0
"""Metres from which the piece is squinted at: across a room."""

DISTANCES: Final = (0.2, 200.0)

FULL: Final = 0.15
"""Excess of an ink at which the map of lumps shows the ink itself."""

_GRAINS: Final = (0.4, 0.6)
_SMOOTH: Final = 0.6
_FINE: Final = 3

_FOOT: Final = (
    "Places are mm from a picture's top left. Lines of the map: 5 and 10 % too much. What others see differs from one"
    " to the next: these views say which inks may be taken for each other, not how they look to anyone."
)


@dataclass(frozen=True, eq=False, slots=True)
class _Cloth:
    """What every picture shows: ``size`` in true mm, ``start`` of the tile in it, the scale, and its painted forms."""

    spreading: Spreading
    look: Look
    size: tuple[float, float]
    start: tuple[float, float]
    scale: float
    forms: tuple[Painted, ...]

    @property
    def wraps(self) -> bool:
        return self.spreading.plan.tiles is not None

    @property
    def cell(self) -> tuple[float, float]:
        """The plan's cell on the sheet, mm."""
        wide, high = self.spreading.cell
        return wide * self.scale, high * self.scale

    def picture(self, look: Look, size: tuple[float, float]) -> Scene:
        """Draw so many true mm of it in a look."""
        wide, high = size[0] * self.scale, size[1] * self.scale
        window = Window((0.0, 0.0, wide, high), self.start, self.scale)
        tile, plan = self.spreading.piece.tile, self.spreading.plan
        return Scene(wide, high, field_items(tile, plan, look, window, self.forms), "cloth")

    @property
    def shown(self) -> tuple[float, float]:
        """A picture on the sheet, mm."""
        return self.size[0] * self.scale, self.size[1] * self.scale

    def squares(self, grain: float) -> tuple[int, int]:
        """Rows and columns of squares of about so many mm on the sheet that fill the cell."""
        return max(2, round(self.cell[1] / grain)), max(2, round(self.cell[0] / grain))


def draw_views(
    path: Path,
    target: Path | None = None,
    *,
    distance: float = DISTANCE,
    dpi: float = 200.0,
    way: str | None = None,
    force: bool = False,
    tell: Tell = quiet,
) -> Path:
    """Draw the sheet of views of a design file and write it; left out, the target is a PNG beside the design.

    ``distance`` is that from which the piece is squinted at, m. All else is as for ``preview_design``.

    Raises
    ------
    MockupError
        Whatever of the design cannot be followed, a distance out of range, or a target that cannot be written.
    """
    _check(distance)

    def composed(spreading: Spreading, ending: str) -> bytes:
        scene = views_scene(spreading, distance=distance)
        return as_file(scene, ending, mark(spreading.piece.name), dpi)

    target = target or beside(path, f"{suffix(way)}-views.png")
    return draw_design(path, target, composed, way=way, force=force, tell=tell)


def views_scene(spreading: Spreading, *, distance: float = DISTANCE) -> Scene:
    """Compose the sheet of views of a piece whose inks are spread; ``distance`` in m.

    Raises
    ------
    DesignError
        The distance is out of range.
    """
    _check(distance)
    cloth = _cloth(spreading)
    look, size = cloth.look, cloth.size
    upright = cloth.picture(look, size)
    lying = cloth.picture(look, size[::-1]) if cloth.wraps else upright
    views = [
        View("As it is", "Which ink leads? Does the eye travel over all of it?", upright),
        View(
            f"From {plain(distance)} m",
            "Does a lump, a line or a hole appear?",
            _afar(cloth, distance),
        ),
        View("Turned a quarter", "Do stripes or lanes show that were not seen upright?", turned(lying, 1)),
        View("Upside down", "Does it still hang together, or does one side weigh more?", turned(upright, 2)),
        View("Grey, by lightness", "Do motif and ground still part?", cloth.picture(in_grey(look), size)),
        *(
            View(name.title(), _LACKS[name], cloth.picture(as_seen(look, name), size))
            for name in DEFICIENCIES
        ),
        View("Where inks gather", "Tinted in the ink that is most over its share.", *_lumps(cloth)),
    ]
    piece = spreading.piece
    heading = piece.design.title or piece.name
    return views_sheet(views, key_of(spreading), heading, _notes(cloth, distance), _FOOT)


_LACKS: Final = {
    "protan": "No sense of long waves: which inks fall together?",
    "deutan": "No sense of middle waves: which inks fall together?",
    "tritan": "No sense of short waves: which inks fall together?",
}


def _check(distance: float) -> None:
    least, most = DISTANCES
    if not least <= distance <= most:
        raise DesignError(
            f"a piece cannot be judged from {plain(distance)} m",
            remedy=f"give a distance from {plain(least)} to {plain(most)} m",
        )


def _cloth(spreading: Spreading) -> _Cloth:
    """Settle what the pictures show: a whole sheet, which fits turned too, or as much of a repeat as there is room."""
    piece, look = spreading.piece, replace(look_of(spreading.piece), border=None)
    (wide, high), wraps = spreading.cell, spreading.plan.tiles is not None
    tenths = 10
    while not has_room(10.0 * wide / tenths, 10.0 * high / tenths, wraps):
        tenths += 1
    scale = 10.0 / tenths
    single = not wraps and piece.layout.steps
    start = origin(piece.tile, wide, high) if single else (0.0, 0.0)
    size = (ROOM[0] / scale, ROOM[1] / scale) if wraps else (wide, high)
    return _Cloth(spreading, look, size, start, scale, painted(piece.tile, look, scale))


def _afar(cloth: _Cloth, distance: float) -> Scene:
    """Show the cloth as from a distance: its cell is drawn, blurred as the eye does, and laid side by side."""
    grain = min(max(finest(distance) * cloth.scale / 2.5, _GRAINS[0]), _GRAINS[1])
    shape = cloth.squares(grain)
    drawn = pixels(cloth.picture(cloth.look, cloth.spreading.cell), MM_PER_INCH * _FINE / grain)
    soft = seen_from(linear_from_srgb(drawn / 255.0), cloth.spreading.cell, distance, cloth.wraps)
    fine = [resampled(soft[..., channel], shape, cloth.wraps) for channel in range(3)]
    tints = srgb_from_linear(shown(np.stack(fine, axis=-1)))
    return laid(tints, cloth.cell, cloth.shown, "from afar")


def excess_of(spreading: Spreading) -> Floats:
    """Give each ink's excess over its share round every corner of a grid on the cell, (k, rows, columns).

    Where next to nothing is inked there is none; what lies beside such a place runs on into it and fades out.
    """
    field, _ = excess_in(spreading, spreading.problem.target)
    return field if spreading.plan.tiles else run_on(field)


def _lumps(cloth: _Cloth) -> tuple[Scene, tuple[Spot, ...]]:
    """Draw the map of lumps, and tell the worst places."""
    shape = cloth.squares(_SMOOTH)
    every = np.array([resampled(one, shape, cloth.wraps) for one in excess_of(cloth.spreading)])
    most, heaviest = every.max(axis=0), every.argmax(axis=0)
    inks = np.array([channels(ink.colour) for ink in cloth.look.inks])
    paper = np.array(channels(cloth.look.paper))
    tints = paper + np.clip(most / FULL, 0.0, 1.0)[..., None] * (inks[heaviest] - paper)
    return laid(tints, cloth.cell, cloth.shown, "too heavy", most), _worst(cloth)


def _worst(cloth: _Cloth) -> tuple[Spot, ...]:
    """Name the two worst places, as the measures find them."""
    inks = cloth.spreading.piece.palette.inks
    signs = letters(len(inks))
    spots = []
    for lump in figures_of(cloth.spreading).worst:
        if lump.excess >= LEAST:
            said = f"{inks[lump.ink].name}, {100 * lump.excess:.1f} % too much round {lump.x:.0f}, {lump.y:.0f} mm"
            spots.append(Spot(lump.x * cloth.scale, lump.y * cloth.scale, signs[lump.ink], said))
    return tuple(spots)


def _notes(cloth: _Cloth, distance: float) -> list[str]:
    """What is said under the heading."""
    piece, design = cloth.spreading.piece, cloth.spreading.piece.design
    notes = [design.designer, f"for {design.client}" if design.client else ""]
    notes += [design.date.isoformat() if design.date else "", f"ground {piece.ground_name}"]
    notes += [f"every picture {_scale(cloth.scale)}", f"squinted at from {plain(distance)} m"]
    return [note for note in notes if note]


def _scale(scale: float) -> str:
    return f"1:{plain(1.0 / scale, 1)}"
