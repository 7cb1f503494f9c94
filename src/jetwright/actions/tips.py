"""Which tips of the box to take."""

import datetime
import json
from collections.abc import Callable
from pathlib import Path

from jetwright.actions.plan import basis_for, with_nearest
from jetwright.errors import FileError, NotServedError, Problem, RigError
from jetwright.files.job import JobFile, read_job
from jetwright.files.positions import table_of
from jetwright.files.tables import from_json, job_in
from jetwright.plan.tip_answer import TipsPlan
from jetwright.plan.tip_order import Wish
from jetwright.plan.tips import tips_for_job


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
    return tips_read(read, task, wish, branch=branch, progress=progress, day=day), read


def tips_read(
    read: JobFile,
    task: str | None = None,
    wish: Wish = Wish(),  # noqa: B008 - it is frozen
    *,
    branch: int | None = None,
    progress: Callable[[str], None] | None = None,
    day: datetime.date | None = None,
) -> TipsPlan:
    """The best tips out of the box for the tasks of a job that was read, from a file or from tables. [-]

    Parameters
    ----------
    read : JobFile
        From `read_job` or `job_in`. [-]
    task : str or None
        Only the task of this name. [-]
    wish : Wish
        How many ways, and what is asked besides the limits. [-]
    branch : int or None
        Whose tool is filled, from 1; the target's when not given. [-]
    progress : Callable or None
        Told each task's name before its tips are looked for. [-]
    day : date or None
        On which the job is done; else the job's, else today. [-]

    Raises
    ------
    FileError
        As `tips`.

    Examples
    --------
    >>> from jetwright.rig.example import JOB
    >>> tips_read(JobFile(Path("job.toml"), JOB, {}, {})).tasks[0].best[0].tips
    (('R12',),)

    References
    ----------
    Our own contract, docs/commands.md.
    """
    try:
        basis = basis_for(read.job, read.path.parent, day)
        return tips_for_job(read.job, basis, wish, task=task, branch=branch, on_task=progress)
    except RigError as error:
        raise FileError([read.locate(with_nearest(problem)) for problem in error.problems]) from error
    except NotServedError as error:
        raise FileError([read.locate(Problem((), error.code, facts=error.facts))]) from error


def tips_tables(text: str, task: str, branch: int | None = None) -> TipsPlan:
    """The best tips for a task of the job that tables in JSON describe. [-]

    It takes and gives what another process can be sent.

    Parameters
    ----------
    text : str
        What `files.tables.as_json` made of a job's tables, as JSON. [-]
    task : str
        Name of the task. [-]
    branch : int or None
        Whose tool is filled, from 1; the target's when not given. [-]

    Raises
    ------
    FileError
        With every problem, each with its key.

    Examples
    --------
    >>> tips_tables('{"title": "Rack"}', "Wall")
    Traceback (most recent call last):
    jetwright.errors.FileError: supply: missing_key {'table': '', 'name': 'supply'}; task: missing_key {'table': '', \
'name': 'task'}; unit: missing_key {'table': '', 'name': 'unit'}

    References
    ----------
    Our own convention.
    """
    return tips_read(job_in(from_json(json.loads(text))), task, branch=branch)


def pasted_into(plan: TipsPlan, read: JobFile) -> dict[str, str]:
    """The file in which each task's tool stands, by its name: the yard's where the row is there. [-]

    Parameters
    ----------
    plan : TipsPlan
        The answer. [-]
    read : JobFile
        What was asked. [-]

    Examples
    --------
    >>> from jetwright.plan.tips import tips_for_job
    >>> from jetwright.rig.example import JOB
    >>> plan = tips_for_job(JOB, basis_for(JOB), Wish())
    >>> pasted_into(plan, JobFile(Path("job.toml"), JOB, {}, {}))
    {'gun': 'job.toml'}

    References
    ----------
    Our own contract, docs/commands.md.
    """
    stands = {tool: read.where.get(table_of(read.where, ("tools", tool))) for tool in (one.tool for one in plan.tasks)}
    return {tool: str(read.path) if spot is None else spot.file for tool, spot in stands.items()}
