"""What several commands have in common: arguments, the progress bar, saying what was written."""

import math
import os
import sys
from collections.abc import Callable, Iterator
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
open_option = click.option("--open", "show", is_flag=True, help="Show the result.")


def output_option(default: str) -> Callable[[_Command], _Command]:
    """Make the option -o; ``default`` says where output goes without it."""
    told = f"Where to write (default: {default})."
    return click.option("-o", "--output", "target", type=PATH, default=None, help=told)


@contextmanager
def progress() -> Iterator[Tell]:
    """Show a bar on standard error while a job tells how far it is; nothing where that is no terminal."""
    if not sys.stderr.isatty():
        yield quiet
        return
    template = "%(label)s  %(bar)s"
    with click.progressbar(
        length=100, file=sys.stderr, bar_template=template, fill_char="=", empty_char=" ", width=24
    ) as bar:

        def tell(what: str, done: float) -> None:
            bar.label = f"{what:<22}"
            bar.update(max(0, int(done * 100) - bar.pos))

        yield tell
        tell("done", 1.0)


def written(paths: list[Path], show: bool = False) -> None:
    """Print what was written, one path a line, and show the first if asked."""
    for path in paths:
        click.echo(os.fsencode(path))
    if show and paths and click.launch(str(paths[0])) != 0:
        click.echo(f"mockup: nothing here can show {paths[0]}; open it by hand", err=True)
