"""Which tips of the box to take."""

import datetime
import difflib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from jetwright.actions.plan import basis_for
from jetwright.errors import FileError, NotServedError, Problem, RigError
from jetwright.files.job import JobFile, read_job
from jetwright.plan.tip_order import Wish
from jetwright.plan.tips import TipsPlan, tips_for_job


def tips(
    path: str | Path,
    wish: Wish,
    *,
    task: str | None = None,
    branch: int | None = None,
    progress: Callable[[str], None] | None = None,
    day: datetime.date | None = None,
) -> tuple[TipsPlan, JobFile]:
    """The best tips out of the box for the tasks of a job file, and the file as it was read. [-]

    Parameters
    ----------
    path : str or Path
        The job file. [-]
    wish : Wish
        How many ways, and what is asked besides the limits. [-]
    task : str or None
        Only the task of this name. [-]
    branch : int or None
        Whose tool is filled, from 1; the target's when not given. [-]
    progress : Callable or None
        Told each task's name before its tips are looked for. [-]
    day : date or None
        On which the job is done; else the job's, else today. [-]

    Raises
    ------
    FileError
        With every problem, each with its file and line: the file cannot be read, the rig is not physical, or no port
        of the tool can do what is wished.

    Examples
    --------
    >>> tips("no such job.toml", Wish())
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_found

    References
    ----------
    Our own contract, docs/commands.md.
    """
    read = read_job(path)
    try:
        basis = basis_for(read.job, read.path.parent, day)
        return tips_for_job(read.job, basis, wish, task=task, branch=branch, on_task=progress), read
    except RigError as error:
        raise FileError([read.locate(_with_nearest(problem)) for problem in error.problems]) from error
    except NotServedError as error:
        raise FileError([read.locate(Problem((), error.code, facts=error.facts))]) from error


def _with_nearest(problem: Problem) -> Problem:
    known = problem.facts.get("known")
    if problem.code != "unknown_name" or not isinstance(known, list):
        return problem
    nearest = difflib.get_close_matches(problem.written, [str(name) for name in known], 1)
    return replace(problem, facts=problem.facts | {"nearest": nearest[0] if nearest else ""})
