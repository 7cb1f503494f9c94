"""Ratings written anew since a job was made, out of the trail: which, from, to, who, when."""

import datetime
from collections.abc import Iterator, Mapping
from typing import Any

from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db.models import Q
from django.utils import timezone

from jetwright.actions.sheet import RATINGS
from jetwright.report.sheet import Changed
from jetwright.report.wording import _
from jetwright.rig import description
from jetwright.web.described import flat
from jetwright.web.jobs.models import Job, Task
from jetwright.web.yard.forms import TABLES
from jetwright.web.yard.history import table_of
from jetwright.web.yard.models import Piece
from jetwright.web.yard.tables import GROUPS


def retyped(task: Task, written: Mapping[str, Any]) -> tuple[Changed, ...]:
    """Every rating-like value of a task, its job and the pieces it uses that was changed since the job was made. [-]

    written: the tables of the task with the rows that it uses. A piece in place of one of its name that was retired
    counts as that one changed.
    """
    job = task.job
    made = LogEntry.objects.filter(_of(Job, [job.pk]), action=LogEntry.Action.CREATE).order_by("pk").first()
    since = datetime.datetime.min.replace(tzinfo=datetime.UTC) if made is None else made.timestamp
    pieces = {str(piece.pk): piece for piece in _used(job, written)}
    about = _of(Piece, pieces) | _of(Job, [job.pk]) | _of(Task, [task.pk])
    rows = LogEntry.objects.filter(about, timestamp__gt=since).select_related("actor", "content_type").order_by("pk")
    found: list[Changed] = []
    for row in rows:
        if "spec" not in (row.changes or {}):
            continue
        first, after = (table_of(value) for value in row.changes["spec"][:2])
        table, part = _called(row, pieces, task)
        before = _replaced(pieces.get(row.object_pk)) if row.action == LogEntry.Action.CREATE else first
        who = _("nobody who entered") if row.actor is None else row.actor.in_full
        found += _changes(table, part, before, after, who, timezone.localtime(row.timestamp).date())
    return tuple(found)


def _of(model: type[Any], keys: Any) -> Q:
    return Q(content_type=ContentType.objects.get_for_model(model), object_pk__in=[str(key) for key in keys])


def _used(job: Job, written: Mapping[str, Any]) -> Iterator[Piece]:
    """The pieces in use that a task's tables name, and its unit with what sits on it."""
    used = {(kind, name) for kind, group in GROUPS.items() for name in written.get(group, {})}
    for piece in Piece.objects.filter(crew_id=job.crew_id).in_use():
        on_it = job.unit_id is not None and job.unit_id in (piece.pk, piece.on_id)
        if on_it or (piece.kind, piece.name) in used:
            yield piece


def _called(row: Any, pieces: Mapping[str, Piece], task: Task) -> tuple[type[Any], str]:
    """The table that a line of the trail is about, and what whoever reads it calls the thing."""
    piece = pieces.get(row.object_pk)
    if piece is not None:
        return TABLES[piece.kind], piece.name
    if row.object_pk == str(task.pk):
        return description.Task, task.name
    return description.Job, task.job.name


def _replaced(piece: Piece | None) -> Mapping[str, Any] | None:
    """What the piece said in whose place this one was put; None: it stands in no other's place."""
    if piece is None:
        return None
    same = Piece.objects.filter(crew_id=piece.crew_id, kind=piece.kind, name=piece.name, on_id=piece.on_id)
    last = same.exclude(retired_at=None).exclude(pk=piece.pk).order_by("-retired_at").first()
    return None if last is None else last.spec


def _changes(
    table: type[Any],
    part: str,
    before: Mapping[str, Any] | None,
    after: Mapping[str, Any],
    who: str,
    when: datetime.date,
) -> Iterator[Changed]:
    if before is None:
        return
    was, now = flat(table, before), flat(table, after)
    for key in dict.fromkeys([*was, *now]):
        if key.rpartition(".")[2] in RATINGS and was.get(key) != now.get(key):
            what, _said = now.get(key) or was[key]
            first, last = (told.get(key, ("", ""))[1] for told in (was, now))
            yield Changed(_("{part}, {what}").format(part=part, what=what), first, last, who, when)
