"""Reading ``[colouring]``, ``[line]`` and ``[shading]``: how it is inked."""

from typing import Literal

from mockup.design import keys
from mockup.design.forms import place
from mockup.design.layout import VARIANT
from mockup.design.mistakes import nearest
from mockup.design.records import Colouring, Line, Shading
from mockup.design.table import Written
from mockup.design.values import flag, length, listing, mapping, number, pair, text, whole, word, wrong

_NAME = text(60)
_PART = text(100)
_TILES = pair(whole(1, 24), "tiles [across, down]")


def colouring(written: Written) -> Colouring:
    """Read how the inks are spread."""
    usual = Colouring()
    some_inks = listing(_NAME, 12, "inks", least=1)
    return Colouring(
        ground=written.get("ground", _NAME, usual.ground),
        balance=written.get("balance", word(("even", "led", "own")), usual.balance),
        colour_repeat=written.get("colour_repeat", _colour_repeat, usual.colour_repeat),
        copies=written.get("copies", word(("free", "alike")), usual.copies),
        symmetry=written.get("symmetry", flag, usual.symmetry),
        only=written.get("only", mapping(_PART, some_inks, "parts"), usual.only),
        fixed=written.get("fixed", mapping(place, _NAME, "places"), usual.fixed),
        start=written.get("start", word(("centre", *keys.CORNERS)), usual.start),
        plan=written.get("plan", text(500), usual.plan),
        variant=written.get("variant", VARIANT, usual.variant),
        reach=written.get("reach", length(0.1, 2000), usual.reach),
    )


def _colour_repeat(value: object) -> Literal["smallest", "none"] | tuple[int, int]:
    """Read one of two words, or tiles across and down."""
    if isinstance(value, list):
        return _TILES(value)
    tidy = value.strip() if isinstance(value, str) else value
    if tidy == "smallest":
        return "smallest"
    if tidy == "none":
        return "none"
    near = nearest(tidy, ("smallest", "none")) if isinstance(tidy, str) else "none" if tidy is False else None
    remedy = f'write {{key}} = "{near}"' if near else 'write {key} = "smallest", "none" or [2, 2]'
    raise wrong("smallest, none or [across, down]", value, remedy)


def line(written: Written) -> Line:
    """Read the line work."""
    usual = Line()
    if written.values.get("ink") is False:
        raise written.wrong("expected an ink, not false", 'write ink = "none"', "ink")
    return Line(
        ink=written.get("ink", text(100), usual.ink),
        outline=written.get("outline", flag, usual.outline),
        width=written.get("width", length(0.02, 20), usual.width),
    )


def shading(written: Written) -> Shading:
    """Read the shading."""
    usual = Shading()
    return Shading(
        style=written.get("style", word(keys.SHADINGS), usual.style),
        width=written.get("width", length(0.1, 100), usual.width),
        coats=written.get("coats", whole(1, 4), usual.coats),
        pen=written.get("pen", word(("same", "darker")), usual.pen),
        light=written.get("light", number(-360, 360), usual.light) % 360,
        when=written.get("when", word(("last", "as-you-go")), usual.when),
        only=written.get("only", listing(_PART, 100, "parts"), usual.only),
    )
