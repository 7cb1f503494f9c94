"""`jetwright change`: a job file and two of its tasks in, the change card from one to the other out."""

import datetime
import sys

import click

from jetwright.cli.options import json_option, pair_options, shape_of_page
from jetwright.cli.output import refusals, write
from jetwright.report.wording import _


@click.command(
    name="change",
    help=_(
        "Print the change card of JOB from task A to task B: what must not be left on, what changes, and each step "
        "with the gauge to expect. A and B are a task's name or its number, from 1."
    ),
    epilog=_(
        "Example: jetwright change job.toml 1 2\n\n"
        "Exit code 0: B is not refused; 3: it is not allowed, and the card ends with the unit locked; 2: the file "
        "cannot be read or is not physical, or there is no such task."
    ),
)
@pair_options
@json_option
def command(job: str, one: str, other: str, units: str, day: datetime.date | None, as_json: bool) -> None:
    """Make a change card and print it. [-]"""
    from jetwright.actions.change import change

    with refusals():
        card, read = change(job, one, other, day)
    if as_json:
        from jetwright.report.change_json import change_json

        write(change_json(card) + "\n")
    else:
        from jetwright.report.change_table import change_table

        width, colour = shape_of_page()
        write(change_table(card, read.job, system=units, width=width, colour=colour))
    sys.exit(3 if card.task.verdict == "not_allowed" else 0)
