"""Scenes as SVG, written as text: true mm, named groups, titles, nothing but plain shapes and type.

One user unit is 1 mm; coordinates are whole thousandths of a mm, given as steps from point to point, so that
rounding never adds up and outlines that meet still meet. No images, patterns, style sheets, scripts or links:
every vector program reads the same.

References
----------
SVG 1.1 (second edition), sections 7.2, 8.3 (path data), 10 (text), 14.3 (clipping); XML 1.0, section 2.2.
"""

import hashlib
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import groupby
from typing import Final
from xml.sax.saxutils import escape

import numpy as np

from mockup.geometry.affine import Points
from mockup.rendering.scene import Clip, Cloth, Fill, Item, Scene, Stroke, Text, channels, plain_text

_PER_MM: Final = 1000
_NAMESPACE: Final = "http://www.w3.org/2000/svg"
_INHERITED: Final = (
    'fill-rule="evenodd" clip-rule="evenodd" stroke-linecap="round" stroke-linejoin="round" '
    "font-family=\"'DejaVu Sans', Verdana, sans-serif\""
)


class _Numbers(dict[int, str]):
    """Whole thousandths as they are written; each is worked out once."""

    def __missing__(self, thousandths: int) -> str:
        text = f"{abs(thousandths) / _PER_MM:.3f}".rstrip("0").rstrip(".").removeprefix("0") or "0"
        written = f"-{text}" if thousandths < 0 else text
        self[thousandths] = written
        return written


@dataclass(slots=True)
class _Names:
    """Ids given so far."""

    taken: dict[str, int] = field(default_factory=dict)
    clips: dict[str, str] = field(default_factory=dict)

    def layer(self, name: str) -> str:
        """Give an id for one more group of a layer: its name, then numbered."""
        plain = re.sub(r"[^A-Za-z0-9_.-]+", "-", name).strip("-.") or "layer"
        if not (plain[0].isalpha() or plain[0] == "_"):
            plain = f"layer-{plain}"
        count = self.taken.get(plain, 0) + 1
        while count > 1 and f"{plain}-{count}" in self.taken:
            count += 1
        self.taken[plain] = count
        if count == 1:
            return plain
        self.taken[f"{plain}-{count}"] = 1
        return f"{plain}-{count}"

    def clip(self, path: str) -> str:
        """Give the id of a clipping path: it says what the path is, so that two files on one page agree."""
        name = f"clip-{hashlib.sha256(path.encode()).hexdigest()[:12]}"
        self.clips[name] = path
        return name


def svg(scene: Scene) -> str:
    """Write a scene as an SVG document.

    Items stay in painter's order; those of one motif that follow each other share a group with its name as id and
    title, those of one layer another one in it. Equal scenes give equal text.

    Raises
    ------
    ValueError
        Where the scene holds a colour or a coordinate that is none.
    """
    names, numbers = _Names(), _Numbers()
    body = "\n".join(_groups(scene.items, names, numbers))
    width, height = (numbers[round(side * _PER_MM)] for side in (scene.width, scene.height))
    size = f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}"'
    lines = [f'<svg xmlns="{_NAMESPACE}" {size} {_INHERITED}>']
    if scene.title:
        lines.append(f"<title>{_escaped(scene.title)}</title>")
    if names.clips:
        paths = (f'<clipPath id="{name}"><path d="{path}"/></clipPath>' for name, path in names.clips.items())
        lines.append(f"<defs>{''.join(paths)}</defs>")
    return "\n".join([*lines, body, "</svg>\n"])


def _escaped(text: str) -> str:
    return escape(_allowed(text))


def _allowed(text: str) -> str:
    """Give the text as XML may hold it."""
    return re.sub("[\ufffe\uffff]", " ", plain_text(text))


def _groups(items: tuple[Item, ...], names: _Names, numbers: _Numbers) -> Iterator[str]:
    """Write items, one titled group for each run of a motif, in it one for each run of a layer, one for each clip."""
    for of, run in groupby(items, lambda item: item.of if isinstance(item, Fill) else ""):
        if of:
            yield f'<g id="{names.layer(of)}"><title>{_escaped(of)}</title>'
            yield from _layers(run, names, numbers)
            yield "</g>"
        else:
            yield from _layers(run, names, numbers)


def _layers(items: Iterable[Item], names: _Names, numbers: _Numbers) -> Iterator[str]:
    """Write items, one titled group for each run of a layer, one for each clip."""
    for layer, run in groupby(items, lambda item: None if isinstance(item, Clip | Cloth) else item.layer):
        if layer is not None:
            yield f'<g id="{names.layer(layer)}"><title>{_escaped(layer)}</title>'
            for item in run:
                yield _element(item, numbers)
            yield "</g>"
            continue
        for clip in run:
            if not isinstance(clip, Clip):
                raise ValueError("a cloth is for pixels only")
            path = _outlines(clip.rings, (True,) * len(clip.rings), numbers)
            yield f'<g clip-path="url(#{names.clip(path)})">'
            yield from _groups(clip.items, names, numbers)
            yield "</g>"


def _element(item: Item, numbers: _Numbers) -> str:
    """Write one item that is not a clip."""
    match item:
        case Fill():
            data = _outlines(item.rings, (True,) * len(item.rings), numbers)
            return _path(data, f'fill="{_colour(item.colour)}"', item.title)
        case Stroke():
            paint = (
                f'fill="none" stroke="{_colour(item.colour)}" stroke-width="{numbers[_whole(item.width)]}"'
            )
            return _path(_outlines(item.lines, item.closed, numbers), paint, item.title)
        case Text():
            return _text(item, numbers)
        case Clip() | Cloth():
            raise AssertionError("clips make groups of their own")


def _colour(colour: str) -> str:
    channels(colour)
    return colour


def _path(data: str, paint: str, title: str) -> str:
    if title:
        return f'<path {paint} d="{data}"><title>{_escaped(title)}</title></path>'
    return f'<path {paint} d="{data}"/>'


def _whole(length: float) -> int:
    return round(length * _PER_MM)


def _outlines(lines: tuple[Points, ...], closed: tuple[bool, ...], numbers: _Numbers) -> str:
    """Write path data: each line from its first point by steps; a line of one point is a dot."""
    data = []
    for line, joined in zip(lines, closed, strict=True):
        if not len(line):
            continue
        places = np.rint(np.asarray(line) * _PER_MM)
        if not np.isfinite(places).all():
            raise ValueError("a scene holds a coordinate that is not a finite number")
        steps = np.diff(places.astype(np.int64), axis=0, prepend=0)
        steps = steps[np.any(steps != 0, axis=1) | (np.arange(len(steps)) == 0)]
        x, y, *rest = map(numbers.__getitem__, steps.ravel().tolist())
        data.append(f"M{x} {y}l{' '.join(rest) or '0 0'}{'z' if joined else ''}")
    return "".join(data).replace(" -", "-")


def _text(item: Text, numbers: _Numbers) -> str:
    x, y = numbers[_whole(item.x)], numbers[_whole(item.y)]
    marks = f'x="{x}" y="{y}" font-size="{numbers[_whole(item.size_mm)]}" fill="{_colour(item.colour)}"'
    if item.weight != "regular":
        marks += f' font-weight="{item.weight}"'
    if item.anchor != "start":
        marks += f' text-anchor="{item.anchor}"'
    if item.turn:
        marks += f' transform="rotate({numbers[_whole(item.turn)]} {x} {y})"'
    text = _allowed(item.text)
    if text != " ".join(text.split()):
        marks += ' xml:space="preserve"'
    return f"<text {marks}>{escape(text)}</text>"
