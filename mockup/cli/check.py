"""The command ``check``."""

import json
from pathlib import Path

import click

from mockup.cli.shared import design_argument, progress


@click.command("check")
@design_argument
@click.option("--json", "as_json", is_flag=True, help="Print the figures as data.")
def command(design: Path, as_json: bool) -> None:
    """Tell how evenly the inks of DESIGN lie: contact, shares, evenness, the worst places, contrast.

    What it finds is advice: the exit code is 0 all the same.
    """
    from mockup.jobs.check import as_data, check_design, in_plain_words

    with progress() as tell:
        report = check_design(design, tell)
    if as_json:
        click.echo(json.dumps(as_data(report), indent=1, ensure_ascii=False))
    else:
        click.echo("\n".join(in_plain_words(report)))
