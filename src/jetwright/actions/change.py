"""Make the change card from one task of a job file to another."""

import datetime
from collections.abc import Mapping
from pathlib import Path

from jetwright.actions.compare import place_of
from jetwright.actions.plan import basis_for
from jetwright.errors import FileError, NotServedError, Problem, RigError
from jetwright.files.job import JobFile, read_job
from jetwright.plan.answer import TaskPlan
from jetwright.plan.change import ChangeCard, change_card


def change(path: str | Path, before: str, after: str, day: datetime.date | None = None) -> tuple[ChangeCard, JobFile]:
    """The card of a change between two tasks of a job file, and the file as it was read. [-]

    Parameters
    ----------
    path : str or Path
        The job file. [-]
    before : str
        Name of the task that was worked, or its number, from 1. [-]
    after : str
        Name of the task that comes next, or its number. [-]
    day : date or None
        On which the job is done; else the job's, else today. [-]

    Raises
    ------
    FileError
        With every problem, each with its file and line: the file cannot be read, the rig is not physical, there is no
        task of that name, or both are one.

    Examples
    --------
    >>> change("no such job.toml", "1", "2")
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_found

    References
    ----------
    Our own convention.
    """
    read = read_job(path)
    return change_read(read, before, after, day), read


def change_read(read: JobFile, before: str, after: str, day: datetime.date | None = None) -> ChangeCard:
    """The card of a change between two tasks of a job that was read, from a file or from tables. [-]

    Parameters
    ----------
    read : JobFile
        From `read_job` or `job_in`. [-]
    before : str
        Name of the task that was worked, or its number, from 1. [-]
    after : str
        Name of the task that comes next, or its number. [-]
    day : date or None
        On which the job is done; else the job's, else today. [-]

    Raises
    ------
    FileError
        As `change`.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, task=(*JOB.task, replace(JOB.task[0], name="Wall", rise=12.0)))
    >>> change_read(JobFile(Path("job.toml"), job, {}, {}), "1", "Wall").task.name
    'Wall'

    References
    ----------
    Our own convention.
    """
    try:
        first, second = (place_of(read.job, typed) for typed in (before, after))
        basis = basis_for(read.job, read.path.parent, day)
        return change_card(read.job, first, second, basis)
    except FileError:
        raise
    except RigError as error:
        raise FileError([read.locate(problem) for problem in error.problems]) from error
    except NotServedError as error:
        raise FileError([read.locate(Problem((), error.code, facts=error.facts))]) from error


def change_before(read: JobFile, place: int, planned: Mapping[int, TaskPlan], day: datetime.date) -> ChangeCard | None:
    """The card of the change to a task from the one right before it in its job; None for the first task. [-]

    Parameters
    ----------
    read : JobFile
        The job as it was read. [-]
    place : int
        Of the task, from 0. [-]
    planned : Mapping of int to TaskPlan
        Plans of the job's tasks by their place, as far as they were planned. [-]
    day : date
        On which the job is done. [-]

    Raises
    ------
    FileError
        As `change`.

    Examples
    --------
    >>> from jetwright.rig.example import JOB
    >>> change_before(JobFile(Path("job.toml"), JOB, {}, {}), 0, {}, datetime.date(2026, 3, 2)) is None
    True

    References
    ----------
    Our own convention.
    """
    if place == 0:
        return None
    one, other = planned.get(place - 1), planned.get(place)
    known = None if one is None or other is None else (one, other)
    try:
        return change_card(read.job, place - 1, place, basis_for(read.job, read.path.parent, day), known)
    except FileError:
        raise
    except RigError as error:
        raise FileError([read.locate(problem) for problem in error.problems]) from error
