"""The command ``plan``."""

from pathlib import Path

import click

from mockup.cli.shared import design_argument, force_option, output_option, progress, written


@click.command("plan")
@design_argument
@output_option("a .geojson beside the design")
@force_option
def command(design: Path, target: Path | None, force: bool) -> None:
    """Write the plan of DESIGN: every visible region in mm with the ink it takes, as GeoJSON."""
    from mockup.jobs.plan import write_plan

    with progress() as tell:
        path = write_plan(design, target, force=force, tell=tell)
    written([path])
