"""What became of records since they were signed: another in their place, or what is kept is written otherwise."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, Subquery

from jetwright.web.jobs.models import Task
from jetwright.web.jobs.written import job_tables, sealed_part
from jetwright.web.records.models import Record
from jetwright.web.yard.models import Piece


@dataclass(frozen=True, slots=True)
class Since:
    """Of one record. later: the last of the same task, where that is another; changed: what is kept now is not it."""

    later: Record | None = None
    changed: bool = False


def since_of(written: Sequence[tuple[Record, Mapping[str, Any] | None]]) -> dict[UUID, Since]:
    """What became of each record, by its uuid; beside it what it says was written, None where that is not sealed. [-]

    A task or a job that is retired is done: nothing is kept of it that could differ.
    """
    tasks = {record.task.pk: record.task for record, _said in written if record.task is not None}
    last = _last_of(list(tasks.values()))
    in_use = [task for task in tasks.values() if task.retired_at is None and task.job.retired_at is None]
    tables = _tables_of(in_use)
    kept: dict[UUID | None, dict[str, Any]] = {task.pk: _kept(task, tables[task.job_id]) for task in in_use}
    return {
        record.pk: Since(
            later=last[record.task_id] if record.task_id and last[record.task_id] != record else None,
            changed=said is not None and kept.get(record.task_id, said) != said,
        )
        for record, said in written
    }


def _last_of(tasks: Sequence[Task]) -> dict[UUID, Record]:
    last = Record.objects.filter(task=OuterRef("task")).order_by("-number").values("pk")[:1]
    rows = Record.objects.filter(task__in=tasks, pk=Subquery(last)).defer("body", "sheet")
    return {row.task_id: row for row in rows if row.task_id is not None}


def _tables_of(tasks: Sequence[Task]) -> dict[UUID, dict[str, Any]]:
    """The tables of each job that the tasks are of, by its uuid; the pieces of their crews are asked for at once."""
    pieces: dict[UUID, list[Piece]] = {}
    for piece in Piece.objects.filter(crew__in={task.job.crew_id for task in tasks}).in_use():
        pieces.setdefault(piece.crew_id, []).append(piece)
    jobs = {task.job_id: task.job for task in tasks}
    return {key: job_tables(job, pieces=pieces.get(job.crew_id, [])) for key, job in jobs.items()}


def _kept(task: Task, tables: Mapping[str, Any]) -> dict[str, Any]:
    """What would be sealed of a task now."""
    return sealed_part(tables, [one["name"] for one in tables["task"]].index(task.name))
