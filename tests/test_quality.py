"""Habits that a reader counts on: short modules and functions, docstrings, quick help, British spelling."""

import ast
import re
import subprocess
import sys
import warnings
from collections.abc import Iterator
from pathlib import Path

import pytest

from mockup.cli.main import COMMANDS

ROOT = Path(__file__).resolve().parent.parent
MODULES = sorted((ROOT / "mockup").rglob("*.py"))

LONGEST_MODULE = 400
LONGEST_FUNCTION = 60
LONG_FUNCTION = 40

HEAVY = ("numpy", "scipy", "shapely", "networkx", "cairocffi", "coloraide", "jinja2", "svg.path")

AMERICAN = re.compile(
    r"(?<![a-z])(?:"
    r"(?:dis|re|multi|un)?colou?r(?=_|\b|ed|ing|s|way|ful|less)"
    r"|cent(?:er|re)|gr[ae]y|neighb(?:or|our)|behavi(?:or|our)|fav(?:or|our)|labe(?:l|ll)(?:ed|ing)"
    r"|mode(?:l|ll)(?:ed|ing)|trave(?:l|ll)(?:ed|ing)|cance(?:l|ll)(?:ed|ing)"
    r"|(?:minim|maxim|optim|normal|real|recogn|organ|summar|random|initial|general|visual|raster|special|emphas)i[sz]"
    r"|analy[sz]|cata?log(?:ue)?|defen[sc]e|millimet(?:er|re)|met(?:er|re)s?\b|fib(?:er|re)|jewel(?:ry|lery)|alumin"
    r")",
)
