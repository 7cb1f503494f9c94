"""What commands take alike: the job file, its units, one task or two, the day, who; and how wide a terminal is."""

import contextlib
import datetime
import os
import re
import shutil
import sys
from collections.abc import Callable
from typing import Any

import click

from jetwright.report.wording import _

WIDEST = 100
NARROWEST = 60
LONGEST_SHOWN = 40
"""Most signs of what was typed that a refusal repeats."""


class Day(click.ParamType):  # type: ignore[type-arg]  # generic in later clicks only
    """A day, typed year first. [-]"""

    name = "day"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> datetime.date:
        """The day that was typed. [-]"""
        if isinstance(value, datetime.date):
            return value
        with contextlib.suppress(ValueError):
            if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", value):
                return datetime.date.fromisoformat(value)
        words = _("“{text}” is no day; type year, month and day, as in 2026-05-12")
        raise click.BadParameter(words.format(text=_shown(value)), ctx, param)


class Name(click.ParamType):  # type: ignore[type-arg]
    """A person's name, as a file may hold one. [-]"""

    name = "name"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The name that was typed, without blanks around it. [-]"""
        from jetwright.errors import Problem
        from jetwright.files.model import parse
        from jetwright.files.shapes import Shape
        from jetwright.report.problems import problem_words

        name, faults = parse(value.strip(), Shape("text"))
        if faults:
            words = problem_words(Problem((), faults[0].code, "", faults[0].facts))
            raise click.BadParameter(words, ctx, param)
        return str(name)


def _shown(text: str) -> str:
    """What was typed, as much of it as tells which it was."""
    line = "".join(sign if sign.isprintable() else "�" for sign in text)
    return line if len(line) <= LONGEST_SHOWN else line[: LONGEST_SHOWN - 1] + "…"


_JSON = click.option(
    "--json", "as_json", is_flag=True, help=_("Print JSON (always in bar, L/min, mm) instead of a table.")
)
_JOB = click.argument("job", metavar="JOB", type=click.Path())
_UNITS = click.option(
    "--units",
    type=click.Choice(["si", "us"]),
    default="si",
    show_default=True,
    help=_("What is printed in: bar, L/min, m, N or psi, gpm, ft, lbf."),
)
_DATE = click.option(
    "--date",
    "day",
    metavar="YYYY-MM-DD",
    type=Day(),
    help=_("Day of the job, for what falls out of test. [default: the job file's date, else today]"),
)
_TASK = click.option("--task", metavar="NAME", help=_("Only the task of this name."))
_PAIR = (click.argument("one", metavar="A"), click.argument("other", metavar="B"))


def job_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the job file, its units, one task and the day. [-]

    Parameters
    ----------
    command : Callable
        The command's function. [-]

    Examples
    --------
    >>> len(job_options(lambda **_: None).__click_params__)
    4

    References
    ----------
    Our own convention.
    """
    return _with(command, _JOB, _UNITS, _TASK, _DATE)


def pair_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the job file, two of its tasks, the units and the day. [-]

    Parameters
    ----------
    command : Callable
        The command's function. [-]

    Examples
    --------
    >>> len(pair_options(lambda **_: None).__click_params__)
    5

    References
    ----------
    Our own convention.
    """
    return _with(command, _JOB, *_PAIR, _UNITS, _DATE)


def _with(command: Callable[..., Any], *options: Callable[..., Any]) -> Callable[..., Any]:
    for option in reversed(options):
        command = option(command)
    return command


def json_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the choice of JSON instead of a table. [-]

    Parameters
    ----------
    command : Callable
        The command's function. [-]

    Examples
    --------
    >>> len(json_option(lambda **_: None).__click_params__)
    1

    References
    ----------
    Our own convention.
    """
    return _JSON(command)


def shape_of_page() -> tuple[int, bool]:
    """How wide a page may be, and whether it is in colour: a terminal's width, and no colour where none is wanted. [-]

    Examples
    --------
    >>> shape_of_page()
    (100, False)

    References
    ----------
    Our own convention; NO_COLOR is common practice.
    """
    terminal = sys.stdout.isatty()
    width = max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns)) if terminal else WIDEST
    return width, terminal and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
