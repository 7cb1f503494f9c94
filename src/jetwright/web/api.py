"""What a program may ask: a job's tables, its plan, and what a typed quantity means."""

import json
from typing import Any
from uuid import UUID

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from ninja import NinjaAPI, Schema
from ninja.errors import HttpError, ValidationError
from ninja.security import django_auth

from jetwright import units
from jetwright.actions.plan import plan_tables
from jetwright.errors import FileError, Problem, UnitError
from jetwright.report.plan_json import plan_facts
from jetwright.report.problems import key_words, problem_words
from jetwright.report.wording import _
from jetwright.web.jobs.seen import seen_job
from jetwright.web.jobs.written import job_tables, read_written
from jetwright.web.typed import read_typed
from jetwright.web.typed import understood as said_back
from jetwright.web.worker import WorkerLostError, WorkerTimeoutError, in_worker, one_at_a_time

LONGEST = 200
"""Most letters of a quantity."""
PLAN_TIME = 30.0
"""How long a plan may take, beside the server. [s]"""


def entered(view: Any) -> Any:
    """A page of the API, answered to whoever has entered. [-]"""

    def page(request: HttpRequest, **named: Any) -> HttpResponse:
        if not request.user.is_authenticated:
            return not_answered(request, HttpError(401, ""))
        answer: HttpResponse = view(request, **named)
        return answer

    return page


api = NinjaAPI(
    title="Jetwright", version="1", auth=django_auth, docs_url=None, docs_decorator=entered, urls_namespace="api"
)


class Fault(Schema):
    """One thing that is wrong: the key it belongs to, a code for programs, words for people."""

    key: str
    code: str
    says: str


class Refused(Schema):
    """Why nothing is answered."""

    problems: list[Fault]


class Typed(Schema):
    """A quantity as somebody typed it, and its kind, as in "pressure"."""

    text: str
    kind: str


class Understood(Schema):
    """What it means: said back in words, and in SI."""

    says: str
    si: float


NOT_ANSWERED: dict[Any, Any] = dict.fromkeys((400, 401, 403, 404, 405, 408, 413, 422, 429, 500, 503), Refused)


@api.get("/jobs/{uuid:job_id}", response={200: dict[str, Any], **NOT_ANSWERED})
def job(request: HttpRequest, job_id: UUID) -> dict[str, Any]:
    """The tables of a job, as a job file would hold them. [-]"""
    return job_tables(seen_job(request, job_id))


@api.get("/jobs/{uuid:job_id}/plan", response={200: dict[str, Any], **NOT_ANSWERED})
def plan(request: HttpRequest, job_id: UUID) -> dict[str, Any]:
    """The plan of a job, as `jetwright plan --json` gives it; what would cure a refusal is not looked for. [-]"""
    seen = seen_job(request, job_id)
    tables = job_tables(seen)
    read_written(tables, seen.name)  # refused here, in the words of whoever asks
    with one_at_a_time(str(request.user.pk)):
        return plan_facts(in_worker(plan_tables, json.dumps(tables), None, False, timeout=PLAN_TIME))


@api.post("/understood", response={200: Understood, **NOT_ANSWERED})
def understood(request: HttpRequest, typed: Typed) -> Understood:
    """What a typed quantity means. [-]"""
    if typed.kind not in units.KINDS or typed.kind == "flow_at":
        raise FileError([Problem(("kind",), "not_one_of", typed.kind[:LONGEST], {"known": sorted(units.KINDS)})])
    text = typed.text[: LONGEST + 1]
    value = read_typed(text, typed.kind)
    return Understood(says=said_back(text, typed.kind), si=value)


@api.exception_handler(FileError)
def not_read(request: HttpRequest, error: Exception) -> HttpResponse:
    """What is asked about cannot be read, or is not physical. [-]"""
    problems = error.problems if isinstance(error, FileError) else []
    return _refused(request, 422, [Fault(key=key_words(p.key), code=p.code, says=problem_words(p)) for p in problems])


@api.exception_handler(UnitError)
def not_understood(request: HttpRequest, error: Exception) -> HttpResponse:
    """A quantity has no reading, or two. [-]"""
    assert isinstance(error, UnitError)
    problem = Problem((), error.code, error.written, error.facts)
    return _refused(request, 422, [Fault(key="text", code=error.code, says=problem_words(problem))])


@api.exception_handler(ValidationError)
def not_asked_rightly(request: HttpRequest, error: Exception) -> HttpResponse:
    """What was sent is not what is asked for. [-]"""
    found = error.errors if isinstance(error, ValidationError) else []
    faults = [
        Fault(
            key=".".join(str(part) for part in one.get("loc", ())[1:]),
            code="wrong_type",
            says=_("is missing or of another type"),
        )
        for one in found
    ]
    return _refused(request, 422, faults)


@api.exception_handler(Http404)
def not_there(request: HttpRequest, error: Exception) -> HttpResponse:
    """There is no such job, or it is another crew's. [-]"""
    return _refused(request, 404, [Fault(key="", code="not_found", says=_("There is no such job."))])


@api.exception_handler(PermissionDenied)
def not_allowed(request: HttpRequest, error: Exception) -> HttpResponse:
    """It is seen, and may not be done. [-]"""
    return _refused(request, 403, [Fault(key="", code="not_yours", says=_("Your role does not allow this."))])


@api.exception_handler(WorkerTimeoutError)
@api.exception_handler(WorkerLostError)
def not_worked_out(request: HttpRequest, error: Exception) -> HttpResponse:
    """It took too long. [-]"""
    says = _("This took too long and was ended. Ask for less.")
    return _refused(request, 503, [Fault(key="", code="too_long", says=says)])


@api.exception_handler(HttpError)
def not_answered(request: HttpRequest, error: Exception) -> HttpResponse:
    """Nobody entered, the token of the page is lacking, or what was sent is no JSON. [-]"""
    status = error.status_code if isinstance(error, HttpError) else 400
    code, says = {
        401: ("not_entered", _("Enter first.")),
        403: ("no_token", _("Send the token that a page of the counter carries, as X-CSRFToken.")),
    }.get(status, ("not_json", _("What was sent cannot be read.")))
    return _refused(request, status, [Fault(key="", code=code, says=says)])


def _refused(request: HttpRequest, status: int, faults: list[Fault]) -> HttpResponse:
    return api.create_response(request, Refused(problems=faults), status=status)


addresses = api.urls
for _address in addresses[0]:
    assert _address.callback is not None
    login_not_required(_address.callback)  # the API asks by itself, and answers 401 in place of a page
