"""`jetwright tips`: a job file in, the best tips out of its box for each task out."""

import datetime
import sys
from typing import Any

import click

from jetwright.cli.options import job_options, json_option, shape_of_page
from jetwright.cli.output import Progress, refusals, write
from jetwright.report.wording import _

MOST_SHOWN = 50
"""Most ways that are shown."""


class Amount(click.ParamType):  # type: ignore[type-arg]  # generic in later clicks only
    """A quantity above zero with its unit: a force or a torque. [SI]"""

    def __init__(self, kind: str, shown: str) -> None:
        self.name = kind
        self.shown = shown

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The quantity that was typed. [SI]"""
        from jetwright.errors import Problem
        from jetwright.files.model import parse
        from jetwright.files.shapes import Shape
        from jetwright.report.problems import problem_words
        from jetwright.rig.quantity import Quantity

        quantity = Quantity(self.name, "Asked of the tips", above=0.0, at_most=1e6, shown=self.shown)
        amount, faults = parse(value, Shape("quantity", quantity=quantity))
        if faults:
            raise click.BadParameter(problem_words(Problem((), faults[0].code, "", faults[0].facts)), ctx, param)
        return float(amount)


@click.command(
    name="tips",
    help=_(
        "Choose tips out of the box for the tool of each task of JOB: the most jet power at the task's target that "
        "every limit allows, in opposed pairs, with no more pieces than are owned."
    ),
    epilog=_(
        "Example: jetwright tips job.toml --task \"Drain, dock side\" --least-pull '150 N'\n\n"
        "Exit code 0: there are tips for each task; 3: no tips of the box are allowed for a task; 2: the file or an "
        "option cannot be read or is not physical."
    ),
)
@job_options
@json_option
@click.option("--branch", metavar="N", type=click.IntRange(1, 8), help=_("Fill the tool of this branch, from 1."))
@click.option(
    "--least-pull",
    metavar="FORCE",
    type=Amount("force", "N"),
    help=_("Only ways that pull the tool forward with this much at least, as in '150 N'."),
)
@click.option(
    "--least-torque",
    metavar="TORQUE",
    type=Amount("torque", "N m"),
    help=_("Only ways that turn the tool with this much at least, in N m as in '1.5 N m' (1 lbf ft is 1.356 N m)."),
)
@click.option(
    "--most",
    metavar="N",
    type=click.IntRange(1, MOST_SHOWN),
    default=10,
    show_default=True,
    help=_("How many ways are shown."),
)
def command(
    job: str,
    as_json: bool,
    units: str,
    task: str | None,
    day: datetime.date | None,
    branch: int | None,
    least_pull: float | None,
    least_torque: float | None,
    most: int,
) -> None:
    """Choose tips and print the best ways. [-]"""
    from jetwright.actions.tips import pasted_into, tips
    from jetwright.plan.tip_order import Wish

    with refusals(), Progress() as progress:
        answer, read = tips(
            job, Wish(most, least_pull, least_torque), task=task, branch=branch, progress=progress, day=day
        )
    if as_json:
        from jetwright.report.tips_json import tips_json

        write(tips_json(answer, read.written, pasted_into(answer, read)) + "\n")
    else:
        from jetwright.report.tips_table import tips_table

        width, colour = shape_of_page()
        files = pasted_into(answer, read)
        write(tips_table(answer, read.job, read.written, system=units, width=width, colour=colour, files=files))
    sys.exit(3 if any(choice.verdict == "not_allowed" for choice in answer.tasks) else 0)
