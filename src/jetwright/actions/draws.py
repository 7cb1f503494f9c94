"""Draw the inputs of a job's tasks many times over."""

import datetime
from collections.abc import Callable
from pathlib import Path

from jetwright.actions.plan import plan
from jetwright.files.job import JobFile
from jetwright.plan.answer import Plan, TaskPlan
from jetwright.plan.draws import COUNT, Draws, draws_of
from jetwright.plan.setting import machine_for, target_of
from jetwright.rig.check import check
from jetwright.rig.description import Job

PLAIN_UP_TO = 10_000
"""Draws, times tools, up to which plain Python answers before compiled code would be loaded."""


def draws(
    path: str | Path,
    task: str | None = None,
    count: int = COUNT,
    seed: int = 1,
    progress: Callable[[str], None] | None = None,
    day: datetime.date | None = None,
) -> tuple[Plan, tuple[Draws | None, ...], JobFile]:
    """The plan of a job file, what many draws of its inputs do to each task of it, and the file as it was read. [-]

    None for a task whose target is not to be had at any speed.

    Parameters
    ----------
    path : str or Path
        The job file. [-]
    task : str or None
        Only the task of this name. [-]
    count : int
        Draws. [-]
    seed : int
        Of the sample. [-]
    progress : Callable or None
        Told each task's name before it is planned. [-]
    day : date or None
        On which the job is done; else the job's, else today. [-]

    Raises
    ------
    FileError
        As `actions.plan.plan`.

    Examples
    --------
    >>> draws("no such job.toml")
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_found

    References
    ----------
    Our own contract, docs/commands.md.
    """
    answer, read = plan(path, task=task, progress=progress, day=day)
    chosen = [index for index, one in enumerate(read.job.task) if task is None or one.name == task]
    found = [_drawn(read.job, index, told, count, seed) for index, told in zip(chosen, answer.tasks, strict=True)]
    return answer, tuple(found), read


def _drawn(job: Job, index: int, told: TaskPlan, count: int, seed: int) -> Draws | None:
    if told.tolerance is None:
        return None
    rig = check(job, index)
    plain = count * len(rig.branches) <= PLAIN_UP_TO
    return draws_of(rig, machine_for(rig, *target_of(rig)), told.proving_point, count, seed, plain=plain)
