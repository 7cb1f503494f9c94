"""`jetwright draws`: a job file in, how well its settings are known out, and what to measure to know them better."""

import datetime
import sys

import click

from jetwright.cli.options import job_options, json_option, shape_of_page
from jetwright.cli.output import Progress, refusals, write
from jetwright.report.wording import _

FEWEST, MOST = 1000, 200_000
"""Draws that can be asked for."""


@click.command(
    name="draws",
    help=_(
        "Draw what nobody measured on each task of JOB many times over: where the gauge may stand, how hard the tools "
        "may push, and what to measure to know it better."
    ),
    epilog=_(
        'Example: jetwright draws job.toml --task "Pipe end by gun"\n\n'
        "Exit code 0: no task is refused; 3: a task is not allowed; 2: the file cannot be read or is not physical."
    ),
)
@job_options
@click.option(
    "--count",
    type=click.IntRange(FEWEST, MOST),
    default=10_000,
    show_default=True,
    metavar="N",
    help=_("How many draws; the same number and seed draw the same."),
)
@click.option(
    "--seed", type=click.IntRange(0, 2**31), default=1, show_default=True, metavar="N", help=_("Draw another sample.")
)
@json_option
def command(
    job: str, as_json: bool, units: str, task: str | None, day: datetime.date | None, count: int, seed: int
) -> None:
    """Draw a job file's inputs and print what they do. [-]"""
    from jetwright.actions.draws import draws

    with refusals(), Progress() as progress:
        answer, found, read = draws(job, task=task, count=count, seed=seed, progress=progress, day=day)
    if as_json:
        from jetwright.report.draws_json import draws_json

        write(draws_json(answer, found) + "\n")
    else:
        from jetwright.report.draws_table import draws_table

        width, colour = shape_of_page()
        write(draws_table(answer, found, read.job, system=units, width=width, colour=colour))
    sys.exit(3 if any(t.verdict == "not_allowed" for t in answer.tasks) else 0)
