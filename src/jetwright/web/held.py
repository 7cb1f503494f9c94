"""What holds a page up, in words: the database is locked, too much is asked at once, something is broken.

A program, which asks below `API`, is told so in the shape that it reads.
"""

import json
import logging
import sqlite3
import sys
from collections.abc import Callable

from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.db import IntegrityError, OperationalError
from django.http import HttpRequest, HttpResponse, HttpResponseNotFound, JsonResponse
from django.template import loader
from django.utils import translation

from jetwright.report.wording import N_, _, speaking
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
    408: ("too_slow", N_("What was sent came too slowly, and nothing of it was kept. Send it again.")),
    413: ("too_large", N_("What was sent is too large, and nothing of it was kept. Send less at once.")),
    500: ("broken", N_("Something is broken, and nothing was done. Whoever runs the counter finds why in its log.")),
    503: (
        "busy",
        N_("Nothing was done: too much is asked of the counter just now. Wait some seconds, then try again."),
    ),
}
"""Status of a page that a program cannot read → a code, and the words of it."""

TITLES = {408: N_("Too slow"), 409: N_("Not saved"), 413: N_("Too large")}
"""Status → what a page is called, where it is another than that one may try again."""

TOO_MUCH = (RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent)


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
        return _in_short(request, 503)
    if isinstance(error, WorkerBusyError):
        words = _("What you asked for before is still being worked on. Wait for it, then try again.")
        return _answer(request, 429, "busy", words)
    if isinstance(error, IntegrityError) and _there_already(error):
        words = _("Somebody saved the same in this moment, and yours is not saved. Look what is new, then do it again.")
        return _answer(request, 409, "meanwhile", words)
    return None


def _there_already(error: IntegrityError) -> bool:
    """Whether the database refused a row because another has its name, on SQLite or on PostgreSQL."""
    cause = error.__cause__
    twice = (sqlite3.SQLITE_CONSTRAINT_UNIQUE, sqlite3.SQLITE_CONSTRAINT_PRIMARYKEY)
    return getattr(cause, "sqlstate", "") == "23505" or getattr(cause, "sqlite_errorcode", 0) in twice


def failed(request: HttpRequest) -> HttpResponse:
    """The page for an error that nobody foresaw, and for what holds up everything around a page. [-]"""
    return told(request, sys.exc_info()[1]) or _in_short(request, 500)


def not_read(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The page for what cannot be read, or is more than is read at once. [-]"""
    return refused(request, 413 if isinstance(exception, TOO_MUCH) else 400)


def not_there(request: HttpRequest, exception: Exception) -> HttpResponse:
    """The page for an address that is none; what was sent to it is not looked at. [-]"""
    if by_program(request):
        return _in_short(request, 404)
    return HttpResponseNotFound(loader.render_to_string("404.html", request=request))


def refused(request: HttpRequest, status: int) -> HttpResponse:
    """The page for what is refused before it is known who asks: in the language of the browser. [-]"""
    with speaking(translation.get_language_from_request(request)):
        return _in_short(request, status)


def _in_short(request: HttpRequest, status: int) -> HttpResponse:
    code, words = IN_SHORT[status]
    return _answer(request, status, code, _(words))


def _answer(request: HttpRequest, status: int, code: str, words: str) -> HttpResponse:
    """It asks nothing of the database: neither who it is for, nor what else there is to tell."""
    headers = {"Cache-Control": "no-store"} | ({"Retry-After": str(SOON)} if status in (429, 503) else {})
    if by_program(request):
        return JsonResponse(fault(code, words), status=status, headers=headers)
    named = f"{status}.html" if status in (400, 500) else "held.html"
    context = {"title": _(TITLES.get(status, N_("Try again in a moment"))), "words": words}
    return HttpResponse(loader.render_to_string(named, context), status=status, headers=headers)


class Short(logging.Filter):
    """A request that cannot be read is one line of the log, not the way that it went through the program."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Always; what is too much is taken off. [-]"""
        status = getattr(record, "status_code", 0)
        if record.name.startswith("django.security") or 400 <= status < 500 or status == 503:
            record.exc_info = record.exc_text = None
        return True
