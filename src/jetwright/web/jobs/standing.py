"""How far the jobs of a list are signed, and whether what is kept still is what was signed: asked for all at once.

A record carries a mark of what was written, beside its body: no body is read here, and nothing is planned.
"""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal
from uuid import UUID

from django.db.models import OuterRef, Subquery

from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.written import job_tables, sealed_part
from jetwright.web.records.models import Record
from jetwright.web.yard.models import Piece


@dataclass(frozen=True, slots=True)
class Standing:
    """A job with its tasks in use, each with how it stands: "" for one that nobody signed."""

    job: Job
    tasks: tuple[tuple[Task, Literal["", "signed", "changed"]], ...]

    @property
    def signed(self) -> int:
        """How many of its tasks were signed. [-]"""
        return sum(bool(how) for _task, how in self.tasks)

    @property
    def changed(self) -> int:
        """How many of them are not any more what was signed. [-]"""
        return sum(how == "changed" for _task, how in self.tasks)


def written_mark(tables: Mapping[str, Any], task: Task) -> str:
    """A digest of what would be sealed of a task, out of the tables of its job; "" where they do not have it. [-]"""
    names = [one["name"] for one in tables["task"]]
    if task.name not in names:
        return ""
    part = sealed_part(tables, names.index(task.name))
    return hashlib.sha256(json.dumps(part, sort_keys=True).encode()).hexdigest()


def standing_of(jobs: Sequence[Job]) -> list[Standing]:
    """The jobs with how their tasks stand; their tasks and units are there already. [-]"""
    last = Record.objects.filter(task=OuterRef("task")).order_by("-number").values("pk")[:1]
    records = Record.objects.filter(task__job__in=jobs, task__retired_at=None, pk=Subquery(last))
    marks: dict[UUID, str] = dict(records.values_list("task", "written"))
    pieces: dict[UUID, list[Piece]] = {}
    crews = {job.crew_id for job in jobs if any(task.pk in marks for task in job.tasks.all())}
    for piece in Piece.objects.filter(crew__in=crews).in_use():
        pieces.setdefault(piece.crew_id, []).append(piece)
    return [_standing(job, marks, pieces.get(job.crew_id, [])) for job in jobs]


def _standing(job: Job, marks: Mapping[UUID, str], pieces: Sequence[Piece]) -> Standing:
    tasks = [task for task in job.tasks.all() if task.retired_at is None]
    tables = job_tables(job, pieces=pieces) if any(task.pk in marks for task in tasks) else {}
    found: list[tuple[Task, Literal["", "signed", "changed"]]] = []
    for task in tasks:
        mark = marks.get(task.pk)
        same = not mark or mark == written_mark(tables, task)  # "": of a record that came without one
        found.append((task, "" if mark is None else "signed" if same else "changed"))
    return Standing(job, tuple(found))
