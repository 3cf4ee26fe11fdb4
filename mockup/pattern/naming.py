"""Which parts take one ink together, and what such a group is called.

Parts with the same ``data-group`` go together; else parts of the same written fill that have no ``data-part``
of their own (parts that were drawn as strokes: of the same stroke); every other part is alone. Labels are unique
in a motif and hold no "/".
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Final

from mockup.geometry.shapes import Shape
from mockup.pattern.figures import figures
from mockup.pattern.motif import Part
from mockup.pattern.paints import paint_key

NAMELESS: Final = "shape"
LINE: Final = "line"
_LONGEST: Final = 40


@dataclass(frozen=True, eq=False, slots=True)
class Draft:
    """A part before its group has a label; ``part``, ``group`` and ``id`` as written, or empty.

    ``inside`` are the groups and uses round it, outermost first: a number of its own each, and its id. ``stroke``
    tells a part that was drawn as a stroke: ``fill`` is then the stroke's paint.
    """

    shape: Shape
    fill: str
    side: str
    part: str
    group: str
    id: str
    inside: tuple[tuple[int, str], ...] = ()
    stroke: bool = False

    @property
    def name(self) -> str:
        """The part's name: ``data-part``, else its id, else "shape", or "line" where it is a stroke."""
        return _clean(self.part) or _clean(self.id) or (LINE if self.stroke else NAMELESS)


def grouped(drafts: Sequence[Draft]) -> list[Part]:
    """Give each part the label of its group; a written group keeps its name, others are numbered round it."""
    keys = [_key(number, draft) for number, draft in enumerate(drafts)]
    wanted = {key: _clean(d.group) or d.name for key, d in reversed(list(zip(keys, drafts, strict=True)))}
    labels: dict[Hashable, str] = {}
    taken: set[str] = set()
    counters: dict[str, int] = {}
    for key in sorted(dict.fromkeys(keys), key=lambda key: key[0] != "group"):
        labels[key] = _free(wanted[key], taken, counters)
        taken.add(labels[key])
    own = figures(
        [(draft.side, _clean(draft.group), [(n, _clean(id_)) for n, id_ in draft.inside]) for draft in drafts]
    )
    return [
        Part(draft.name, labels[key], draft.shape, draft.side, draft.fill, figure)
        for key, draft, figure in zip(keys, drafts, own, strict=True)
    ]


def _key(number: int, draft: Draft) -> tuple[str, ...]:
    """Give what parts of one group have in common."""
    if _clean(draft.group):
        return "group", _clean(draft.group)
    if draft.fill and not draft.part:
        return "stroke" if draft.stroke else "fill", paint_key(draft.fill), draft.side
    return "alone", str(number)


def _free(wanted: str, taken: set[str], counters: dict[str, int]) -> str:
    """Give a label of its own, numbered where it is taken already: petal, petal-2, petal-3."""
    label = wanted
    while label in taken:
        counters[wanted] = counters.get(wanted, 1) + 1
        label = f"{wanted}-{counters[wanted]}"
    return label


def _clean(text: str) -> str:
    """Make a written name fit for a label: short, no slash, no control character, hyphens for white space."""
    shown = "".join(sign if sign.isprintable() and sign != "/" else " " for sign in text)
    return "-".join(shown.split())[:_LONGEST]
