"""The client's page: one static HTML file from the template in ``gallery``; the only home of jinja2."""

from collections.abc import Sequence
from dataclasses import dataclass

import jinja2
from markupsafe import Markup

from mockup.resources import data
from mockup.sheets.caption import KeyEntry


@dataclass(frozen=True, slots=True)
class PageColourway:
    """One colourway: letter, name, picture file with its pixels, what it shows, its words for who cannot see it."""

    letter: str
    name: str
    picture: str
    width: int
    height: int
    shows: str
    words: str
    key: tuple[KeyEntry, ...]
    facts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Page:
    """The whole page: title, facts under it, colourways, cautions at its foot, and the mark."""

    title: str
    facts: tuple[tuple[str, str], ...]
    colourways: tuple[PageColourway, ...]
    cautions: tuple[str, ...]
    made_for: str


def page_file(page: Page) -> bytes:
    """Write the page as HTML in UTF-8; every text is shown as text, markup in it included."""
    folder = data("gallery")
    environment = jinja2.Environment(
        autoescape=True, undefined=jinja2.StrictUndefined, keep_trailing_newline=True
    )
    template = environment.from_string((folder / "page.html").read_text(encoding="utf-8"))
    style = Markup((folder / "page.css").read_text(encoding="utf-8"))  # noqa: S704  our own file
    return template.render(page=page, style=style).encode()


def in_words(name: str, key: Sequence[KeyEntry], ground: str, shows: Sequence[str]) -> str:
    """Describe a colourway for who cannot see it: what is drawn, what leads, the ground, the rest."""
    lead = next((ink.name for ink in key if ink.role == "dominant"), key[0].name)
    rest = [f"{ink.name} ({ink.role})" for ink in key if ink.name not in {lead, ground}]
    drawn = f"a repeat pattern of {', '.join(dict.fromkeys(shows))}"
    beside = f", with {', '.join(rest)}" if rest else ""
    return f"{name}: {drawn}. {lead} leads on a ground of {ground}{beside}."
