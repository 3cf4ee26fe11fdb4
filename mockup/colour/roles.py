"""Roles for the inks she gave none: worked out from the colours.

Common practice, no source: one ink leads, one is clearly darker than the rest, even among pastels, one
is light or neutral and sits well with all others; bare paper counts as a light. What she gave is kept.
The first roles missing are filled in the order dominant, dark, light, as far as there are inks: one ink
alone leads, two are a dominant and a dark, three have all; whatever is left is an accent.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from mockup.colour.ink import Ink
from mockup.colour.palette import Palette

_Pick = Callable[[list[tuple[int, Ink]], Palette], tuple[int, str]]

# Our weights: what one unit of CIELAB chroma costs a light, and one L* away from the middle a dominant.
_CHROMA_OF_LIGHT: Final = 0.5
_AWAY_FROM_MIDDLE: Final = 1.0
GIVEN: Final = "as you gave it"
_CLEARLY: Final = 10.0  # L* by which a dark is clearly darker
_PALE: Final = 70.0  # L* from which an ink is light


def with_roles(palette: Palette) -> Palette:
    """Give a palette in which every ink has a role; those she gave are kept."""
    inks = tuple(
        replace(ink, role=role) for ink, (role, _) in zip(palette.inks, _choices(palette), strict=True)
    )
    return replace(palette, inks=inks)


def account(palette: Palette) -> tuple[str, ...]:
    """Say of each ink, in a plain line, which role it has and why.

    Give the palette as she wrote it: after ``with_roles`` every role counts as hers.
    """
    return tuple(
        f"{ink.name}: {role}, {reason}"
        for ink, (role, reason) in zip(palette.inks, _choices(palette), strict=True)
    )


def _choices(palette: Palette) -> list[tuple[str, str]]:
    """Role and reason of every ink, by position."""
    settled = {i: (ink.role, GIVEN) for i, ink in enumerate(palette.inks) if ink.role}
    missing = [role for role in ("dominant", "dark", "light") if not _given(palette, role)]
    free = [i for i in range(len(palette.inks)) if i not in settled]
    for i in [i for i in free if palette.inks[i].paper]:
        free.remove(i)
        settled[i] = ("accent", "bare paper beside the light you gave")
        if "light" in missing:
            missing.remove("light")
            settled[i] = ("light", "bare paper counts as a light")
    wanted = missing[: len(free)]
    for role, pick in _PICKS:
        if role in wanted:
            chosen, reason = pick([(i, palette.inks[i]) for i in free], palette)
            free.remove(chosen)
            settled[chosen] = (role, reason)
    for i in free:
        settled[i] = ("accent", "to set off the others")
    return [settled[i] for i in range(len(palette.inks))]


def _given(palette: Palette, role: str) -> bool:
    return any(ink.role == role for ink in palette.inks)


def _darkest(free: list[tuple[int, Ink]], palette: Palette) -> tuple[int, str]:
    """Lowest L*; of equals the more neutral, then the first."""
    chosen, ink = min(free, key=lambda at: (at[1].colour.lightness, at[1].colour.chroma, at[0]))
    margin = min(other.colour.lightness for other in palette.inks if other is not ink) - ink.colour.lightness
    if margin >= _CLEARLY:
        return chosen, f"the darkest by {margin:.0f} L*"
    if margin >= 0:
        return chosen, f"the darkest, though only by {margin:.0f} L*; a dark is best clearly darker"
    return chosen, f"the darkest of the inks without a role (L* {ink.colour.lightness:.0f})"


def _lightest(free: list[tuple[int, Ink]], _: Palette) -> tuple[int, str]:
    """Highest L*, less for chroma; of equals the first."""
    chosen, ink = max(
        free, key=lambda at: (at[1].colour.lightness - _CHROMA_OF_LIGHT * at[1].colour.chroma, -at[0])
    )
    figures = f"L* {ink.colour.lightness:.0f}, chroma {ink.colour.chroma:.0f}"
    if ink.colour.lightness < _PALE:
        return chosen, f"the nearest to a light there is ({figures}); bare paper can be a light too"
    return chosen, f"the lightest and most neutral ({figures})"


def _strongest(free: list[tuple[int, Ink]], _: Palette) -> tuple[int, str]:
    """Highest chroma, less for L* away from the middle; of equals the first."""
    chosen, ink = max(
        free,
        key=lambda at: (at[1].colour.chroma - _AWAY_FROM_MIDDLE * abs(at[1].colour.lightness - 50.0), -at[0]),
    )
    figures = f"chroma {ink.colour.chroma:.0f}, L* {ink.colour.lightness:.0f}"
    return chosen, f"the strongest of the rest ({figures})" if len(
        free
    ) > 1 else f"what is left to lead ({figures})"


_PICKS: Final[tuple[tuple[str, _Pick], ...]] = (
    ("dark", _darkest),
    ("light", _lightest),
    ("dominant", _strongest),
)
