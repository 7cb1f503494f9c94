"""What a record says: what was written, what was solved, what was printed, and who signed it why."""

import datetime
from collections.abc import Mapping, Sequence
from typing import Any

from jetwright import __version__
from jetwright.actions.sign import ToSign, signed_sheet
from jetwright.files.job import JobFile
from jetwright.files.tables import as_json, thawed
from jetwright.report.limits import limit_title
from jetwright.report.sheet import Changed, Signed
from jetwright.web.asked import is_demo
from jetwright.web.jobs.models import Task
from jetwright.web.jobs.written import sealed_part
from jetwright.web.people.models import Person
from jetwright.web.records.seal import at_text, canonical, sha256

FORMAT = 1
"""Of a body; a later one has a higher number, and pages read them all."""


def sealed_tables(read: JobFile, place: int) -> dict[str, Any]:
    """What was written, as a job in JSON: the task at a place, the one before it, and the rows they use. [-]"""
    return sealed_part(as_json(thawed(read.written)), place)


def shown_mark(made: ToSign) -> str:
    """A digest of what a person is shown before signing: it changes when what would be sealed does. [-]"""
    told = {
        "written": sealed_tables(made.read, made.place),
        "day": made.plan.day.isoformat(),
        "rules": made.rules(),
        "solved": made.solved(),
    }
    return sha256(canonical(told))


def reasons_of(made: ToSign, reasons: Sequence[str], units: str) -> list[dict[str, Any]]:
    """What a body says of the reasons, one given for each of `made.looks`. [-]"""
    return [
        {
            "limits": [{"limit": limit.id, "about": limit.about, "says": limit_title(limit)} for limit in look.limits],
            "missing": look.missing,
            "lacks": look.lacks(units, made.read.job.unit),
            "reason": reason,
        }
        for look, reason in zip(made.looks, reasons, strict=True)
    ]


def body_of(
    made: ToSign,
    task: Task,
    *,
    record: str,
    address: str,
    person: Person,
    role: tuple[str, str],
    at: datetime.datetime,
    printed_at: str,
    language: str,
    reasons: Sequence[str],
    changed: Sequence[Changed],
    confirmed_by: str,
    follows: Mapping[str, Any] | None,
    back: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """The body of the record of a task that somebody signs. [-]

    role: as it is kept, and in words; printed_at: the time as the sheet prints it; reasons: one for each of
    `made.looks`; changed: ratings and test dates that were written anew; confirmed_by: "pin" or "password";
    follows: number, uuid and digest of the last record of the same task; back: of the sheet, where it is there already.
    """
    given = [(look.limits, reason) for look, reason in zip(made.looks, reasons, strict=True)]
    crew = task.job.crew
    signed = Signed(str(person), role[1], printed_at, given, crew.name, is_demo(crew))
    return {
        "format": FORMAT,
        "version": __version__,
        "record": record,
        "address": address,
        "crew": {"uuid": str(crew.pk), "name": crew.name},
        "job": {"uuid": str(task.job_id), "name": task.job.name},
        "task": {"uuid": str(task.pk), "name": task.name, "version": task.version},
        "day": made.plan.day.isoformat(),
        "written": sealed_tables(made.read, made.place),
        "rules": made.rules(),
        "solved": made.solved(),
        "changed": [
            {"key": one.key, "before": one.before, "after": one.after, "who": one.who, "when": one.when.isoformat()}
            for one in changed
        ],
        "printed": signed_sheet(made, signed, person.units, changed, back),
        "signed": {
            "who": str(person),
            "person": str(person.pk),
            "username": person.username,
            "confirmed_by": confirmed_by,
            "role": role[0],
            "practice": signed.practice,
            "at": at_text(at),
            "units": person.units,
            "language": language,
            "reasons": reasons_of(made, reasons, person.units),
        },
        "follows": None if follows is None else dict(follows),
    }
