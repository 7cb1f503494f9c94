"""Pages about what was signed: the list, one record with its sheet, and whether every seal holds."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, cast
from uuid import UUID

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from jetwright.web.people.models import Crew, Person
from jetwright.web.records.models import Record
from jetwright.web.records.seal import (
    Finding,
    at_text,
    check_chains,
    check_crew,
    check_links,
    check_record,
    known_keys,
    words_for,
)
from jetwright.web.records.since import Since, since_of

ROWS = 40
"""Records on one page of the list."""
AROUND = ("task__job__unit", "task__job__crew")
"""What tells how a record stands to what is kept now."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A record as a page shows it; says: its body, None where that is not what was sealed; wrong: in itself."""

    record: Record
    says: dict[str, Any] | None
    wrong: tuple[str, ...]
    since: Since


@require_safe
def records(request: HttpRequest) -> HttpResponse:
    """What one's crews signed, the latest first, each checked. [-]"""
    person = cast(Person, request.user)
    rows = Record.objects.visible_to(person).select_related("crew", *AROUND).order_by("-made_at", "-number")
    leaf = Paginator(rows, ROWS).get_page(request.GET.get("leaf"))
    crews = list(Crew.objects.visible_to(person))
    context = {
        "leaf": leaf,
        "seen": _seen(list(leaf)),
        "broken": _told(check_chains(crews)),
        "several": len(crews) > 1,
    }
    return render(request, "records/list.html", context)


@require_safe
def check(request: HttpRequest) -> HttpResponse:
    """Check every record of one's crews, and that none is missing. [-]"""
    crews = Crew.objects.visible_to(cast(Person, request.user))
    found = [(crew, crew.records.count(), _told(check_crew(crew))) for crew in crews]
    return render(request, "records/check.html", {"found": found})


@require_safe
def page(request: HttpRequest, record_id: UUID) -> HttpResponse:
    """What was signed, by whom, and whether its seal holds now. [-]"""
    return _page(request, _record(request, record_id))


@require_safe
def sheet(request: HttpRequest, record_id: UUID) -> HttpResponse:
    """The sheet as it was printed; one whose seal is broken is not handed out. [-]"""
    record = _record(request, record_id)
    if check_record(record):
        return _page(request, record, status=409)
    answer = HttpResponse(bytes(record.sheet), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="record-{record.number}.pdf"'
    return answer


@require_safe
def body(request: HttpRequest, record_id: UUID) -> HttpResponse:
    """The body as it is kept, byte by byte. [-]"""
    record = _record(request, record_id)
    answer = HttpResponse(record.body.encode(), content_type="application/json")
    answer["Content-Disposition"] = f'attachment; filename="record-{record.number}.json"'
    return answer


def _record(request: HttpRequest, record_id: UUID) -> Record:
    rows = Record.objects.visible_to(cast(Person, request.user)).select_related("crew", "by", *AROUND)
    found: Record = get_object_or_404(rows, pk=record_id)
    return found


def _page(request: HttpRequest, record: Record, status: int = 200) -> HttpResponse:
    same = Record.objects.filter(task=record.task_id, crew=record.crew_id).defer("body", "sheet")
    (seen,) = _seen([record])
    context = {
        "seen": seen,
        "made_at": at_text(record.made_at),
        "broken": _told(check_links(record.crew)),
        "earlier": same.filter(number__lt=record.number).order_by("-number").first(),
    }
    return render(request, "records/page.html", context, status=status)


def _seen(records: Sequence[Record]) -> list[Seen]:
    """Records checked, each with what became of it; what is not what was sealed is not shown as if it were."""
    known = known_keys()
    checked = [(record, check_record(record, known)) for record in records]
    says = {
        record.pk: json.loads(record.body)
        for record, found in checked
        if not {finding.what for finding in found} & {"body", "names", "signature"}
    }
    since = since_of([(record, says[record.pk]["written"] if record.pk in says else None) for record in records])
    return [Seen(record, says.get(record.pk), _told(found), since[record.pk]) for record, found in checked]


def _told(found: Any) -> tuple[str, ...]:
    findings: list[Finding] = list(found)
    return tuple(words_for(finding) for finding in findings)
