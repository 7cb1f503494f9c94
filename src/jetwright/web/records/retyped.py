"""Ratings and test dates written anew, out of the trail: which, from, to, who, when."""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db.models import Q
from django.utils import timezone

from jetwright.actions.sheet import RATINGS
from jetwright.report.sheet import Changed
from jetwright.report.wording import _
from jetwright.rig import description
from jetwright.web.jobs.models import Job, Task
from jetwright.web.records.stood import Spots, as_is, steps
from jetwright.web.typed import flat
from jetwright.web.yard.forms import TABLES
from jetwright.web.yard.history import table_of
from jetwright.web.yard.models import Piece

RECENT = datetime.timedelta(days=14)
"""A job made after a rating was typed away does not hide that."""

Flat = Mapping[str, tuple[str, str]]
Told = tuple[Any, str, Flat, Flat]
"""A line of the trail, what it is about, and what was written there before it and after it."""


def retyped(task: Task, written: Mapping[str, Any]) -> tuple[Changed, ...]:
    """Every rating or test date of a task, its job and its pieces that was changed since the job was made, or lately.

    written: the tables of the task with the rows that it uses. A piece in another's place counts as that one changed,
    be that one retired, renamed or moved. What was filled in before there was the job replaces nothing. [-]
    """
    job = task.job
    made = LogEntry.objects.filter(_of(Job, [job.pk]), action=LogEntry.Action.CREATE).order_by("pk").first()
    began = datetime.datetime.min.replace(tzinfo=datetime.UTC) if made is None else made.timestamp
    since = min(began, timezone.now() - RECENT)
    spots = Spots.of(job, written)
    pieces = {str(piece.pk): piece for piece in spots.pieces(since)}
    about = _of(Piece, pieces) | _of(Job, [job.pk]) | _of(Task, [task.pk])
    rows = LogEntry.objects.filter(about, timestamp__gt=since).select_related("actor", "content_type").order_by("pk")
    own = [row for row in rows if row.object_pk in pieces]
    told = [*_of_pieces(spots, pieces, own), *_of_the_task(task, [row for row in rows if row.object_pk not in pieces])]
    found: list[Changed] = []
    for row, part, was, now in sorted(told, key=lambda one: one[0].pk):
        who = _("the counter itself") if row.actor is None else row.actor.in_full
        changes = _changes(part, was, now, who, timezone.localtime(row.timestamp).date())
        listed = {one.key for one in found}
        found += [one for one in changes if one.before or row.timestamp > began or one.key in listed]
    return tuple(found)


def _of_pieces(spots: Spots, pieces: Mapping[str, Piece], rows: Sequence[Any]) -> Iterator[Told]:
    """What was said of pieces where the task reads them, under the name that whoever reads it calls them by."""
    for row, before, after in steps(spots, pieces.values(), rows):
        stood = after or before
        assert stood is not None
        piece = pieces[stood.key]
        name = piece.name if spots.read(as_is(piece)) else stood.name
        was, now = ({} if one is None else flat(TABLES[one.kind], one.spec) for one in (before, after))
        yield row, name, was, now


def _of_the_task(task: Task, rows: Sequence[Any]) -> Iterator[Told]:
    """What was said in the tables of the task and of its job."""
    for row in rows:
        if "spec" in (row.changes or {}) and row.action != LogEntry.Action.CREATE:
            own = row.object_pk == str(task.pk)
            table, name = (description.Task, task.name) if own else (description.Job, task.job.name)
            was, now = (flat(table, table_of(value)) for value in row.changes["spec"][:2])
            yield row, name, was, now


def _of(model: type[Any], keys: Any) -> Q:
    return Q(content_type=ContentType.objects.get_for_model(model), object_pk__in=[str(key) for key in keys])


def _changes(part: str, was: Flat, now: Flat, who: str, when: datetime.date) -> Iterator[Changed]:
    for key in dict.fromkeys([*was, *now]):
        if key.rpartition(".")[2] in RATINGS and was.get(key) != now.get(key):
            what, _said = now.get(key) or was[key]
            first, last = (told.get(key, ("", ""))[1] for told in (was, now))
            yield Changed(_("{part}, {what}").format(part=part, what=what), first, last, who, when)
