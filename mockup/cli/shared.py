"""What several commands have in common: arguments, the progress bar, saying what was written."""

import math
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

import click

from mockup.jobs.progress import Tell, quiet


class Number(click.FloatRange):
    """A finite number within limits, called a number in messages."""

    name = "number"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Read it; "nan" is none."""
        number = super().convert(value, param, ctx)
        if math.isnan(number):
            self.fail(f"{value!r} is not a valid number", param, ctx)
        return number


_Command = TypeVar("_Command", bound=Callable[..., Any])

PATH = click.Path(path_type=Path)

design_argument = click.argument("design", type=PATH)
force_option = click.option("--force", is_flag=True, help="Replace files that mockup did not write.")
way_option = click.option(
    "--colourway",
    "way",
    metavar="CODE",
    help="In the inks of one of the design's colourways: A is the design.",
)


def dpi_option(usual: int, most: int = 2400, of: str = "a PNG") -> Callable[[_Command], _Command]:
    """Make the option --dpi; ``of`` says of what."""
    told = f"Pixels an inch of {of} (default: {usual})."
    return click.option("--dpi", metavar="N", type=Number(10, most), default=float(usual), help=told)


open_option = click.option("--open", "show", is_flag=True, help="Show the result.")


def output_option(default: str) -> Callable[[_Command], _Command]:
    """Make the option -o; ``default`` says where output goes without it."""
    told = f"Where to write (default: {default})."
    return click.option("-o", "--output", "target", type=PATH, default=None, help=told)


@contextmanager
def progress(left: bool = False) -> Iterator[Tell]:
    """Show a bar on standard error while a job tells how far it is; nothing where that is no terminal.

    ``left`` shows the time that is left, too.
    """
    if not sys.stderr.isatty():
        yield quiet
        return
    template = "%(label)s  %(bar)s  %(info)s" if left else "%(label)s  %(bar)s"
    with click.progressbar(
        length=100,
        file=sys.stderr,
        bar_template=template,
        fill_char="=",
        empty_char=" ",
        width=24,
        show_eta=left,
        show_percent=False,
    ) as bar:

        def tell(what: str, done: float) -> None:
            bar.label = f"{what:<22}"
            bar.update(max(0, int(done * 100) - bar.pos))

        yield tell
        tell("done", 1.0)


def shown(lines: Sequence[tuple[str, str]]) -> None:
    """Print lines; where colours can be seen, a swatch stands before each that has one ("#rrggbb")."""
    depth = _depth()
    indent = any(swatch for _, swatch in lines) and depth > 0
    for text, swatch in lines:
        block = click.style("    ", bg=_terminal_colour(swatch, depth)) if swatch and depth else "    "
        click.echo(f"{block} {text}" if indent and swatch else text)


def _depth() -> int:
    """Tell what the terminal can show: 0 no colours, 1 a cube of 216, 2 every colour."""
    if not sys.stdout.isatty() or os.environ.get("NO_COLOR") or os.environ.get("TERM", "dumb") == "dumb":
        return 0
    return 2 if os.environ.get("COLORTERM", "").lower() in {"truecolor", "24bit"} else 1


def _terminal_colour(colour: str, depth: int) -> int | tuple[int, int, int]:
    """Give a colour as the terminal takes it: the nearest of the cube, or red, green and blue."""
    red, green, blue = (int(colour[start : start + 2], 16) for start in (1, 3, 5))
    if depth == 2:
        return red, green, blue
    steps = (0, 95, 135, 175, 215, 255)
    place = [min(range(6), key=lambda step: abs(steps[step] - value)) for value in (red, green, blue)]
    return 16 + 36 * place[0] + 6 * place[1] + place[2]


def written(paths: list[Path], show: bool = False) -> None:
    """Print what was written, one path a line, and show the first if asked."""
    for path in paths:
        click.echo(os.fsencode(path))
    if show and paths and click.launch(str(paths[0])) != 0:
        click.echo(f"mockup: nothing here can show {paths[0]}; open it by hand", err=True)
