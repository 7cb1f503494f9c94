"""Make ready what is signed: one task planned, what to look at first, and the sheet that is printed of it."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from jetwright.actions.change import change_before
from jetwright.actions.plan import plan_read
from jetwright.files.job import JobFile
from jetwright.limits.limit import COUNTED, Limit
from jetwright.plan.answer import Plan, TaskPlan
from jetwright.report.back import back_facts
from jetwright.report.plan_json import plan_facts
from jetwright.report.sheet import Changed, Signed, sheet_facts


@dataclass(frozen=True, slots=True)
class Look:
    """What whoever signs gives a reason for: a limit to look at first, or a fact nobody gave that counts as one.

    limits: the limit, or those that the fact is missing for; missing: the fact's key, "" for a limit to look at.
    """

    limits: tuple[Limit, ...]
    missing: str = ""


@dataclass(frozen=True, slots=True)
class ToSign:
    """One task of a job as it was planned, the task before it where there is one, and what to give a reason for.

    place: of the task in its job, from 0.
    """

    read: JobFile
    place: int
    plan: Plan
    task: TaskPlan
    before: TaskPlan | None
    looks: tuple[Look, ...]

    def solved(self) -> dict[str, Any]:
        """The task's plan as its JSON's keys and values. [-]"""
        facts: dict[str, Any] = plan_facts(self.plan)["tasks"][0]
        return facts

    def rules(self) -> dict[str, Any]:
        """The rule set that judged it. [-]"""
        facts: dict[str, Any] = plan_facts(self.plan)["rule_set"]
        return facts


def to_sign(read: JobFile, place: int, day: datetime.date | None = None) -> ToSign:
    """One task of a job, planned to be signed; what would cure a refusal is not looked for. [-]

    Parameters
    ----------
    read : JobFile
        From `read_job` or `job_in`. [-]
    place : int
        Of the task in its job, from 0. [-]
    day : date or None
        On which the job is done; else the job's, else today. [-]

    Raises
    ------
    FileError
        As `plan_read`.

    Examples
    --------
    >>> from pathlib import Path
    >>> from jetwright.rig.example import JOB
    >>> made = to_sign(JobFile(Path("job.toml"), JOB, {}, {}), 0)
    >>> made.task.verdict, made.before is None
    ('look', True)

    References
    ----------
    Our own convention, docs/records.md.
    """
    answer, task = _planned(read, place, day)
    before = None if place == 0 else _planned(read, place - 1, answer.day)[1]
    looks = [Look((limit,)) for limit in task.limits if limit.verdict == "look"]
    lacking: dict[str, list[Limit]] = {}
    for limit in task.limits:
        if limit.verdict == "not_judged" and limit.id.split(".")[0] in COUNTED:
            lacking.setdefault(limit.missing, []).append(limit)
    looks += [Look(tuple(limits), missing) for missing, limits in lacking.items()]
    return ToSign(read, place, answer, task, before, tuple(looks))


def _planned(read: JobFile, place: int, day: datetime.date | None) -> tuple[Plan, TaskPlan]:
    """A plan of the task at a place alone; a name may be there twice."""
    name = read.job.task[place].name
    answer = plan_read(read, name, day=day, cures=False)
    task = answer.tasks[sum(one.name == name for one in read.job.task[:place])]
    return Plan(answer.title, answer.rules, (task,), answer.day), task


def signed_sheet(made: ToSign, signed: Signed, system: str = "si", changed: Sequence[Changed] = ()) -> dict[str, Any]:
    """Everything that stands on the sheet of a task that was signed, both sides, without its seal. [-]

    Parameters
    ----------
    made : ToSign
        From `to_sign`. [-]
    signed : Signed
        By whom, when, and why. [-]
    system : str
        "si" or "us", which prints on letter paper. [-]
    changed : Sequence of Changed
        Ratings that were written anew since the job was made. [-]

    Raises
    ------
    FileError
        As `actions.change.change_before`.

    Examples
    --------
    >>> from pathlib import Path
    >>> from jetwright.rig.example import JOB
    >>> made = to_sign(JobFile(Path("job.toml"), JOB, {}, {}), 0)
    >>> signed_sheet(made, Signed("Ada", "crew lead", "2026-05-12 06:40", ()))["paper"]
    'a4'

    References
    ----------
    Our own convention, docs/records.md.
    """
    planned = {made.place: made.task}
    if made.before is not None:
        planned[made.place - 1] = made.before
    card = change_before(made.read, made.place, planned, made.plan.day)
    back = back_facts(made.task, made.read.job, system, card)
    paper = "letter" if system == "us" else "a4"
    return sheet_facts(made.plan, made.task, made.read.job, system, paper, changed, made.place, back, signed)
