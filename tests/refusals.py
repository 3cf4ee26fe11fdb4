"""A least design, and the one line with which a design file is refused."""

import pytest

from mockup.design.reading import parse_design
from mockup.errors import DesignError

INK = '[[palette.ink]]\nname = "clay"\ncolour = "#b5532a"\n'
MOTIFS = '[pattern]\nmotifs = ["pear", "fig", "dot"]\n'
LEAST = INK + MOTIFS


def refused(text: str) -> str:
    with pytest.raises(DesignError) as caught:
        parse_design(text, where="rose.toml")
    return str(caught.value)
