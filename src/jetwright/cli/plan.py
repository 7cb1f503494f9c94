"""`jetwright plan`: a job file in, what to set and what it asks of the rig out."""

import datetime
import sys

import click

from jetwright.cli.options import job_options, json_option, shape_of_page
from jetwright.cli.output import Progress, refusals, write
from jetwright.report.wording import _


@click.command(
    name="plan",
    help=_("Work out what to set for each task of JOB, what the gauge must show, and what it asks of the rig."),
    epilog=_(
        'Example: jetwright plan job.toml --units us --task "Pipe end by gun"\n\n'
        "Exit code 0: no task is refused; 3: a task is not allowed; 2: the file cannot be read or is not physical."
    ),
)
@job_options
@json_option
@click.option("--short", is_flag=True, help=_("Only what to set, what to see, and what is not within limits."))
def command(job: str, as_json: bool, units: str, task: str | None, day: datetime.date | None, short: bool) -> None:
    """Plan a job file and print the answer. [-]"""
    from jetwright.actions.plan import plan

    with refusals(), Progress() as progress:
        answer, read = plan(job, task=task, progress=progress, day=day)
    if as_json:
        from jetwright.report.plan_json import plan_json

        write(plan_json(answer) + "\n")
    else:
        from jetwright.report.plan_table import plan_table

        width, colour = shape_of_page()
        write(plan_table(answer, read.job, system=units, width=width, colour=colour, short=short))
    sys.exit(3 if any(t.verdict == "not_allowed" for t in answer.tasks) else 0)
