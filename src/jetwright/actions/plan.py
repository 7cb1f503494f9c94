"""Plan a job file."""

import datetime
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from jetwright.errors import FileError, NotServedError, Problem, RigError
from jetwright.files.goals import goals
from jetwright.files.job import JobFile, read_job
from jetwright.files.model import nearest
from jetwright.files.orders import orders
from jetwright.files.rules import rule_set, site_rule_set
from jetwright.files.tables import from_json, job_in
from jetwright.plan.answer import Plan
from jetwright.plan.basis import Basis
from jetwright.plan.goal import goal_problems
from jetwright.plan.task import plan_job
from jetwright.rig.description import Job


def basis_for(job: Job, folder: Path | None = None, day: datetime.date | None = None) -> Basis:
    """What a job is judged by: its rule set, tightened by its site's, the orders of steps, the day, the goals. [-]

    Parameters
    ----------
    job : Job
        It may name a rule set, a site's rules and its day. [-]
    folder : Path or None
        Of the job file, below which a site's rules lie. [-]
    day : date or None
        Beats the job's; without either it is today. [-]

    Raises
    ------
    FileError
        With every problem of the site's rules.
    RigError
        Where a task's goal is no published grade.

    Examples
    --------
    >>> from jetwright.rig.example import JOB
    >>> basis_for(JOB).rules.name
    'eu-generic'

    References
    ----------
    Our own convention, docs/rules.md.
    """
    rules = rule_set(job.rule_set)
    if job.site_rules is not None and folder is not None:
        rules = site_rule_set(folder, job.site_rules, rules)
    unknown = goal_problems(job, goals())
    if unknown:
        raise RigError(unknown)
    return Basis(rules, orders(), day or job.date or datetime.date.today(), goals())


def plan(
    path: str | Path,
    task: str | None = None,
    progress: Callable[[str], None] | None = None,
    day: datetime.date | None = None,
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
    day : date or None
        On which the job is done; else the job's, else today. [-]

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
    return plan_read(read, task, progress, day), read


def plan_read(
    read: JobFile,
    task: str | None = None,
    progress: Callable[[str], None] | None = None,
    day: datetime.date | None = None,
    cures: bool = True,
) -> Plan:
    """The plan of a job that was read, from a file or from tables. [-]

    Parameters
    ----------
    read : JobFile
        From `read_job` or `job_in`. [-]
    task : str or None
        Plan only the task of this name. [-]
    progress : Callable or None
        Told each task's name before it is planned. [-]
    day : date or None
        On which the job is done; else the job's, else today. [-]
    cures : bool
        Look for what would cure a refusal, which takes a second or two; False: not now, and the plan says so. [-]

    Raises
    ------
    FileError
        With every problem of a rig that is not physical, or no task has that name.

    Examples
    --------
    >>> from jetwright.rig.example import JOB
    >>> plan_read(JobFile(Path("job.toml"), JOB, {}, {})).tasks[0].verdict
    'look'

    References
    ----------
    Our own contract, docs/job-file.md.
    """
    try:
        basis = basis_for(read.job, read.path.parent, day)
        return plan_job(read.job, basis, task=task, on_task=progress, cures=cures)
    except RigError as error:
        raise FileError([read.locate(with_nearest(problem)) for problem in error.problems]) from error
    except NotServedError as error:
        raise FileError([read.locate(Problem((), error.code, facts=error.facts))]) from error


def plan_tables(text: str, task: str | None, cures: bool = True) -> Plan:
    """The plan of the job that tables in JSON describe, or of one task of it, with what would cure a refusal. [-]

    It takes and gives what another process can be sent.

    Parameters
    ----------
    text : str
        What `files.tables.as_json` made of a job's tables, as JSON. [-]
    task : str or None
        Plan only the task of this name; None: all. [-]
    cures : bool
        Whether to look for what would cure a refusal. [-]

    Raises
    ------
    FileError
        With every problem, each with its key.

    Examples
    --------
    >>> plan_tables('{"title": "Rack"}', "Wall")
    Traceback (most recent call last):
    jetwright.errors.FileError: supply: missing_key {'table': '', 'name': 'supply'}; task: missing_key {'table': '', \
'name': 'task'}; unit: missing_key {'table': '', 'name': 'unit'}

    References
    ----------
    Our own convention.
    """
    return plan_read(job_in(from_json(json.loads(text))), task, cures=cures)


def with_nearest(problem: Problem) -> Problem:
    """A problem of a name that is not known, with the known one that is nearest to it among its facts. [-]

    Parameters
    ----------
    problem : Problem
        Any; one of another sort stays as it is. [-]

    Examples
    --------
    >>> with_nearest(Problem(("task",), "unknown_name", "Plats", {"known": ["Plates"]})).facts["nearest"]
    'Plates'

    References
    ----------
    Our own convention.
    """
    known = problem.facts.get("known")
    if problem.code != "unknown_name" or not isinstance(known, list):
        return problem
    return replace(problem, facts=problem.facts | {"nearest": nearest(problem.written, [str(name) for name in known])})
