"""The ``mockup`` command: names its commands at once and loads only the one that is called.

Every error that a user can cause ends as one plain line on standard error: exit code 1 where something was refused,
2 where the command line itself was wrong.
"""

import difflib
import importlib
import os
import sys
from collections.abc import Sequence

import click

from mockup import __version__
from mockup.errors import MockupError

COMMANDS: dict[str, tuple[str, str]] = {
    "new": ("mockup.cli.new", "Begin a design: asks for pattern, sheet, ground, inks and size."),
    "motifs": ("mockup.cli.motifs", "List the motif library, or print it as a sheet."),
    "inks": ("mockup.cli.inks", "Look into your ink box: twins, gaps, what no screen shows."),
    "palette": (
        "mockup.cli.palette",
        "Check a palette, build one, or match it to your inks.",
    ),
    "repeats": ("mockup.cli.repeats", "Show every repeat and border of motifs as pictures."),
    "scan": ("mockup.cli.scan", "Turn a scanned line drawing into regions and lines (SVG)."),
    "preview": ("mockup.cli.preview", "Draw a design at true size: PNG, SVG or PDF."),
    "views": ("mockup.cli.views", "Show a design from afar, turned, in grey, to other eyes."),
    "stages": ("mockup.cli.stages", "Show a piece a quarter, half and wholly inked."),
    "colourways": ("mockup.cli.colourways", "Show the same plan in other inks, side by side, and keep some."),
    "check": ("mockup.cli.check", "Tell how evenly the inks of a design lie."),
    "plan": ("mockup.cli.plan", "Write which shape takes which ink, as data (GeoJSON)."),
    "demo": ("mockup.cli.demo", "Make a preview, three colourways and a client page to look at."),
}
"""Module and one-line help of each command, in the order of her work."""

_HELP = {"help_option_names": ["-h", "--help"], "max_content_width": 100}


class LateGroup(click.Group):
    """A group that imports a command's module when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the commands, in the order of her work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import a command; None for an unknown name."""
        if cmd_name not in COMMANDS:
            return None
        command = importlib.import_module(COMMANDS[cmd_name][0]).command
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command that is called; an unknown one is refused, and the nearest told."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            near = difflib.get_close_matches(args[0].lower(), COMMANDS, n=1, cutoff=0.5)
            told = f"did you mean {near[0]!r}?" if near else f"there are {', '.join(COMMANDS)}"
            ctx.fail(f"no command {args[0]!r}; {told}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])


@click.group(cls=LateGroup, context_settings=_HELP)
@click.version_option(__version__, message="mockup %(version)s")
def mockup() -> None:
    """See a short palette of inks on a repeat pattern, evenly spread and at true size, before any ink is used.

    Start with `mockup demo -o demo`, or with `mockup new`. `mockup COMMAND -h` explains each command.
    """


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code."""
    sys.exit(run(arguments))


def run(arguments: Sequence[str] | None = None) -> int:  # noqa: PLR0911  one way out for each kind of end
    """Run the command line.

    Returns
    -------
    int
        0 done, 1 refused, 2 wrong usage, 130 stopped by the user.
    """
    try:
        words = None if arguments is None else list(arguments)
        code = mockup.main(args=words, prog_name="mockup", standalone_mode=False)
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message(), err=True)
        return 2
    except click.UsageError as error:
        where = error.ctx.command_path if error.ctx else "mockup"
        return _told(f"{where}: {_one_line(error.format_message())} ({where} -h explains)", 2)
    except click.ClickException as error:
        return _told(f"mockup: {_one_line(error.format_message())}", 1)
    except MockupError as error:
        return _told(f"mockup: {error}", 1)
    except (click.Abort, KeyboardInterrupt):
        return _told("mockup: stopped; what was written stays", 130)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except UnicodeEncodeError:
        return _told("mockup: a file's name holds signs that this system cannot write; rename the file", 1)
    except MemoryError:
        return _told("mockup: not enough memory; ask for a smaller sheet or a lower --dpi", 1)
    except Exception as error:  # her screen never shows a traceback
        if os.environ.get("MOCKUP_TRACEBACK"):
            raise
        fault = f"{type(error).__name__}: {_one_line(str(error))}"
        return _told(
            f"mockup: a fault of the program, not yours ({fault}); please report it with the file", 1
        )
    return code if isinstance(code, int) else 0


def _told(line: str, code: int) -> int:
    click.echo(line, err=True)
    return code


def _one_line(text: str) -> str:
    return " ".join(text.split()).rstrip(".")
