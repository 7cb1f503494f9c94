"""Signing: a record with the next number of its crew, sealed and printed, whole or not at all."""

import datetime
import io
import json
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import segno
from django.db import transaction
from django.utils import timezone

from jetwright.report.press import sheet_files
from jetwright.report.sheet import sealed
from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.standing import written_mark
from jetwright.web.jobs.written import job_tables
from jetwright.web.people.models import Crew, Person
from jetwright.web.records import seal
from jetwright.web.records.models import Record
from jetwright.web.worker import at_the_press
from jetwright.web.yard.models import Piece

PRESS_TIME = 15.0
"""How long the press may take while the crew's next number is held; shorter than a database waits. [s]"""


PRESS_WAIT = 30.0
"""How long one waits for the press, before anything is held. [s]"""


class TakenError(Exception):
    """There is a record of that uuid already, and it is another's, or says other reasons."""


class ChangedError(Exception):
    """What would be sealed is no longer what was shown."""


@dataclass(frozen=True, slots=True)
class Draft:
    """What a record will be of; body: makes it, of when it is made and of the record of the same task before.

    address: of its page, for other devices; "": there is none, and no code is printed.
    reasons: as the body has them; still: whether all is as it was shown, asked once nobody can change it.
    """

    uuid: uuid.UUID
    crew: Crew
    task: Task
    by: Person
    address: str
    body: Callable[[datetime.datetime, Mapping[str, Any] | None], dict[str, Any]]
    reasons: list[dict[str, Any]]
    still: Callable[[], bool]


def matrix_code(address: str) -> str:
    """An address as a QR code, an SVG (ISO/IEC 18004, error correction M). [-]"""
    made = io.BytesIO()
    segno.make(address, error="m", micro=False).save(made, kind="svg", xmldecl=False, border=2)
    return made.getvalue().decode()


def add_record(draft: Draft) -> Record:
    """The record, added with the next number of its crew; one that is there already is given back. [-]

    Whoever else signs in the crew waits until it is there: so numbers have no hole, and each follows the one before.
    """
    with at_the_press(PRESS_WAIT) as ask, transaction.atomic():
        Crew.objects.select_for_update().get(pk=draft.crew.pk)
        there: Record | None = Record.objects.filter(pk=draft.uuid).first()
        if there is not None:
            if (there.task_id, there.by_id) != (draft.task.pk, draft.by.pk):
                raise TakenError
            if json.loads(there.body)["signed"]["reasons"] != draft.reasons:
                raise TakenError
            return there
        _hold(draft.task)
        if not draft.still():
            raise ChangedError
        last = Record.objects.filter(crew=draft.crew).order_by("-number").first()
        same = Record.objects.filter(task=draft.task).order_by("-number").first()
        at = timezone.now()
        follows = None
        if same is not None:
            follows = {"number": same.number, "record": str(same.pk), "digest": same.digest}
        body = draft.body(at, follows)
        record = Record(
            uuid=draft.uuid,
            crew=draft.crew,
            number=1 if last is None else last.number + 1,
            task=draft.task,
            by=draft.by,
            made_at=at,
            body=seal.canonical(body).decode(),
            previous="" if last is None else last.digest,
            written=written_mark(job_tables(draft.task.job), draft.task),
        )
        record.digest = seal.digest_of(record)
        printed = json.loads(record.body)["printed"]
        code = matrix_code(draft.address) if draft.address else ""
        before = "" if same is None else same.fingerprint
        facts = sealed(printed, record.fingerprint, record.number, code, before)
        (record.sheet,) = ask(sheet_files, facts, timeout=PRESS_TIME)
        seal.close(record)
        record.save()
    return record


def _hold(task: Task) -> None:
    """Whoever would change the job, its tasks or a piece of the crew waits; SQLite lets nobody write anyway.

    A piece or a task that is added waits for the row of the crew or of the job that it belongs to.
    """
    rows: list[Any] = [
        Job.objects.select_for_update().filter(pk=task.job_id),
        Task.objects.select_for_update(no_key=True).filter(job=task.job_id),
        Piece.objects.select_for_update(no_key=True).filter(crew=task.job.crew_id),
    ]
    for found in rows:
        list(found.order_by("pk").values_list("pk", flat=True))
