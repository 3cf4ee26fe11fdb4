"""What the design file may already say but this version cannot yet do: refused by name, never passed over."""

from collections.abc import Iterator

from mockup.design.records import Design, Pattern
from mockup.errors import DesignError
from mockup.pattern.repeat import REPEATS


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


def _of_pattern(pattern: Pattern) -> Iterator[tuple[str, str]]:
    """What only tossed layouts use is refused in set ones, and so is what a tile of her own size leaves no say."""
    usual = Pattern(())
    if pattern.repeat not in REPEATS:
        yield f'[pattern] repeat = "{pattern.repeat}"', f"write one of {', '.join(REPEATS)}"
    if pattern.count is not None:
        yield "[pattern] count", "leave it out, or use grid"
    if pattern.directions != usual.directions:
        yield "[pattern] directions", "leave it out, and give motifs a turn"
    if pattern.variant != usual.variant:
        yield "[pattern] variant", "leave it out; [colouring] variant spreads the inks anew"
    if any(motif.often != 1 for motif in pattern.motifs):
        yield "[pattern] often", "leave it out, and name the motif more than once"
    if pattern.drop is not None and pattern.repeat == "straight":
        yield '[pattern] drop with repeat = "straight"', "leave it out, or choose half-drop or brick"
    for key in ("gap", "coverage"):
        if pattern.tile and getattr(pattern, key) != getattr(usual, key):
            yield f"[pattern] {key} beside tile", "leave one of the two out"


def _asked(design: Design) -> Iterator[tuple[str, str]]:
    pattern, drawing = design.pattern, design.drawing
    if design.sheet.grain:
        yield "[sheet] grain", "leave it out"
    if design.palette.box:
        yield "[palette] box", "give each ink its colour instead"
    if pattern:
        yield from _of_pattern(pattern)
    if drawing and drawing.groups:
        yield "[drawing] groups", "leave it out; give parts of one ink a common data-group or fill instead"
    if design.shading.style not in {"none", "rim"}:
        yield f'[shading] style = "{design.shading.style}"', 'write "rim" (all round) or "none"'
    if design.border.style == "motifs":
        yield '[border] style = "motifs"', 'write "plain", "double" or "none"'
