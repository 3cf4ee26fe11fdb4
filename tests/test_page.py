"""The client's page: sound HTML that asks for nothing from outside, every text shown as text, legible, with cautions."""

import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, Final

import pytest
from conftest import Ran
from PIL import Image

from mockup.colour.contrast import contrast
from mockup.colour.conversion import read_colour
from mockup.resources import data
from mockup.sheets.caption import KeyEntry
from mockup.sheets.cautions import FOR_A_CLIENT, LIGHT, PAPER, SCREEN
from mockup.sheets.page import Page, PageColourway, in_words, page_file

VOID: Final = {"meta", "img", "rect", "link", "br"}
NASTY: Final = '<script>alert("x")</script> & {{ 7*7 }} \' "'


class Reader(HTMLParser):
    """Reads a page: elements in order, whether every one is closed, and the text outside style."""

    def __init__(self) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len(attrs) == len(dict(attrs)), f"{tag} says something twice"
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.text += data


def _read(content: bytes) -> Reader:
    reader = Reader()
    reader.feed(content.decode())
    reader.close()
    assert reader.open == []
    return reader


def _page(words: str, letters: str = "AB") -> Page:
    key = (KeyEntry("A", words, "dominant", 0.4, "#b9522b"), KeyEntry("B", "oat", "light", 0.6, "#f1e4c8"))
    ways = tuple(
        PageColourway(letter, words, f"{letter}.png", 700, 800, words, words, key, (("ground", words),))
        for letter in letters
    )
    return Page(words, (("design", words),), ways, FOR_A_CLIENT, "mockup-made-for:x;")


@pytest.fixture
def demo(whole_demo: Ran) -> Path:
    return whole_demo.folder


@pytest.fixture
def page(demo: Path) -> Reader:
    return _read((demo / "index.html").read_bytes())


def _all(page: Reader, tag: str) -> list[dict[str, Any]]:
    return [attributes for name, attributes in page.elements if name == tag]


def test_markup_in_names_is_shown_as_text() -> None:
    page = _read(page_file(_page(NASTY)))
    assert page.text.count(NASTY) == 3 + 5 * 2
    assert not _all(page, "script")
    assert all(image["alt"] == NASTY for image in _all(page, "img"))
    plain = _read(page_file(_page("plain")))
    assert [tag for tag, _ in page.elements] == [tag for tag, _ in plain.elements]


def test_every_picture_has_words_and_its_own_size(page: Reader, demo: Path) -> None:
    images = _all(page, "img")
    assert len(images) == 3
    for image in images:
        assert re.fullmatch(
            r"[\w-]+: a repeat pattern of [a-z, ]+\. \w+ leads on a ground of \w+, with .+\.", image["alt"]
        )
        with Image.open(demo / image["src"]) as picture:
            assert picture.size == (int(image["width"]), int(image["height"]))
            assert max(picture.size) <= 1600


def test_ids_are_unique_and_links_lead_to_them(page: Reader) -> None:
    ids = [attributes["id"] for _, attributes in page.elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    assert [link["href"] for link in _all(page, "a")] == ["#A", "#B", "#C"]
    assert {link["href"][1:] for link in _all(page, "a")} <= set(ids)
    assert {section["aria-labelledby"] for section in _all(page, "section")} <= set(ids)


def test_headings_are_in_order_and_there_is_one_title(page: Reader) -> None:
    assert [tag for tag, _ in page.elements if re.fullmatch(r"h\d", tag)] == ["h1", "h2", "h2", "h2"]
    assert [tag for tag, _ in page.elements].count("title") == 1
    assert _all(page, "html") == [{"lang": "en"}]
    assert [tag for tag, _ in page.elements].count("main") == 1


def test_nothing_is_asked_for_from_outside(page: Reader, demo: Path) -> None:
    text = (demo / "index.html").read_text(encoding="utf-8")
    assert not re.search(r"https?:|//[a-z]|@import|url\(", text)
    assert not {"script", "iframe", "link", "object", "embed", "form"} & {tag for tag, _ in page.elements}
    assert not [name for _, attributes in page.elements for name in attributes if name.startswith("on")]
    assert all((demo / image["src"]).is_file() for image in _all(page, "img"))
    policy = next(
        meta["content"] for meta in _all(page, "meta") if meta.get("http-equiv") == "Content-Security-Policy"
    )
    assert policy == "default-src 'none'; img-src 'self' data:; style-src 'unsafe-inline'"


def test_the_cautions_stand_at_its_foot(page: Reader) -> None:
    for line in (SCREEN, PAPER, LIGHT):
        assert page.text.count(line) == 1
    assert "approve the ink sample" in SCREEN
    assert "unknown until" in LIGHT


def test_it_carries_the_mark_of_the_demo(demo: Path) -> None:
    assert b"mockup-made-for:larder;" in (demo / "index.html").read_bytes()


def _colours() -> dict[str, str]:
    css = (data("gallery") / "page.css").read_text(encoding="utf-8")
    return dict(re.findall(r"--([a-z]+): (#[0-9a-f]{6});", css))


@pytest.mark.parametrize("text", ["ink", "soft", "#4b5057"])
@pytest.mark.parametrize("behind", ["paper", "backdrop", "#ffffff"])
def test_text_stands_out_from_what_is_behind_it(text: str, behind: str) -> None:
    colours = _colours()
    ratio = contrast(read_colour(colours.get(text, text)), read_colour(colours.get(behind, behind))).ratio
    assert ratio >= 4.5


def test_every_colour_of_text_in_the_style_is_tested_here() -> None:
    css = (data("gallery") / "page.css").read_text(encoding="utf-8")
    assert set(re.findall(r"[{; ]color: ([^;}]+)", css)) == {
        "var(--ink)",
        "var(--soft)",
        "#4b5057",
        "inherit",
    }


def test_words_for_who_cannot_see_it() -> None:
    key = (
        KeyEntry("A", "oat", "light", 0.2, "#f1e4c8"),
        KeyEntry("B", "clay", "dominant", 0.5, "#b9522b"),
        KeyEntry("C", "night", "dark", 0.3, "#25313f"),
    )
    told = in_words("Dusk", key, "oat", ["pear", "fig", "pear"])
    assert told == "Dusk: a repeat pattern of pear, fig. clay leads on a ground of oat, with night (dark)."
    assert (
        in_words("Dusk", key[1:2], "paper", ["pear"])
        == "Dusk: a repeat pattern of pear. clay leads on a ground of paper."
    )


def test_skin_stands_in_the_key_without_a_share() -> None:
    page = _page("clay")
    skin = KeyEntry("C", "honey", "skin", 0.0, "#e9bf98", "skin")
    way = replace(page.colourways[0], key=(*page.colourways[0].key, skin))
    text = _read(page_file(replace(page, colourways=(way,)))).text
    assert "honey skin" in text
    assert text.count(" %") == len(way.key) - 1
    assert in_words("A", way.key, "oat", ["gardener"]).endswith("with honey (skin).")
