"""A job as its file would say it: its own tables, its unit, and the yard's rows under them."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from jetwright.errors import FileError, Problem
from jetwright.files.job import JobFile
from jetwright.files.layout import format_job
from jetwright.files.tables import from_json, job_in, toml_text
from jetwright.web.jobs.models import Job, Task
from jetwright.web.yard.models import Piece
from jetwright.web.yard.tables import unit_table, yard_tables


def job_tables(
    job: Job, instead: Mapping[Any, Mapping[str, Any]] | None = None, pieces: Sequence[Piece] | None = None
) -> dict[str, Any]:
    """The tables of a job in JSON: everything its crew has in use, its unit, its tasks in order. [-]

    instead: uuid of a task → its table in place of the one that is kept, for a question that changes nothing.
    pieces: what the crew has in use, where somebody has it already. Readings of tasks that are retired stay behind.
    """
    if pieces is None:
        pieces = list(Piece.objects.filter(crew_id=job.crew_id).in_use())
    tables: dict[str, Any] = {"title": job.name, **job.spec, **yard_tables(pieces)}
    if job.day is not None:
        tables["date"] = job.day.isoformat()
    if job.unit is not None:
        tables["unit"] = unit_table(job.unit, [piece for piece in pieces if piece.on_id == job.unit_id])
    tasks = [task for task in job.tasks.all() if task.retired_at is None]  # not asked again where they are there
    tables["task"] = [{"name": task.name, **(instead or {}).get(task.pk, task.spec)} for task in tasks]
    if "reading" in tables:
        names = {task["name"] for task in tables["task"]}
        tables["reading"] = [reading for reading in tables["reading"] if reading.get("task") in names]
    return tables


def read_written(tables: Mapping[str, Any], name: str) -> JobFile:
    """The job that such tables describe; FileError with every problem. [-]"""
    return job_in(from_json(tables), name)


def read_task(task: Task, instead: Mapping[Any, Mapping[str, Any]] | None = None) -> tuple[JobFile, int]:
    """The job around one task, and which of its tasks that is, from 0; FileError with what stands in its way. [-]

    A draft beside it, or a row of the yard that it does not use, keeps nobody from planning: where such a one cannot
    be read, the tasks that cannot be read are left out, and every row that no other uses.
    """
    return read_tables(task, job_tables(task.job, instead))


def read_tables(task: Task, tables: Mapping[str, Any]) -> tuple[JobFile, int]:
    """The job around one task that such tables describe, under the same two mercies as `read_task`. [-]"""
    own = _index(tables, task)
    try:
        return read_written(tables, task.job.name), own
    except FileError as error:
        broken = {problem.key[1] for problem in error.problems if problem.key[:1] == ("task",) and problem.key[1:]}
    sound = [one for index, one in enumerate(tables["task"]) if index == own or index not in broken]
    for tasks in (sound, [tables["task"][own]]):
        less = used_tables(_with_tasks(tables, tasks))
        try:
            return read_written(less, task.job.name), _index(less, task)
        except FileError:
            if len(tasks) == 1:
                raise
    raise AssertionError("the last try is of one task")


def read_alone(task: Task, pieces: Sequence[Piece] | None = None) -> JobFile:
    """The job with this task alone and the rows that it uses; FileError with what stands in the task's way. [-]"""
    tables = job_tables(task.job, pieces=pieces)
    return read_written(used_tables(_with_tasks(tables, [tables["task"][_index(tables, task)]])), task.job.name)


def sealed_part(tables: Mapping[str, Any], place: int) -> dict[str, Any]:
    """Of a job's tables, what is sealed of one task: itself, the task before it, and the rows that they use. [-]

    Its last task plans as it does in the whole job, for of the others only the one before leaves its setting on.
    """
    return used_tables(_with_tasks(tables, list(tables["task"][max(0, place - 1) : place + 1])))


def used_tables(tables: Mapping[str, Any]) -> dict[str, Any]:
    """Tables without the rows of the yard that none of their tasks uses. [-]"""
    used = {group: set(names) for group, names in _used(tables).items()}
    kept = {
        key: {name: row for name, row in rows.items() if name in used[key]} if key in used else rows
        for key, rows in tables.items()
    }
    return {key: rows for key, rows in kept.items() if rows or key not in used}


def job_text(job: Job) -> str:
    """A job as the text of a job file, whole, with the rows that its tasks use. [-]"""
    return format_job(toml_text(from_json(used_tables(job_tables(job)))))


def place_of(task: Task) -> int:
    """Which task of its job it is, from 0, of those in use. [-]"""
    return [one.pk for one in task.job.tasks.all() if one.retired_at is None].index(task.pk)


def runs_of(spec: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """The task's own table and those of its branches: each may hold a hose run and a tool. [-]"""
    yield spec
    yield from spec.get("branches", [])


def _used(tables: Mapping[str, Any]) -> dict[str, list[str]]:
    runs = [run for task in tables["task"] for run in runs_of(task)]
    items = [name for run in runs for name in run.get("hose_run", [])]
    tools = [run["tool"] for run in runs if "tool" in run]
    ports = [port for tool in tools for port in tables.get("tools", {}).get(tool, {}).get("ports", [])]
    tips = [port["tip"] for port in ports if "tip" in port]
    return {"hoses": items, "fittings": items, "tools": tools, "tips": tips}


def _with_tasks(tables: Mapping[str, Any], tasks: list[dict[str, Any]]) -> dict[str, Any]:
    names = {task["name"] for task in tasks}
    less = {**tables, "task": tasks}
    if "reading" in less:
        less["reading"] = [reading for reading in less["reading"] if reading.get("task") in names]
    return less


def _index(tables: Mapping[str, Any], task: Task) -> int:
    names = [one["name"] for one in tables["task"]]
    if task.name not in names:
        raise FileError([Problem(("task",), "no_such_task", task.name, {"known": names})])
    return names.index(task.name)
