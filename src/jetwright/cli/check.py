"""`jetwright check`: a job file in, its limits out, the worst first."""

import datetime
import sys

import click

from jetwright.cli.options import job_options, json_option, shape_of_page
from jetwright.cli.output import Progress, refusals, write
from jetwright.report.wording import _


@click.command(
    name="check",
    help=_("Hold each task of JOB to every limit, and say what to do about those it does not keep."),
    epilog=_(
        "Example: jetwright check job.toml --date 2026-05-12\n\n"
        "Exit code 0: no task is refused; 3: a task is not allowed; 2: the file cannot be read or is not physical."
    ),
)
@job_options
@json_option
def command(job: str, as_json: bool, units: str, task: str | None, day: datetime.date | None) -> None:
    """Judge a job file and print its limits. [-]"""
    from jetwright.actions.plan import plan

    with refusals(), Progress() as progress:
        answer, read = plan(job, task=task, progress=progress, day=day)
    if as_json:
        from jetwright.report.plan_json import limits_json

        write(limits_json(answer) + "\n")
    else:
        from jetwright.report.plan_table import check_table

        width, colour = shape_of_page()
        write(check_table(answer, read.job, system=units, width=width, colour=colour))
    sys.exit(3 if any(t.verdict == "not_allowed" for t in answer.tasks) else 0)
