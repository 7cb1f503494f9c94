"""Plan a job file."""

import difflib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from jetwright.errors import FileError, NotServedError, Problem, RigError
from jetwright.files.job import JobFile, read_job
from jetwright.plan.answer import Plan
from jetwright.plan.task import plan_job


def plan(
    path: str | Path, task: str | None = None, progress: Callable[[str], None] | None = None
) -> tuple[Plan, JobFile]:
    """The plan of a job file, and the file as it was read. [-]

    Parameters
    ----------
    path : str or Path
        The job file. [-]
    task : str or None
        Plan only the task of this name. [-]
    progress : Callable or None
        Told each task's name before it is planned. [-]

    Raises
    ------
    FileError
        With every problem, each with its file and line: the file cannot be read, or the rig is not physical.

    Examples
    --------
    >>> plan("no such job.toml")
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_found

    References
    ----------
    Our own contract, docs/job-file.md.
    """
    read = read_job(path)
    try:
        return plan_job(read.job, task=task, on_task=progress), read
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
