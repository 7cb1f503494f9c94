"""What was signed of the tasks of a job, and whether it still says what is kept."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, Subquery
from django.utils import timezone

from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.written import job_tables, sealed_part
from jetwright.web.records.models import Record


@dataclass(frozen=True, slots=True)
class Signed:
    """The last record of a task; changed: what would be sealed of it now is written otherwise."""

    record: UUID
    number: int
    day: str
    who: str
    changed: bool


def signed_of(job: Job, tasks: Iterable[Task], tables: Mapping[str, Any] | None = None) -> dict[UUID, Signed]:
    """Each task of a job that was signed, by its uuid; tables: those of the job, where somebody has them. [-]"""
    last = Record.objects.filter(task=OuterRef("task")).order_by("-number").values("pk")[:1]
    rows = Record.objects.filter(task__in=list(tasks), pk=Subquery(last))
    records = list(rows.select_related("by", "task").defer("sheet"))
    if records and tables is None:
        tables = job_tables(job)
    return {
        record.task_id: Signed(
            record=record.pk,
            number=record.number,
            day=timezone.localtime(record.made_at).date().isoformat(),
            who=str(record.by),
            changed=_written(record) != _kept(record.task, tables or {}),
        )
        for record in records
    }


def _written(record: Record) -> Any:
    """What a record says was written; None where its body cannot be read: its own page says so."""
    try:
        return json.loads(record.body)["written"]
    except (ValueError, KeyError, TypeError):
        return None


def _kept(task: Task, tables: Mapping[str, Any]) -> dict[str, Any] | None:
    names = [one["name"] for one in tables.get("task", [])]
    return sealed_part(tables, names.index(task.name)) if task.name in names else None
