"""`jetwright compare`: two tasks of a job file side by side."""

import datetime
import sys

import click

from jetwright.cli.options import json_option, pair_options, shape_of_page
from jetwright.cli.output import Progress, refusals, write
from jetwright.report.wording import _


@click.command(
    name="compare",
    help=_(
        "Set two tasks of JOB side by side: what each asks, uses and costs, and what B has more than A. A and B are a "
        "task's name or its number, from 1."
    ),
    epilog=_(
        "Example: jetwright compare job.toml 2 3\n\n"
        "Exit code 0: neither is refused; 3: one is not allowed; 2: the file cannot be read or is not physical, or "
        "there is no such task."
    ),
)
@pair_options
@json_option
def command(job: str, one: str, other: str, as_json: bool, units: str, day: datetime.date | None) -> None:
    """Compare two tasks of a job file and print them. [-]"""
    from jetwright.actions.compare import compare

    with refusals(), Progress() as progress:
        told, read = compare(job, one, other, progress=progress, day=day)
    if as_json:
        from jetwright.report.compare_json import compare_json

        write(compare_json(told) + "\n")
    else:
        from jetwright.report.compare_table import compare_table

        width, colour = shape_of_page()
        write(compare_table(told, read.job, system=units, width=width, colour=colour))
    sys.exit(3 if any(task.verdict == "not_allowed" for task in told.plan.tasks) else 0)
