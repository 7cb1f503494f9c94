"""The command line: one module a command, each of which parses, calls one action and prints.

Exit codes: 0 every task may be set up, 3 a task is not allowed, 2 a file or an option that cannot be read or is not
physical, 1 `fmt --check` found a difference or `backup` a photo without a file, 130 broken off at the keyboard.
"""

import sys
from typing import NoReturn

import click

from jetwright.cli.group import COMMANDS, LazyGroup
from jetwright.cli.output import say_safely
from jetwright.report.wording import _

__all__ = ["command", "main"]

command = LazyGroup(
    name="jetwright",
    commands_of=COMMANDS,
    help=_(
        "Plan a high-pressure water-jetting rig: what to set, what the gauge must show, what it asks of every part."
    ),
    epilog=_("Example: jetwright plan examples/shift/job.toml"),
    params=[
        click.Option(
            ["--version"],
            is_flag=True,
            expose_value=False,
            is_eager=True,
            callback=lambda ctx, param, value: _show_version(ctx, value),
            help=_("Show the version and leave."),
        )
    ],
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)


def _show_version(ctx: click.Context, asked: bool) -> None:
    if asked and not ctx.resilient_parsing:
        from jetwright import __version__

        click.echo(f"jetwright {__version__}")
        ctx.exit(0)


def main(args: list[str] | None = None) -> NoReturn:
    """Run the command line and leave with its exit code. [-]

    Parameters
    ----------
    args : list of str or None
        What was typed behind `jetwright`; None: what the process was started with. [-]

    Raises
    ------
    SystemExit
        Always, with the exit code.

    Examples
    --------
    >>> main(["--version"])
    Traceback (most recent call last):
        ...
    SystemExit: 0

    References
    ----------
    Our own convention; exit code 130 for SIGINT is common practice of shells.
    """
    say_safely()
    stdout = sys.stdout
    try:
        code = command.main(args=args, prog_name="jetwright", standalone_mode=False)
    except click.ClickException as error:
        error.show()
        code = error.exit_code
    except (click.Abort, KeyboardInterrupt):
        code = 130
    except SystemExit:
        if sys.stdout is stdout:
            raise
        code = 0  # click found the pipe broken and put a muted stream in its place: who reads its help has seen enough
    sys.exit(code if isinstance(code, int) else 0)
