"""The command ``check``."""

import json
from pathlib import Path

import click

from mockup.cli.shared import PATH, design_argument, force_option, progress, written


@click.command("check")
@design_argument
@click.option("--plan", type=PATH, metavar="FILE", help="Measure the colouring of a plan file instead.")
@click.option(
    "--accept", is_flag=True, help="Carry out the exchanges that help, and write them as `fixed` into DESIGN."
)
@click.option(
    "--squint", type=PATH, metavar="FILE", help="Draw where each ink lies, blurred, as PNG, SVG or PDF."
)
@click.option("--json", "as_json", is_flag=True, help="Print the figures as data.")
@force_option
def command(
    design: Path, plan: Path | None, accept: bool, squint: Path | None, as_json: bool, force: bool
) -> None:
    """Tell how evenly the inks of DESIGN lie: contact, shares, evenness, the worst places, contrast.

    Where one or two exchanges of ink would lighten the heaviest places, they are told too. What is found is advice:
    the exit code is 0 all the same.
    """
    from mockup.jobs.accept import accept as carry_out
    from mockup.jobs.accept import accepted_as_data, accepted_in_words
    from mockup.jobs.check import as_data, check_design, in_plain_words
    from mockup.jobs.squint import check_target, write_squint

    if accept and plan:
        raise click.UsageError(
            '--accept changes the design\'s own plan: write plan = "..." in [colouring] first'
        )
    if squint:
        check_target(design, squint, force=force)
    with progress() as tell:
        done = carry_out(design, force=force, tell=tell) if accept else None
        report = done.report if done else check_design(design, plan, tell)
        after = done.after if done else report
        paths = [
            *(done.written if done else ()),
            *([write_squint(after, squint, force=force)] if squint else []),
        ]
    if as_json:
        more = {**(accepted_as_data(done) if done else {}), **({"squint": str(squint)} if squint else {})}
        click.echo(json.dumps({**as_data(report), **more}, indent=1, ensure_ascii=False))
        return
    click.echo("\n".join([*in_plain_words(report), *(accepted_in_words(done) if done else [])]))
    written(paths)
