"""`jetwright goals`: published grades and pressure classes, each with its edition and whether it was read."""

from typing import Any

import click

from jetwright.cli.options import json_option, shape_of_page
from jetwright.cli.output import refusals, write
from jetwright.report.wording import _


class Pressure(click.ParamType):  # type: ignore[type-arg]  # generic in later clicks only
    """A pressure with its unit. [Pa]"""

    name = "pressure"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The pressure that was typed. [Pa]"""
        from jetwright.errors import Problem
        from jetwright.files.model import parse
        from jetwright.files.shapes import Shape
        from jetwright.report.problems import problem_words
        from jetwright.rig.quantity import Quantity

        quantity = Quantity("pressure", "Pressure", above=0.0, at_most=400e6, shown="bar")
        pressure, faults = parse(value, Shape("quantity", quantity=quantity))
        if faults:
            raise click.BadParameter(problem_words(Problem((), faults[0].code, "", faults[0].facts)), ctx, param)
        return float(pressure)


@click.command(
    name="goals",
    help=_("List the published grades of cleanliness and the pressure classes, by edition, and what was read of them."),
    epilog=_("Example: jetwright goals --pressure '950 bar'"),
)
@click.option(
    "--pressure",
    metavar="PRESSURE",
    type=Pressure(),
    help=_("Only what each edition calls this pressure, as in '950 bar' or '14500 psi'."),
)
@click.option(
    "--units",
    type=click.Choice(["si", "us"]),
    default="si",
    show_default=True,
    help=_("What is printed in: bar or psi."),
)
@json_option
def command(as_json: bool, pressure: float | None, units: str) -> None:
    """Print the published goals. [-]"""
    from jetwright.actions.goals import published_goals
    from jetwright.report.goals_table import goals_json, goals_table

    with refusals():
        published = published_goals(pressure)
    if as_json:
        write(goals_json(published.goals, published.pressure, published.terms) + "\n")
    else:
        width, colour = shape_of_page()
        write(goals_table(published.goals, published.pressure, published.terms, units, width, colour))
