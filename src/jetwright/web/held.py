"""What holds a page up, in words: the database is locked, too much is asked at once, something is broken."""

import logging
import sys
from collections.abc import Callable

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.template import loader

from jetwright.report.wording import _
from jetwright.web.worker import WorkerBusyError

Answer = Callable[[HttpRequest], HttpResponse]

SOON = 5
"""After how long one may try again. [s]"""


class BusyError(Exception):
    """Too many ask for the same, or what was done cannot be written down now; nothing was done."""


def held(get_response: Answer) -> Answer:
    """Whatever holds up a page is said in words, and nothing of it in a log. [-]"""

    def page(request: HttpRequest) -> HttpResponse:
        return get_response(request)

    page.process_exception = told  # type: ignore[attr-defined]
    return page


def told(request: HttpRequest, error: BaseException | None) -> HttpResponse | None:
    """The page for what holds another up; None for any other error. [-]"""
    if isinstance(error, (BusyError, OperationalError)):
        words = _("Nothing was done: too much is asked of the counter just now. Wait some seconds, then try again.")
        return _page(503, words)
    if isinstance(error, WorkerBusyError):
        return _page(429, _("What you asked for before is still being worked on. Wait for it, then try again."))
    return None


def failed(request: HttpRequest) -> HttpResponse:
    """The page for an error that nobody foresaw, and for what holds up everything around a page. [-]"""
    answer = told(request, sys.exc_info()[1])
    return answer or HttpResponse(loader.render_to_string("500.html"), status=500)


def _page(status: int, words: str) -> HttpResponse:
    """It asks nothing of the database: neither who it is for, nor what else there is to tell."""
    headers = {"Retry-After": str(SOON), "Cache-Control": "no-store"}
    return HttpResponse(loader.render_to_string("held.html", {"words": words}), status=status, headers=headers)


class Short(logging.Filter):
    """A request that cannot be read is one line of the log, not the way that it went through the program."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Always; what is too much is taken off. [-]"""
        if record.name.startswith("django.security") or 400 <= getattr(record, "status_code", 0) < 500:
            record.exc_info = record.exc_text = None
        return True
