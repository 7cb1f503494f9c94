"""Pages about people and crews, and what an administrator does there."""

import secrets
from typing import Any, cast
from uuid import UUID

from axes.handlers.proxy import AxesProxyHandler
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import Prefetch
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jetwright.report.wording import _
from jetwright.web.people.again import PasswordFirstError, by_password, confirm_password
from jetwright.web.people.devices import forget, known, people_of, remember
from jetwright.web.people.forms import CrewForm, MeForm, OwnPasswordForm, OwnPinForm, PersonForm, RoleForm
from jetwright.web.people.models import Crew, Membership, Person
from jetwright.web.people.naming import names_held
from jetwright.web.people.rights import ROLES
from jetwright.web.people.told import lines

MINE = ("name", "language", "units", "theme")
PIN_IDS = "pin_%s"
"""Two forms of one's own page ask for the password: each field has a name of its own for its label."""
PLAIN_SIGNS = "abcdefghjkmnpqrstuvwxyz23456789"
"""Signs that cannot be taken for one another, read out or on a screen in the sun."""


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """The crews one may see, and who is what in them. [-]"""
    me = _me(request)
    members = Membership.objects.filter(ended_at=None, person__is_active=True).select_related("person")
    crews = Crew.objects.visible_to(me).filter(retired_at=None).prefetch_related(Prefetch("memberships", members))
    told: dict[str, Any] = {"crews": crews, "roles": ROLES, "without": [], "gone": []}
    told["leads"] = Crew.objects.where(me, "sign").exists()
    if me.is_superuser:
        current = Membership.objects.filter(ended_at=None)
        everybody = Person.objects.order_by("name")
        told["without"] = everybody.filter(is_active=True).exclude(pk__in=current.values("person"))
        told["gone"] = everybody.filter(is_active=False)
    return render(request, "people/list.html", told)


@require_safe
def page(request: HttpRequest, person: UUID) -> HttpResponse:
    """A person, with the roles they have and had. [-]"""
    return _page(request, _seen(request, person))


# --- oneself ----------------------------------------------------------------------------------------------------------


@never_cache
@require_http_methods(["GET", "POST"])
def me(request: HttpRequest) -> HttpResponse:
    """One's own page: name, language, units, light or dark, password, PIN. [-]"""
    person = _me(request)
    if request.method != "POST":
        return _own_page(request)
    form, saved = MeForm(request.POST, person=person), False
    with names_held():
        if form.is_valid():
            for field in MINE:
                setattr(person, field, form.cleaned_data[field])
            saved = person.change(form.cleaned_data["version"], MINE)
    if not form.is_valid():
        return _own_page(request, form=form, status=422)
    if not saved:
        person.refresh_from_db()
        form.add_error(None, _("Somebody changed this meanwhile. Look at it once more, then save again."))
        form.data = {**request.POST.dict(), "version": str(person.version)}
        return _own_page(request, form=form, status=409)
    messages.success(request, _("Kept."))
    return redirect("people:me")


@never_cache
@sensitive_post_parameters()
@require_POST
def password(request: HttpRequest) -> HttpResponse:
    """Change one's own password: wherever else one entered, that ends. [-]"""
    person = _me(request)
    form = OwnPasswordForm(request.POST, person=person)
    if form.is_valid() and not confirm_password(request, form.cleaned_data["password"]):
        form.add_error("password", _("This is not your password."))
    if not form.is_valid():
        return _own_page(request, password=form, status=422)
    person.set_password(form.cleaned_data["new"])
    person.must_change = False
    if form.cleaned_data.get("pin"):
        person.set_pin(form.cleaned_data["pin"])
    with transaction.atomic():
        person.save(update_fields=["password", "pin", "must_change", "changed_at"])
        forget(person)
    update_session_auth_hash(request, person)
    messages.success(request, _("Your password is changed. Wherever else you had entered, that has ended."))
    answer = redirect("people:me")
    remember(request, answer, person)
    return answer


@never_cache
@sensitive_post_parameters()
@require_POST
def pin(request: HttpRequest) -> HttpResponse:
    """Change one's own PIN. [-]"""
    person = _me(request)
    form = OwnPinForm(request.POST, auto_id=PIN_IDS)
    if form.is_valid() and not confirm_password(request, form.cleaned_data["password"]):
        form.add_error("password", _("This is not your password."))
    if not form.is_valid():
        return _own_page(request, pin=form, status=422)
    person.set_pin(form.cleaned_data["pin"])
    person.save(update_fields=["pin", "changed_at"])
    messages.success(request, _("Your PIN is changed."))
    answer = redirect("people:me")
    remember(request, answer, person)
    return answer


# --- administrators ---------------------------------------------------------------------------------------------------


@never_cache
@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Add a person, with a password that is shown once and changed at the first entering. [-]"""
    _administrator(request)
    adds = _me(request)
    form = PersonForm(request.POST or None, initial={"language": adds.language, "units": adds.units})
    if not form.is_bound:
        return render(request, "people/new.html", {"form": form})
    secret, made = _passing_password(), Person(must_change=True)
    made.set_password(secret)  # it takes its time, in which everybody may write
    with names_held():
        if form.is_valid():
            _add(made, form.cleaned_data)
    if not form.is_valid():
        return render(request, "people/new.html", {"form": form}, status=422)
    return render(request, "people/shown_once.html", {"person": made, "secret": secret})


@never_cache
@require_POST
def reset(request: HttpRequest, person: UUID) -> HttpResponse:
    """Give a person a passing password and no PIN: all they had open ends. [-]"""
    found = _kept_by_administrators(request, person)
    if found.pk == _me(request).pk:
        messages.error(request, _("Your own password is changed on your own page."))
        return redirect("people:me")
    secret = _passing_password()
    found.set_password(secret)
    found.pin, found.must_change = "", True
    with transaction.atomic():
        found.save(update_fields=["password", "pin", "must_change", "changed_at"])
        forget(found)
    AxesProxyHandler.reset_attempts(username=found.username)
    return render(request, "people/shown_once.html", {"person": found, "secret": secret})


@require_POST
def role(request: HttpRequest, person: UUID) -> HttpResponse:
    """Give a person a role in a crew; the one they had there ends. [-]"""
    found = _kept_by_administrators(request, person)
    form = RoleForm(request.POST)
    if not form.is_valid():
        return _page(request, found, form, status=422)
    crew, given = form.cleaned_data["crew"], form.cleaned_data["role"]
    with transaction.atomic():
        Person.objects.select_for_update().get(pk=found.pk)
        current = Membership.objects.filter(person=found, crew=crew, ended_at=None)
        if not current.filter(role=given).exists():
            current.update(ended_at=timezone.now())
            Membership.objects.create(person=found, crew=crew, role=given)
    messages.success(request, _("Kept."))
    return redirect("people:page", found.pk)


@require_POST
def end_role(request: HttpRequest, person: UUID, membership: UUID) -> HttpResponse:
    """End a role; that somebody had it stays. [-]"""
    found = _kept_by_administrators(request, person)
    row = get_object_or_404(Membership, pk=membership, person=found)
    if row.ended_at is None:
        row.ended_at = timezone.now()
        row.save(update_fields=["ended_at", "changed_at"])
    messages.success(request, _("The role has ended."))
    return redirect("people:page", found.pk)


@require_POST
def close(request: HttpRequest, person: UUID) -> HttpResponse:
    """Close an account: the person enters no more; what they did keeps their name. [-]"""
    found = _kept_by_administrators(request, person)
    if found.pk == _me(request).pk:
        messages.error(request, _("Nobody closes their own account. Ask another administrator."))
        return redirect("people:page", found.pk)
    found.is_active = False
    with transaction.atomic():
        found.save(update_fields=["is_active", "changed_at"])
        forget(found)
    messages.success(request, _("The account is closed."))
    return redirect("people:page", found.pk)


@require_POST
def reopen(request: HttpRequest, person: UUID) -> HttpResponse:
    """Open a closed account again. [-]"""
    found = _kept_by_administrators(request, person)
    found.is_active = True
    found.save(update_fields=["is_active", "changed_at"])
    messages.success(request, _("The account is open again."))
    return redirect("people:page", found.pk)


@require_http_methods(["GET", "POST"])
def new_crew(request: HttpRequest) -> HttpResponse:
    """Add a crew. [-]"""
    _administrator(request)
    form = CrewForm(request.POST or None)
    if not form.is_bound:
        return render(request, "people/new_crew.html", {"form": form})
    with names_held():
        if form.is_valid():
            Crew.objects.create(name=form.cleaned_data["name"])
    if not form.is_valid():
        return render(request, "people/new_crew.html", {"form": form}, status=422)
    messages.success(request, _("The crew is there. Now give somebody a role in it."))
    return redirect("people:list")


# --- who did what -----------------------------------------------------------------------------------------------------


@require_safe
def trail(request: HttpRequest) -> HttpResponse:
    """Who wrote what, newest first: everything for administrators, their crews' for crew leads. [-]"""
    me = _me(request)
    crews = None if me.is_superuser else list(Crew.objects.where(me, "sign"))
    if crews == []:
        raise PermissionDenied
    shown, older = lines(crews, request.GET.get("before", ""))
    return render(request, "people/trail.html", {"lines": shown, "older": older})


def _me(request: HttpRequest) -> Person:
    return cast(Person, request.user)


def _administrator(request: HttpRequest) -> None:
    if not _me(request).is_superuser:
        raise PermissionDenied
    if not by_password(request):
        raise PasswordFirstError


def _add(made: Person, given: dict[str, Any]) -> None:
    """Keep a new person, with the role that goes with them; the caller holds the names."""
    for name in ("username", "name", "language", "units"):
        setattr(made, name, given[name])
    made.save()
    if given["crew"]:
        Membership.objects.create(person=made, crew=given["crew"], role=given["role"])


def _seen(request: HttpRequest, person: UUID) -> Person:
    return cast(Person, get_object_or_404(Person.objects.visible_to(_me(request)), pk=person))


def _kept_by_administrators(request: HttpRequest, person: UUID) -> Person:
    found = _seen(request, person)
    _administrator(request)
    return found


def _page(request: HttpRequest, person: Person, form: RoleForm | None = None, status: int = 200) -> HttpResponse:
    """A person's page; the roles are those in crews that the reader may see."""
    roles = Membership.objects.filter(person=person, crew__in=Crew.objects.visible_to(_me(request)))
    told = {
        "person": person,
        "now": roles.filter(ended_at=None).select_related("crew"),
        "past": roles.exclude(ended_at=None).select_related("crew").order_by("-ended_at"),
        "roles": ROLES,
        "form": form or RoleForm(),
    }
    return render(request, "people/page.html", told, status=status)


def _own_page(request: HttpRequest, status: int = 200, **forms: Form) -> HttpResponse:
    person = _me(request)
    told = {
        "form": MeForm(initial={name: getattr(person, name) for name in (*MINE, "version")}, person=person),
        "password": OwnPasswordForm(person=person),
        "pin": OwnPinForm(auto_id=PIN_IDS),
        "roles": ROLES,
        "now": Membership.objects.filter(person=person, ended_at=None).select_related("crew"),
        "others": people_of(known(request)).exclude(pk=person.pk).exists(),
        **forms,
    }
    return render(request, "people/me.html", told, status=status)


def _passing_password() -> str:
    return "-".join("".join(secrets.choice(PLAIN_SIGNS) for _sign in range(4)) for _group in range(3))
