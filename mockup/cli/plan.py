"""The command ``plan``."""

from pathlib import Path

import click

from mockup.cli.shared import design_argument, force_option, output_option, progress, way_option, written


@click.command("plan")
@design_argument
@output_option("a .geojson beside the design")
@way_option
@force_option
def command(design: Path, target: Path | None, way: str | None, force: bool) -> None:
    """Write the plan of DESIGN: every visible region in mm with the ink it takes, as GeoJSON."""
    from mockup.jobs.plan import write_plan

    with progress() as tell:
        path = write_plan(design, target, way=way, force=force, tell=tell)
    written([path])
