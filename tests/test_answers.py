"""What she answers, read as she writes it: inks, sizes, paper, title."""

from pathlib import Path

import pytest

from mockup.errors import DesignError, MockupError
from mockup.jobs.answers import read_ink, read_inks, read_paper, read_size
from mockup.jobs.new import title_of


@pytest.mark.parametrize(
    ("text", "name", "colour"),
    [
        ("clay #b5532a", "clay", "#b5532a"),
        ("clay=#b5532a", "clay", "#b5532a"),
        (" clay  =  #b5532a ", "clay", "#b5532a"),
        ("#b5532a clay", "clay", "#b5532a"),
        ("sea green #2e8b57", "sea green", "#2e8b57"),
        ("sea green = #2e8b57", "sea green", "#2e8b57"),
        ("sky lab(60 20 -30)", "sky", "lab(60 20 -30)"),
        ("deep sky = lab(60 20 -30)", "deep sky", "lab(60 20 -30)"),
        ("#b5532a", "ink-3", "#b5532a"),
        ("lab(50 20 30)", "ink-3", "lab(50 20 30)"),
        ("tomato", "tomato", "tomato"),
        ("bare paper", "bare", "paper"),
        ("paper", "paper", "paper"),
    ],
)
def test_ways_to_write_an_ink(text: str, name: str, colour: str) -> None:
    assert read_ink(text, 3) == (name, colour)


@pytest.mark.parametrize(
    "text", ["", " ", "=", "clay", "clay=", "=#b5532a", "clay #b5532", "clay rgb(1 2", "a=b=#b5532a"]
)
def test_what_is_no_ink(text: str) -> None:
    with pytest.raises(
        DesignError, match=r"ink 2, .*, has no colour that can be read; write it as: clay #b5532a"
    ):
        read_inks(["moss green", text])


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("A4", ("A4", None)),
        (" letter ", ("letter", None)),
        ("a3 Landscape", (None, (420.0, 297.0))),
        ("landscape A4", (None, (297.0, 210.0))),
        ("A5 portrait", ("A5", None)),
        ("180x240", (None, (180.0, 240.0))),
        ("180 × 240 mm", (None, (180.0, 240.0))),
        ("7x10in", (None, (177.8, 254.0))),
        ("7in x 10in", (None, (177.8, 254.0))),
        ("18.5cm x 240mm", (None, (185.0, 240.0))),
    ],
)
def test_ways_to_write_a_size(text: str, size: tuple[str | None, tuple[float, float] | None]) -> None:
    assert read_size(text) == size


@pytest.mark.parametrize(
    "text", ["", "x", "A4x", "7,5x10", "1.2.3x40", "9x9", "5000x10", "10x10furlongs", "A4 A5"]
)
def test_what_is_no_size(text: str) -> None:
    with pytest.raises(DesignError):
        read_size(text)


def test_paper_and_title() -> None:
    assert read_paper(" white ") == "white"
    with pytest.raises(MockupError, match="paper: 'x' is not a colour"):
        read_paper("x")
    assert title_of(Path("sea_side-2.toml")) == "Sea side 2"
    assert title_of(Path("-.toml")) == "Untitled"
