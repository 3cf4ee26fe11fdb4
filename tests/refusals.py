"""A least design, and the one line with which a design file is refused."""

from collections.abc import Sequence

import pytest
from hypothesis import strategies as st

from mockup.design.reading import parse_design
from mockup.errors import DesignError

INK = '[[palette.ink]]\nname = "clay"\ncolour = "#b5532a"\n'
MOTIFS = '[pattern]\nmotifs = ["pear", "fig", "dot"]\n'
LEAST = INK + MOTIFS


def refused(text: str) -> str:
    with pytest.raises(DesignError) as caught:
        parse_design(text, where="rose.toml")
    return str(caught.value)


BITS = (
    ",",
    ";",
    "\t",
    '"',
    "\n",
    "\r",
    "\x00",
    "#",
    "name",
    "1e999",
    "-",
    "inf",
    "é",
    "=",
    "'",
    "\\",
    "{",
    "[",
    "\ufeff",
    "\u2028",
)
"""What goes wrong in any file of text."""


@st.composite
def spoilt(draw: st.DrawFn, good: Sequence[str], bits: Sequence[str]) -> str:
    """Draw one of some good files in which some things went wrong."""
    text = draw(st.sampled_from(good))
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(text)))
        cut = draw(st.sampled_from([0, 0, 1, 2, 9]))
        text = text[:at] + draw(st.sampled_from((*BITS, *bits)) | st.just("")) + text[at + cut :]
    return text
