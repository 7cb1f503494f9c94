"""What holds a page up, in words: the database is locked, too much is asked at once, something is broken.

A program, which asks below `API`, is told so in the shape that it reads.
"""

import json
import logging
import sys
from collections.abc import Callable

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template import loader

from jetwright.report.wording import N_, _
from jetwright.web.worker import WorkerBusyError

Answer = Callable[[HttpRequest], HttpResponse]

SOON = 5
"""After how long one may try again. [s]"""

API = "/api/"
"""Below it ask programs."""

IN_SHORT = {
    400: ("not_read", N_("What was sent cannot be read.")),
    403: ("not_yours", N_("Your role does not allow this.")),
    404: ("not_found", N_("There is nothing at this address.")),
    405: ("not_so", N_("This address is not asked in this way.")),
    500: ("broken", N_("Something is broken, and nothing was done. Whoever runs the counter finds why in its log.")),
}
"""Status of a page that a program cannot read → a code, and the words of it."""


class BusyError(Exception):
    """Too many ask for the same, or what was done cannot be written down now; nothing was done."""


def held(get_response: Answer) -> Answer:
    """Whatever holds up a page is said in words, and nothing of it in a log. [-]"""

    def page(request: HttpRequest) -> HttpResponse:
        answer = get_response(request)
        short = IN_SHORT.get(answer.status_code)
        if short and by_program(request) and not answer.get("Content-Type", "").startswith("application/json"):
            code, words = short
            answer.content, answer["Content-Type"] = json.dumps(fault(code, _(words))), "application/json"
        return answer

    page.process_exception = told  # type: ignore[attr-defined]
    return page


def by_program(request: HttpRequest) -> bool:
    """Whether a program asks, which reads no pages. [-]"""
    return request.path_info.startswith(API)


def fault(code: str, says: str) -> dict[str, list[dict[str, str]]]:
    """One thing that is wrong, as the API says it. [-]"""
    return {"problems": [{"key": "", "code": code, "says": says}]}


def told(request: HttpRequest, error: BaseException | None) -> HttpResponse | None:
    """The page for what holds another up; None for any other error. [-]"""
    if isinstance(error, (BusyError, OperationalError)):
        words = _("Nothing was done: too much is asked of the counter just now. Wait some seconds, then try again.")
        return _later(request, 503, words)
    if isinstance(error, WorkerBusyError):
        words = _("What you asked for before is still being worked on. Wait for it, then try again.")
        return _later(request, 429, words)
    return None


def failed(request: HttpRequest) -> HttpResponse:
    """The page for an error that nobody foresaw, and for what holds up everything around a page. [-]"""
    answer = told(request, sys.exc_info()[1])
    if answer is None and by_program(request):
        code, words = IN_SHORT[500]
        answer = JsonResponse(fault(code, _(words)), status=500)
    return answer or HttpResponse(loader.render_to_string("500.html"), status=500)


def _later(request: HttpRequest, status: int, words: str) -> HttpResponse:
    """It asks nothing of the database: neither who it is for, nor what else there is to tell."""
    headers = {"Retry-After": str(SOON), "Cache-Control": "no-store"}
    if by_program(request):
        return JsonResponse(fault("busy", words), status=status, headers=headers)
    return HttpResponse(loader.render_to_string("held.html", {"words": words}), status=status, headers=headers)


class Short(logging.Filter):
    """A request that cannot be read is one line of the log, not the way that it went through the program."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Always; what is too much is taken off. [-]"""
        if record.name.startswith("django.security") or 400 <= getattr(record, "status_code", 0) < 500:
            record.exc_info = record.exc_text = None
        return True
