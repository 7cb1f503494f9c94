"""`jetwright plan`: a job file in, what to set and what it asks of the rig out."""

import os
import shutil
import sys

import click

from jetwright.cli.output import Progress, refusals, write
from jetwright.report.wording import _

WIDEST = 100
NARROWEST = 60


@click.command(
    name="plan",
    help=_("Work out what to set for each task of JOB, what the gauge must show, and what it asks of the rig."),
    epilog=_(
        'Example: jetwright plan job.toml --units us --task "Pipe end by gun"\n\n'
        "Exit code 0: no task is refused; 3: a task is not allowed; 2: the file cannot be read or is not physical."
    ),
)
@click.argument("job", metavar="JOB", type=click.Path())
@click.option("--json", "as_json", is_flag=True, help=_("Print JSON (always in bar, L/min, mm) instead of the table."))
@click.option(
    "--units",
    type=click.Choice(["si", "us"]),
    default="si",
    show_default=True,
    help=_("Units of the table: bar, L/min, m, N or psi, gpm, ft, lbf."),
)
@click.option("--task", metavar="NAME", help=_("Plan only the task of this name."))
def command(job: str, as_json: bool, units: str, task: str | None) -> None:
    """Plan a job file and print the answer. [-]"""
    from jetwright.actions.plan import plan

    with refusals(), Progress() as progress:
        answer, read = plan(job, task=task, progress=progress)
    if as_json:
        from jetwright.report.plan_json import plan_json

        write(plan_json(answer) + "\n")
    else:
        from jetwright.report.plan_table import plan_table

        terminal = sys.stdout.isatty()
        width = max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns)) if terminal else WIDEST
        colour = terminal and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
        write(plan_table(answer, read.job, system=units, width=width, colour=colour))
    sys.exit(3 if any(t.verdict == "not_allowed" for t in answer.tasks) else 0)
