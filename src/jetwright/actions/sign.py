"""Make ready what is signed: one task planned, what to look at first, and the sheet that is printed of it."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from jetwright.actions.change import change_before
from jetwright.actions.plan import plan_read
from jetwright.files.job import JobFile
from jetwright.limits.limit import Limit, counts
from jetwright.plan.answer import Plan, TaskPlan
from jetwright.report.back import back_facts
from jetwright.report.limits import missing_words
from jetwright.report.plan_json import plan_facts
from jetwright.report.remedies import remedy_sentence
from jetwright.report.sheet import Changed, Signed, sheet_facts
from jetwright.rig.description import Unit

TOGETHER = ("task.hazards", "restraints")
"""Tables whose facts are asked for in one go, of the permit or in the van: one reason for all that are missing."""


@dataclass(frozen=True, slots=True)
class Look:
    """What whoever signs gives a reason for: a limit to look at first, or a fact nobody gave that counts as one.

    limits: the limit, or those that the fact is missing for; missing: the key of the fact, or of the table of several,
    "" for a limit to look at.
    """

    limits: tuple[Limit, ...]
    missing: str = ""

    def lacks(self, system: str = "si", unit: Unit | None = None) -> str:
        """What nobody said, and what hangs on it; "" for a limit to look at. [-]"""
        if not self.missing:
            return ""
        why = "; ".join(dict.fromkeys(missing_words(limit.missing) for limit in self.limits))
        said = dict.fromkeys(remedy_sentence(limit, system, unit) for limit in self.limits)
        return ". ".join(filter(None, [why, *said]))


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
    return ToSign(read, place, answer, task, before, _looks(task.limits))


def _looks(limits: Sequence[Limit]) -> tuple[Look, ...]:
    """Each limit to look at first, then each fact that counts as one, or all of a table that are asked for together."""
    lacking: dict[str, list[Limit]] = {}
    for limit in filter(counts, limits):
        table = limit.missing.rpartition(".")[0]
        lacking.setdefault(table if table in TOGETHER else limit.missing, []).append(limit)
    return (
        *(Look((limit,)) for limit in limits if limit.verdict == "look"),
        *(Look(tuple(found), missing) for missing, found in lacking.items()),
    )


def _planned(read: JobFile, place: int, day: datetime.date | None) -> tuple[Plan, TaskPlan]:
    """A plan of the task at a place alone; a name may be there twice."""
    name = read.job.task[place].name
    answer = plan_read(read, name, day=day, cures=False)
    task = answer.tasks[sum(one.name == name for one in read.job.task[:place])]
    return Plan(answer.title, answer.rules, (task,), answer.day), task


def sheet_back(made: ToSign, system: str = "si") -> dict[str, Any]:
    """What stands on the back of the sheet of a task to be signed, whoever signs it: as slow as planning it. [-]

    Parameters
    ----------
    made : ToSign
        From `to_sign`. [-]
    system : str
        "si" or "us". [-]

    Raises
    ------
    FileError
        As `actions.change.change_before`.

    Examples
    --------
    >>> from pathlib import Path
    >>> from jetwright.rig.example import JOB
    >>> sheet_back(to_sign(JobFile(Path("job.toml"), JOB, {}, {}), 0))["under"]
    'Back of the job sheet'

    References
    ----------
    Our own convention, docs/records.md.
    """
    planned = {made.place: made.task}
    if made.before is not None:
        planned[made.place - 1] = made.before
    card = change_before(made.read, made.place, planned, made.plan.day)
    return back_facts(made.task, made.read.job, system, card)


def signed_sheet(
    made: ToSign,
    signed: Signed,
    system: str = "si",
    changed: Sequence[Changed] = (),
    back: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
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
        Ratings and test dates that were written anew. [-]
    back : Mapping or None
        From `sheet_back`, where somebody has it already. [-]

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
    back = sheet_back(made, system) if back is None else back
    paper = "letter" if system == "us" else "a4"
    return sheet_facts(made.plan, made.task, made.read.job, system, paper, changed, made.place, back, signed)
