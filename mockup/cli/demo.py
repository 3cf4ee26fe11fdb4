"""The command ``demo``."""

from pathlib import Path

import click

from mockup.cli.shared import PATH, force_option, open_option, progress, written


@click.command("demo")
@click.option(
    "-o",
    "--output",
    "target",
    type=PATH,
    default=Path("demo"),
    show_default=True,
    help="Folder to write into.",
)
@open_option
@force_option
def command(target: Path, show: bool, force: bool) -> None:
    """Make a mock-up sheet, three colourways and a small client page of an invented kitchen linen.

    Beside them it draws a comparison with other ways to ink a pattern, and the four ways to shade one. Their
    design files are there, too: change an ink in larder.toml and draw it again with `mockup preview`.
    """
    from mockup.jobs.demo import make_demo

    with progress() as tell:
        paths = make_demo(target, force=force, tell=tell)
    written(paths, show)
