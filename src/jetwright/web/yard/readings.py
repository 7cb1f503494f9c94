"""Readings of the jobs that use a piece: under its new name it is the same piece, and so is the rig they were of."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from jetwright.actions.renamed import as_called_now, stands_with
from jetwright.errors import FileError
from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.written import read_alone
from jetwright.web.yard.models import Piece
from jetwright.web.yard.used import used_by

Rigs = dict[UUID, dict[str, str]]
"""Job → name of its task → what a reading of it would say that it was taken with."""


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings that a piece's new name could make those of another rig: the piece, its facts and the rigs before."""

    piece: Piece
    spec: dict[str, Any]
    rigs: Rigs


def readings_of(piece: Piece, before: str) -> Readings:
    """Of the jobs that use a piece by the name it has until it is saved; nobody saves those jobs until then. [-]"""
    kept = Piece.objects.get(pk=piece.pk)
    uses = used_by(piece, before) if piece.name != before else []
    jobs = sorted(use.job.pk for use in uses if use.job is not None and use.job.spec.get("reading"))
    list(Job.objects.select_for_update().filter(pk__in=jobs).order_by("pk"))  # before their tasks, as those who plan
    return Readings(kept, kept.spec, _rigs(jobs, kept, kept.spec))


def follow(readings: Readings) -> bool:
    """Let readings of that very rig be so under the new name; False where somebody saved their job meanwhile. [-]

    The caller holds the transaction, and gives it up at a False. What else of the piece was saved in the same act
    makes it another rig as ever.
    """
    now = _rigs(readings.rigs, readings.piece, readings.spec)
    for pk, rigs in readings.rigs.items():
        job = Job.objects.get(pk=pk)
        rows = [_followed(row, rigs, now.get(pk, {})) for row in job.spec["reading"]]
        if rows != job.spec["reading"]:
            job.spec = job.spec | {"reading": rows}
            if not job.change(job.version, ["spec"]):
                return False
    return True


def _followed(row: dict[str, Any], before: dict[str, str], after: dict[str, str]) -> dict[str, Any]:
    task = row.get("task", "")
    if not row.get("taken_with") or task not in before or task not in after:
        return row
    return row | {"taken_with": as_called_now(row["taken_with"], before[task], after[task])}


def _rigs(jobs: Iterable[UUID], piece: Piece, spec: dict[str, Any]) -> Rigs:
    """The rigs of the tasks of which there are readings, with these facts of the piece; not what cannot be read."""
    found: Rigs = {}
    for task in Task.objects.filter(job__in=jobs, retired_at=None).select_related("job__unit"):
        readings = task.job.spec.get("reading", [])
        if not any(row.get("task") == task.name and row.get("taken_with") for row in readings):
            continue
        pieces = list(Piece.objects.filter(crew_id=task.job.crew_id).in_use())
        for one in (*pieces, task.job.unit):
            if one is not None and one.pk == piece.pk:
                one.spec = spec
        try:
            found.setdefault(task.job_id, {})[task.name] = stands_with(read_alone(task, pieces))
        except FileError:
            continue
    return found
