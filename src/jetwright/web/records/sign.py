"""The page on which a task is signed: what will be sealed, a reason for each thing to look at first, and the PIN."""

import datetime
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any, cast

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jetwright.actions.sign import Look, ToSign, sheet_back, to_sign
from jetwright.errors import FileError
from jetwright.report.limits import limit_figures, limit_title, margin_words, standing_words
from jetwright.report.remedies import remedy_sentence
from jetwright.report.sheet import Changed, sheet_facts
from jetwright.report.wording import _, spoken
from jetwright.web.address import address_of
from jetwright.web.asked import uuid_in
from jetwright.web.jobs.models import Task
from jetwright.web.jobs.said import line, unread_before
from jetwright.web.jobs.written import job_tables, place_of, read_task, sealed_part
from jetwright.web.people import again
from jetwright.web.people.devices import known, people_of
from jetwright.web.people.models import Person
from jetwright.web.people.rights import ROLES
from jetwright.web.records.body import body_of, reasons_of, sealed_tables, shown_mark
from jetwright.web.records.retyped import retyped
from jetwright.web.records.signing import ChangedError, Draft, TakenError, add_record
from jetwright.web.signs import one_line
from jetwright.web.worker import WorkerLostError, WorkerTimeoutError

LONGEST = 300
"""Most signs of a reason."""
LEAST_WORDS, LEAST_LETTERS = 2, 8
"""What is shorter gives no reason: "ok"."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing to look at first, as the page shows it, with the reason that was typed and what is wrong with that."""

    name: str
    title: str
    figures: str
    remedy: str
    source: str
    typed: str = ""
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """What the page shows; facts: of the sheet that would be printed; mark: its digest; problems: why there is none.

    by_pin: a PIN will do on this device; else it takes the password.
    """

    task: Task
    role: str
    facts: Mapping[str, Any] | None = None
    mark: str = ""
    record: str = ""
    reasons: tuple[Reason, ...] = ()
    problems: tuple[str, ...] = ()
    told: str = ""
    wrong_pin: str = ""
    by_pin: bool = False


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest, task_id: uuid.UUID) -> HttpResponse:
    """Show what will be sealed; posted: seal it. [-]"""
    person = cast(Person, request.user)
    tasks = Task.objects.visible_to(person).filter(retired_at=None, job__retired_at=None)
    task: Task = get_object_or_404(tasks.select_related("job__crew", "job__unit"), pk=task_id)
    if not person.may("sign", task.job.crew):
        raise PermissionDenied
    role = _role(person, task)
    try:
        read, place = read_task(task)
        made = to_sign(read, place)
    except FileError as error:
        return _in_the_way(request, task, role, *dict.fromkeys(map(line, error.problems)))
    words = unread_before(task, place)
    if words:
        return _in_the_way(request, task, role, words)
    return _post(request, task, made, role) if request.method == "POST" else _page(request, task, made, role)


def _in_the_way(request: HttpRequest, task: Task, role: tuple[str, str], *problems: str) -> HttpResponse:
    shown = Shown(task, role[1], problems=problems)
    return render(request, "records/sign.html", {"shown": shown}, status=422 if request.method == "POST" else 200)


def _page(
    request: HttpRequest, task: Task, made: ToSign, role: tuple[str, str], status: int = 200, **more: Any
) -> HttpResponse:
    units = cast(Person, request.user).units
    changed = _retyped(task, made)
    facts = sheet_facts(made.plan, made.task, made.read.job, units, changed=changed, place=made.place)
    more.setdefault("reasons", _reasons(request, made))
    more.setdefault("record", str(uuid.uuid4()))
    more.setdefault("by_pin", _by_pin(request))
    shown = Shown(task, role[1], facts, shown_mark(made), **more)
    return render(request, "records/sign.html", {"shown": shown, "longest": LONGEST}, status=status)


def _post(request: HttpRequest, task: Task, made: ToSign, role: tuple[str, str]) -> HttpResponse:
    """Seal it, or say why not; nothing here makes a refused task signed."""
    person = cast(Person, request.user)
    if made.task.verdict in ("not_allowed", "not_judged"):
        return _page(request, task, made, role, 422, told=_("Nothing was signed: this task is not allowed."))
    named = uuid_in(request.POST.get("record", ""))
    if request.POST.get("mark") != shown_mark(made) or named is None:
        told = _("Nothing was signed: the yard or the job changed since this page was shown. Look again, then sign.")
        return _page(request, task, made, role, 409, told=told)
    again_with: dict[str, Any] = {"record": str(named), "reasons": _reasons(request, made, checked=True)}
    if any(reason.wrong for reason in again_with["reasons"]):
        told = _("Nothing was signed: a reason is missing, or says too little.")
        return _page(request, task, made, role, 422, told=told, **again_with)
    if not again.confirm(request, request.POST.get("pin", "")):
        told = _("Nothing was signed: the PIN or the password, asked for at the end, is not yours.")
        wrong = _("This is not your PIN.") if _by_pin(request) else _("This is not your password.")
        return _page(request, task, made, role, 422, told=told, wrong_pin=wrong, **again_with)
    address = address_of(request, reverse("records:page", args=[named]))
    given = [reason.typed for reason in again_with["reasons"]]
    language = spoken()

    def body(at: Any, follows: Mapping[str, Any] | None) -> dict[str, Any]:
        printed_at = f"{timezone.localtime(at):%Y-%m-%d %H:%M %Z}"
        return body_of(
            made,
            task,
            record=str(named),
            address=address,
            person=person,
            role=role,
            at=at,
            printed_at=printed_at,
            language=language,
            reasons=given,
            changed=_retyped(task, made),
            confirmed_by=again.sort_of(request.POST.get("pin", "")),
            follows=follows,
            back=back,
        )

    kept, back = reasons_of(made, given, person.units), sheet_back(made, person.units)
    try:
        still = partial(unchanged, task, person, role, made)
        record = add_record(Draft(named, task.job.crew, task, person, address, body, kept, still))
    except TakenError:
        told = _("Nothing was signed: what this page had to sign is signed already, and not with these reasons.")
        return _page(request, task, made, role, 409, told=told)
    except ChangedError:
        told = _("Nothing was signed: somebody changed the yard or the job in the same moment. Open the task again.")
        return _page(request, task, made, role, 409, told=told)
    except (WorkerTimeoutError, WorkerLostError):
        told = _("Nothing was signed: the sheet could not be printed. Try once more.")
        return _page(request, task, made, role, 503, told=told, **again_with)
    messages.success(request, _("Signed and sealed: {fingerprint}.").format(fingerprint=record.fingerprint))
    return redirect("records:page", record.pk)


def unchanged(task: Task, person: Person, role: tuple[str, str], made: ToSign) -> bool:
    """Whether a task is still as it was shown, and the person may still sign it; nothing is planned while all wait. [-]

    What was written and the day make the plan: where both are the same, so is what would be sealed.
    """
    now = Person.objects.get(pk=person.pk)
    tasks = Task.objects.visible_to(now).filter(retired_at=None, job__retired_at=None, version=task.version)
    found = tasks.select_related("job__crew", "job__unit").filter(pk=task.pk).first()
    if found is None or not now.may("sign", found.job.crew) or _role(now, found) != role:
        return False
    day = found.job.day or datetime.date.today()
    written = sealed_part(job_tables(found.job), place_of(found))
    return day == made.plan.day and written == sealed_tables(made.read, made.place)


def _retyped(task: Task, made: ToSign) -> tuple[Changed, ...]:
    return retyped(task, sealed_tables(made.read, made.place))


def _by_pin(request: HttpRequest) -> bool:
    """Whether the person has a PIN that is taken on this device."""
    person = cast(Person, request.user)
    return bool(person.pin) and people_of(known(request)).filter(pk=person.pk).exists()


def _role(person: Person, task: Task) -> tuple[str, str]:
    """As what somebody signs: as it is kept, and in words."""
    role = person.role_in(task.job.crew)
    return (role, _(ROLES[role])) if role else ("administrator", _("Administrator"))


def _reasons(request: HttpRequest, made: ToSign, checked: bool = False) -> tuple[Reason, ...]:
    """Each thing to look at first, with what was typed for it."""
    units = cast(Person, request.user).units
    alone = len(made.task.tools) == 1
    seen: dict[str, int] = {}
    rows = []
    for look in made.looks:
        key = "|".join((look.missing or look.limits[0].id, look.limits[0].about, look.limits[0].quantity))
        seen[key] = seen.get(key, 0) + 1
        name = f"why|{key}|{seen[key]}"
        typed = _clean(request.POST.get(name, ""))
        wrong = ""
        if checked and not typed:
            wrong = _("Say why it may start in spite of this.")
        elif checked and len(typed) > LONGEST:
            wrong = _("Say it in {n} signs or fewer.").format(n=LONGEST)
        elif checked and not _says_something(typed):
            wrong = _("Say it in words, two or more: what was looked at, by whom, or what is done about it.")
        rows.append(Reason(name, *_words(look, made, units, alone), typed, wrong))
    return tuple(rows)


def _words(look: Look, made: ToSign, units: str, alone: bool) -> tuple[str, str, str, str]:
    """What a limit is called, its figures, what would do, and where its bound comes from."""
    titles = ", ".join(dict.fromkeys(limit_title(limit, alone=alone) for limit in look.limits))
    if look.missing:
        return titles, _("not judged: {why}").format(why=look.lacks(units, made.read.job.unit)), "", ""
    (limit,) = look.limits
    figures = " · ".join(filter(None, [limit_figures(limit, units), margin_words(limit, units)]))
    return titles, figures, remedy_sentence(limit, units, made.read.job.unit), standing_words(limit)


def _says_something(typed: str) -> bool:
    """Whether it is words: a letter alone, a number or a sign is none."""
    letters = [sum(sign.isalpha() for sign in word) for word in typed.split()]
    return sum(count > 1 for count in letters) >= LEAST_WORDS and sum(letters) >= LEAST_LETTERS


def _clean(typed: str) -> str:
    return one_line(typed)
