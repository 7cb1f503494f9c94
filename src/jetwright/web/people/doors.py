"""Coming in and going out: the first account, entering, leaving, the lock, and changing the person at a tablet."""

import datetime
import math
import time
from typing import Any, cast
from urllib.parse import urlencode

from axes.models import AccessAttempt
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login, logout
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jetwright.report.wording import _, spoken
from jetwright.web.people.again import PASSWORD_BACKEND, known_by
from jetwright.web.people.devices import forget, known, people_of, remember
from jetwright.web.people.first import state_of, take
from jetwright.web.people.forms import EnterForm, FirstForm, PinForm, SecretForm
from jetwright.web.people.middleware import locked
from jetwright.web.people.models import Crew, Membership, Person
from jetwright.web.people.naming import names_held
from jetwright.web.people.throttle import tried
from jetwright.web.trail import acted_by

COOL_OFF = datetime.timedelta(hours=settings.AXES_COOLOFF_TIME)


@login_not_required
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def first(request: HttpRequest, token: str) -> HttpResponse:
    """Make the first account with the one-time link: an administrator, who leads a first crew. [-]"""
    state = state_of(token)
    if state != "good":
        return render(request, "people/first_refused.html", {"state": state}, status=410 if state != "unknown" else 404)
    form = FirstForm(request.POST or None, initial={"language": spoken()})
    if not form.is_valid():
        return render(request, "people/first.html", {"form": form}, status=422 if form.is_bound else 200)
    made = _first_account(token, form.cleaned_data)
    if made is None:
        return redirect("people:first", token)
    return _let_in(request, made, reverse("home"))


@login_not_required
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def enter(request: HttpRequest) -> HttpResponse:
    """Enter with a name and a password. [-]"""
    form = EnterForm(request.POST or None)
    if form.is_valid():
        person = tried(request, **form.cleaned_data)
        if person is not None:
            return _let_in(request, person, where_next(request, reverse("home")))
        form.add_error(None, _("This name and this password do not belong together. Look at both and try again."))
    told = {
        "form": form,
        "next": where_next(request, ""),
        "others": people_of(known(request)).exists(),
        "nobody": not Person.objects.exists(),
    }
    return render(request, "people/enter.html", told, status=422 if form.is_bound else 200)


@require_POST
def leave(request: HttpRequest) -> HttpResponse:
    """Leave: here the password is asked for next time. [-]"""
    device = known(request)
    if device is not None:
        forget(_entered(request), device)
    _say_no_more(request)
    logout(request)
    return redirect("people:enter")


@require_POST
def lock(request: HttpRequest) -> HttpResponse:
    """Lock, until the PIN or the password is given. [-]"""
    _say_no_more(request)
    request.session["locked"] = True
    request.session["locked_at"] = time.time()  # more than a last sight: the session waits its turn to keep it
    return HttpResponseRedirect(_with_next(request, "people:unlock"))


@require_safe
def here(request: HttpRequest) -> HttpResponse:
    """Somebody is at the page: the lock waits. [-]"""
    return HttpResponse(status=204)


@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def unlock(request: HttpRequest) -> HttpResponse:
    """Open a locked page again, with the PIN or the password of who entered. [-]"""
    if not locked(request):
        return HttpResponseRedirect(where_next(request, reverse("home")))
    form, person = SecretForm(request.POST or None), _entered(request)
    if form.is_valid():
        found = known_by(request, person.get_username(), form.cleaned_data["secret"])
        if found is not None and found.pk == person.pk:
            return _let_in(request, found, where_next(request, reverse("home")))
        form.add_error("secret", _not_this_pin() if _like_a_pin(form) else _("This is not your password."))
    told = {"form": form, "person": person, "next": where_next(request, ""), "lost": "lost" in request.GET}
    return render(request, "people/unlock.html", told, status=422 if form.is_bound else 200)


@login_not_required
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def switch(request: HttpRequest) -> HttpResponse:
    """Change the person at this device: whoever typed a password here not long ago takes over with a PIN. [-]"""
    people, form = people_of(known(request)), PinForm(request.POST or None)
    if form.is_valid():
        chosen = people.filter(pk=form.cleaned_data["person"]).first()
        found = known_by(request, chosen.get_username(), form.cleaned_data["pin"]) if chosen is not None else None
        if found is not None:
            if request.user.is_authenticated and request.user.pk != found.pk:
                request.session.flush()
            return _let_in(request, found, reverse("home"))
        form.add_error("pin", _not_this_pin())
    told = {"form": form, "people": people, "chosen": request.POST.get("person", "")}
    return render(request, "people/switch.html", told, status=422 if form.is_bound else 200)


def locked_out(request: HttpRequest, answer: object = None, credentials: dict[str, Any] | None = None) -> HttpResponse:
    """After too many wrong passwords or PINs: how long to wait. [-]"""
    attempts = AccessAttempt.objects.filter(
        username=(credentials or {}).get("username"), ip_address=getattr(request, "axes_ip_address", None)
    )
    last = attempts.order_by("-attempt_time").first()
    until = (timezone.now() if last is None else last.attempt_time) + COOL_OFF
    seconds = max(1, math.ceil((until - timezone.now()).total_seconds()))
    told = {"at": timezone.localtime(until).strftime("%H:%M"), "minutes": math.ceil(seconds / 60)}
    page = render(request, "people/locked_out.html", told, status=429)
    page.headers["Retry-After"] = str(seconds)
    return page


def where_next(request: HttpRequest, otherwise: str) -> str:
    """The page that was wanted, where it is one of ours. [-]"""
    wanted = request.POST.get("next", "") or request.GET.get("next", "")
    ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if wanted.startswith("/") and ours else otherwise


def _first_account(token: str, given: dict[str, Any]) -> Person | None:
    """The administrator with a crew; None where the link was used meanwhile."""
    made = Person(is_superuser=True, is_staff=True)
    for name in ("username", "name", "language", "units"):
        setattr(made, name, given[name])
    made.set_password(given["new"])  # it takes its time, in which everybody may write
    made.set_pin(given["pin"])
    with names_held():
        if not take(token):
            return None
        made.save()
        acted_by(made)
        crew = Crew.objects.create(name=given["crew"])
        Membership.objects.create(person=made, crew=crew, role="crew lead")
    return made


def _let_in(request: HttpRequest, person: Person, address: str) -> HttpResponse:
    backend = getattr(person, "backend", PASSWORD_BACKEND)
    _say_no_more(request)
    request.session.cycle_key()  # what a borrowed tablet knew of this session is worth nothing
    login(request, person, backend=backend)
    acted_by(person)
    request.session["locked"] = False
    request.session["seen"] = time.time()
    answer = HttpResponseRedirect(address)
    if backend == PASSWORD_BACKEND:
        remember(request, answer, person)
    return answer


def _say_no_more(request: HttpRequest) -> None:
    """What was still to be said was for whoever did it: the next at this device is not told."""
    list(messages.get_messages(request))


def _entered(request: HttpRequest) -> Person:
    return cast(Person, request.user)


def _with_next(request: HttpRequest, name: str) -> str:
    wanted = where_next(request, "")
    return reverse(name) + ("?" + urlencode({"next": wanted}) if wanted else "")


def _like_a_pin(form: SecretForm) -> bool:
    return bool(form.cleaned_data["secret"].isdecimal())


def _not_this_pin() -> str:
    return _("This PIN does not do here. A PIN does for 16 hours after your password was typed on this device.")
