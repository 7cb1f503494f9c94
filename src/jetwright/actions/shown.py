"""The plan of a task as a page shows it, in words and pictures: from text alone, so that another process can do it."""

import datetime
import json
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from jetwright.actions.change import change_before
from jetwright.actions.compare import compare_read
from jetwright.actions.plan import plan_read
from jetwright.files.tables import from_json, job_in
from jetwright.limits.limit import Verdict
from jetwright.plan.answer import Plan
from jetwright.report.change_table import change_rows
from jetwright.report.compare_table import Judged, compare_limits, compare_notes, compare_rows
from jetwright.report.profile import profile_svg
from jetwright.report.screen import CureRow, beside_rows, cure_rows, page_facts
from jetwright.report.wording import speaking
from jetwright.rig.description import Job

REMEMBERED = 256
"""Plans of the day that are kept: whoever steps back and forth is answered from them."""


@dataclass(frozen=True, slots=True)
class PlanShown:
    """A task's plan in words and pictures.

    facts: from `report.screen`; pictures: of the pressure, as SVG, one for each size asked; cures: of a refusal, where
    they were looked for; cut: not every change was tried.
    """

    verdict: str
    facts: dict[str, Any]
    pictures: tuple[str, ...]
    cures: tuple[CureRow, ...]
    cut: bool


@dataclass(frozen=True, slots=True)
class ChangeShown:
    """The card of a change: the task before, the verdict of this one, and headings with rows under them."""

    before: str
    verdict: str
    parts: list[tuple[str, list[tuple[str, ...]]]]


@dataclass(frozen=True, slots=True)
class CompareShown:
    """Two tasks: their verdicts, rows under headings, the limits that tell them apart, what is not known of either."""

    verdicts: tuple[Verdict, Verdict]
    rows: list[tuple[str, list[list[str]]]]
    limits: list[tuple[str, Judged, Judged]]
    notes: list[str]


def plan_shown(
    text: str,
    title: str,
    task: str,
    system: str,
    language: str,
    sizes: tuple[tuple[float, float], ...] = (),
    cures: bool = False,
) -> PlanShown:
    """What a page shows of a task's plan. [-]

    Parameters
    ----------
    text : str
        What `files.tables.as_json` made of the job's tables, as JSON. [-]
    title : str
        What to call the job where a problem is named. [-]
    task : str
        Name of the task. [-]
    system : str
        "si" or "us". [-]
    language : str
        "en", "es"; "" as the machine is set up. [-]
    sizes : tuple of tuple
        Width of each picture wanted, and the height of its letters [px]. [-]
    cures : bool
        Look for what would cure a refusal, which takes a second or two. [-]

    Raises
    ------
    FileError
        With every problem, each with its key.

    Examples
    --------
    >>> plan_shown('{"title": "Rack"}', "Rack", "Wall", "si", "en")
    Traceback (most recent call last):
    jetwright.errors.FileError: supply: missing_key {'table': '', 'name': 'supply'}; task: missing_key {'table': '', \
'name': 'task'}; unit: missing_key {'table': '', 'name': 'unit'}

    References
    ----------
    Our own layout.
    """
    plan, job, place = _planned(text, title, task, cures, datetime.date.today())
    answer = plan.tasks[0]
    with speaking(language):
        return PlanShown(
            verdict=answer.verdict,
            facts=page_facts(plan, answer, job, system, place),
            pictures=tuple(profile_svg(answer, job, system, width, 0.0, "page", letters) for width, letters in sizes),
            cures=tuple(cure_rows(answer, job, system)) if cures and answer.verdict == "not_allowed" else (),
            cut=answer.cures_cut,
        )


def beside_shown(one: str, other: str, title: str, task: str, system: str, language: str) -> list[tuple[str, str, str]]:
    """Two ways of one task in a few lines: what it is, in the one, in the other. [-]

    Parameters
    ----------
    one : str
        Of the job the one way, as `plan_shown` takes it. [-]
    other : str
        Of the job the other way. [-]
    title : str
        What to call the job where a problem is named. [-]
    task : str
        Name of the task. [-]
    system : str
        "si" or "us". [-]
    language : str
        "en", "es"; "" as the machine is set up. [-]

    Raises
    ------
    FileError
        With every problem of either, each with its key.

    Examples
    --------
    >>> beside_shown('{"title": "Rack"}', '{"title": "Rack"}', "Rack", "Wall", "si", "en")
    Traceback (most recent call last):
    jetwright.errors.FileError: supply: missing_key {'table': '', 'name': 'supply'}; task: missing_key {'table': '', \
'name': 'task'}; unit: missing_key {'table': '', 'name': 'unit'}

    References
    ----------
    Our own layout.
    """
    today = datetime.date.today()
    ways = [_planned(text, title, task, False, today) for text in (one, other)]
    with speaking(language):
        first, second = ((plan.tasks[0], job) for plan, job, _place in ways)
        return beside_rows(first, second, system)


def change_shown(text: str, title: str, task: str, system: str, language: str) -> ChangeShown | None:
    """The card of the change to a task from the one right before it in its job; None for the first task. [-]

    Parameters
    ----------
    text : str
        As `plan_shown` takes it. [-]
    title : str
        What to call the job where a problem is named. [-]
    task : str
        Name of the task. [-]
    system : str
        "si" or "us". [-]
    language : str
        "en", "es"; "" as the machine is set up. [-]

    Raises
    ------
    FileError
        With every problem of either task, each with its key.

    Examples
    --------
    >>> change_shown('{"title": "Rack"}', "Rack", "Wall", "si", "en")
    Traceback (most recent call last):
    jetwright.errors.FileError: supply: missing_key {'table': '', 'name': 'supply'}; task: missing_key {'table': '', \
'name': 'task'}; unit: missing_key {'table': '', 'name': 'unit'}

    References
    ----------
    `actions.change.change_before`.
    """
    today = datetime.date.today()
    plan, _job, place = _planned(text, title, task, False, today)
    if place == 0:
        return None
    read = job_in(from_json(json.loads(text)), title)
    before = read.job.task[place - 1].name
    planned = {place - 1: _planned(text, title, before, False, today)[0].tasks[0], place: plan.tasks[0]}
    card = change_before(read, place, planned, plan.day)
    assert card is not None
    with speaking(language):
        return ChangeShown(before, card.task.verdict, change_rows(card, read.job, system))


def compare_shown(text: str, title: str, system: str, language: str) -> CompareShown:
    """The two tasks of a job side by side. [-]

    Parameters
    ----------
    text : str
        As `plan_shown` takes it, of a job with two tasks. [-]
    title : str
        What to call the job where a problem is named. [-]
    system : str
        "si" or "us". [-]
    language : str
        "en", "es"; "" as the machine is set up. [-]

    Raises
    ------
    FileError
        With every problem of either task, each with its key.

    Examples
    --------
    >>> compare_shown('{"title": "Rack"}', "Rack", "si", "en")
    Traceback (most recent call last):
    jetwright.errors.FileError: supply: missing_key {'table': '', 'name': 'supply'}; task: missing_key {'table': '', \
'name': 'task'}; unit: missing_key {'table': '', 'name': 'unit'}

    References
    ----------
    `actions.compare.compare_read`.
    """
    read = job_in(from_json(json.loads(text)), title)
    told = compare_read(read, "1", "2", cures=False)
    with speaking(language):
        return CompareShown(
            (told.one.task.verdict, told.other.task.verdict),
            compare_rows(told, read.job, system),
            compare_limits(told, system),
            compare_notes(told, read.job),
        )


@lru_cache(maxsize=REMEMBERED)
def _planned(text: str, title: str, task: str, cures: bool, _today: datetime.date) -> tuple[Plan, Job, int]:
    """The plan of a task, its job, its place in it: the same question is answered once a day."""
    read = job_in(from_json(json.loads(text)), title)
    plan = plan_read(read, task, cures=cures)
    return plan, read.job, [one.name for one in read.job.task].index(task)
