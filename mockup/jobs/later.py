"""What the design file may already say but this version cannot yet do: refused by name, never passed over."""

from collections.abc import Iterator

from mockup.design.records import Design
from mockup.errors import DesignError


def refuse_what_is_not_there_yet(design: Design) -> None:
    """Refuse the first thing asked for that this version cannot do.

    Raises
    ------
    DesignError
        Names the key and what to write instead.
    """
    for key, remedy in _asked(design):
        name = f"{design.file.name}, {key}" if design.file else key
        raise DesignError("this version of mockup cannot do that yet", where=name, remedy=remedy)


def _asked(design: Design) -> Iterator[tuple[str, str]]:
    drawing = design.drawing
    if drawing and drawing.groups:
        yield "[drawing] groups", "leave it out; give parts of one ink a common data-group or fill instead"
