"""What happens around each page: the person's language, who signs the trail, the lock after a while of nothing."""

import time
from collections.abc import Callable
from urllib.parse import urlencode, urlsplit

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.urls import Resolver404, resolve, reverse
from django.utils import translation

from jetwright.report.wording import _, speaking
from jetwright.web.held import by_program, fault
from jetwright.web.measured import measuring
from jetwright.web.people.again import PasswordFirstError
from jetwright.web.trail import acting

Answer = Callable[[HttpRequest], HttpResponse]

OPEN_WHEN_LOCKED = {"people:unlock", "people:switch", "people:enter", "people:leave", "people:lock"}
"""Pages that show nothing of a crew's."""

OPEN_BEFORE_CHANGE = OPEN_WHEN_LOCKED | {"people:me", "people:password", "people:here"}
"""Pages for somebody who still has the password that another person made."""

SECONDS_BETWEEN_WRITES = 15.0
"""An act is not written down more often than this."""


def speak(get_response: Answer) -> Answer:
    """Say everything in the person's language and units; before one entered, in the browser's language. [-]"""

    def page(request: HttpRequest) -> HttpResponse:
        person = request.user
        language = person.language if person.is_authenticated else translation.get_language_from_request(request)
        system = person.units if person.is_authenticated else "si"
        with speaking(language), measuring(system), translation.override(language):
            return get_response(request)

    return page


def sign_the_trail(get_response: Answer) -> Answer:
    """Whatever a page writes is logged as this person's, from the address the server saw. [-]"""

    def page(request: HttpRequest) -> HttpResponse:
        person = request.user if request.user.is_authenticated else None
        with acting(person, request.META.get("REMOTE_ADDR", "")):
            return get_response(request)

    return page


def lock_when_idle(get_response: Answer) -> Answer:
    """After some minutes without an act, nothing is shown until the person's PIN or password was given again. [-]

    What a page asks for by itself says `X-Unattended: yes` and does not count as an act.
    """

    def page(request: HttpRequest) -> HttpResponse:
        if not request.user.is_authenticated:
            return get_response(request)
        if locked(request):
            answer = get_response(request) if _named(request) in OPEN_WHEN_LOCKED else _to_unlock(request)
        else:
            now = time.time()
            attended = request.headers.get("X-Unattended") != "yes"
            seen = request.session.get("seen")
            if seen is None or (attended and now - seen > SECONDS_BETWEEN_WRITES):
                request.session["seen"] = now
            answer = get_response(request)
        answer.headers.setdefault("Cache-Control", "no-store, private")
        return answer

    return page


def locked(request: HttpRequest) -> bool:
    """Whether the session is locked, by hand or because nothing was done for a while; it stays so. [-]"""
    session = request.session
    seen = session.get("seen")
    if not session.get("locked") and seen is not None and time.time() - seen > 60.0 * settings.IDLE_MINUTES:
        session["locked"] = True
    return bool(session.get("locked"))


def own_page_first(get_response: Answer) -> Answer:
    """Whoever has a password that another person made chooses their own before anything else. [-]"""

    def page(request: HttpRequest) -> HttpResponse:
        person = request.user
        if person.is_authenticated and person.must_change and _named(request) not in OPEN_BEFORE_CHANGE:
            if by_program(request):
                says = _("Somebody else made your password. Choose your own before anything else.")
                return JsonResponse(fault("password_first", says), status=403)
            return _elsewhere(request, reverse("people:me"))
        return get_response(request)

    return page


def password_first(get_response: Answer) -> Answer:
    """What administrators alone do asks for the password, where a PIN let one of them in. [-]"""

    def page(request: HttpRequest) -> HttpResponse:
        return get_response(request)

    page.process_exception = _to_password  # type: ignore[attr-defined]
    return page


def _to_password(request: HttpRequest, error: Exception) -> HttpResponse | None:
    if not isinstance(error, PasswordFirstError):
        return None
    messages.info(request, _("A PIN does not do for this: enter with your password, then do it again."))
    asked = request.method in ("GET", "HEAD")
    back = request.get_full_path() if asked else _path(request.headers.get("Referer", ""))
    return _elsewhere(request, reverse("people:enter") + "?" + urlencode({"next": back}))


def _to_unlock(request: HttpRequest) -> HttpResponse:
    if by_program(request) or "application/json" in (request.content_type, request.headers.get("Accept")):
        return JsonResponse(fault("locked", _("The counter is locked: open it with your PIN or password.")), status=401)
    back, lost = request.get_full_path(), {}
    if request.method not in ("GET", "HEAD"):
        back, lost = _path(request.headers.get("Referer", "")), {"lost": "1"}
    if request.headers.get("HX-Request"):
        back = _path(request.headers.get("HX-Current-URL", ""))
    return _elsewhere(request, reverse("people:unlock") + "?" + urlencode({"next": back, **lost}))


def _elsewhere(request: HttpRequest, address: str) -> HttpResponse:
    if request.headers.get("HX-Request"):
        return HttpResponse(status=204, headers={"HX-Redirect": address})
    return HttpResponseRedirect(address)


def _path(address: str) -> str:
    try:
        parts = urlsplit(address)
    except ValueError:
        return "/"
    return f"{parts.path}?{parts.query}" if parts.query else parts.path or "/"


def _named(request: HttpRequest) -> str:
    """The name of the page asked for; a middleware runs before Django looks it up."""
    try:
        return resolve(request.path_info).view_name
    except Resolver404:
        return ""
