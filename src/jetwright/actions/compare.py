"""Set two tasks of a job file side by side."""

import datetime
import difflib
from collections.abc import Callable
from pathlib import Path

from jetwright.actions.plan import basis_for
from jetwright.errors import FileError, NotServedError, Problem, RigError
from jetwright.files.job import JobFile, read_job
from jetwright.plan.compare import Comparison
from jetwright.plan.compare import compare as compare_tasks
from jetwright.rig.description import Job


def compare(
    path: str | Path,
    one: str,
    other: str,
    progress: Callable[[str], None] | None = None,
    day: datetime.date | None = None,
) -> tuple[Comparison, JobFile]:
    """Two tasks of a job file side by side, and the file as it was read. [-]

    Parameters
    ----------
    path : str or Path
        The job file. [-]
    one : str
        A task's name, or its number from 1. [-]
    other : str
        Another's. [-]
    progress : Callable or None
        Told each task's name before it is planned. [-]
    day : date or None
        On which the job is done; else the job's, else today. [-]

    Raises
    ------
    FileError
        With every problem, each with its file and line: as `actions.plan.plan`, and where no task is meant, or the same
        one twice.

    Examples
    --------
    >>> compare("no such job.toml", "1", "2")
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_found

    References
    ----------
    Our own contract, docs/commands.md.
    """
    read = read_job(path)
    return compare_read(read, one, other, progress, day), read


def compare_read(
    read: JobFile,
    one: str,
    other: str,
    progress: Callable[[str], None] | None = None,
    day: datetime.date | None = None,
    cures: bool = True,
) -> Comparison:
    """Two tasks of a job that was read, from a file or from tables, side by side. [-]

    Parameters
    ----------
    read : JobFile
        From `read_job` or `job_in`. [-]
    one : str
        A task's name, or its number from 1. [-]
    other : str
        Another's. [-]
    progress : Callable or None
        Told each task's name before it is planned. [-]
    day : date or None
        On which the job is done; else the job's, else today. [-]
    cures : bool
        Look for what would cure a refusal, which takes a second or two; False: not now. [-]

    Raises
    ------
    FileError
        As `compare`.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, task=(*JOB.task, replace(JOB.task[0], name="Wall", rise=12.0)))
    >>> compare_read(JobFile(Path("job.toml"), job, {}, {}), "1", "Wall").other.task.name
    'Wall'

    References
    ----------
    Our own contract, docs/commands.md.
    """
    try:
        first, second = _places(read.job, one, other)
        basis = basis_for(read.job, read.path.parent, day)
        return compare_tasks(read.job, basis, first, second, on_task=progress, cures=cures)
    except FileError:
        raise
    except RigError as error:
        raise FileError([read.locate(problem) for problem in error.problems]) from error
    except NotServedError as error:
        raise FileError([read.locate(Problem((), error.code, facts=error.facts))]) from error


def place_of(job: Job, typed: str) -> int:
    """Which task is meant, by its name or its number from 1; the name wins. [-]

    Parameters
    ----------
    job : Job
        The job. [-]
    typed : str
        What was typed. [-]

    Raises
    ------
    RigError
        With the code no_such_task, the nearest name and every task there is.

    Examples
    --------
    >>> from jetwright.rig.example import JOB
    >>> place_of(JOB, "Plates by gun"), place_of(JOB, "1")
    (0, 0)
    >>> place_of(JOB, "plates")
    Traceback (most recent call last):
    jetwright.errors.RigError: task: no_such_task {'nearest': 'Plates by gun', 'known': ['1 Plates by gun']}

    References
    ----------
    Our own convention.
    """
    names = [task.name for task in job.task]
    if typed in names:
        return names.index(typed)
    if typed.isascii() and typed.isdigit() and len(typed) < 10 and 1 <= int(typed) <= len(names):
        return int(typed) - 1
    known = [f"{place} {name}" for place, name in enumerate(names, 1)]
    raise RigError([Problem(("task",), "no_such_task", typed, {"nearest": _nearest(typed, names), "known": known})])


def _places(job: Job, one: str, other: str) -> tuple[int, int]:
    first, second = place_of(job, one), place_of(job, other)
    if first == second:
        raise RigError([Problem(("task",), "compared_with_itself", other, {"task": job.task[first].name})])
    return first, second


def _nearest(typed: str, names: list[str]) -> str:
    """The name that holds what was typed, or else looks most like it."""
    small = typed.casefold()
    for name in names:
        if small and not small.isdigit() and small in name.casefold():
            return name
    alike = {name.casefold(): name for name in reversed(names)}
    close = difflib.get_close_matches(small, alike, 1)
    return alike[close[0]] if close else ""
