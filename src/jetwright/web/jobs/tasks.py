"""Pages about one task: what is cleaned, what is asked for, and the rig that is put together for it."""

from typing import Any
from uuid import UUID

from auditlog.models import LogEntry
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jetwright.files.shapes import keys_of
from jetwright.report.wording import _
from jetwright.rig.description import Branch
from jetwright.web.asked import me, meanwhile, version_in
from jetwright.web.fields import QuantityField
from jetwright.web.jobs import rig
from jetwright.web.jobs.forms import TaskForm, facts_in, name_taken
from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.received import LONGEST_JOB, MOST_TASKS, unused_name
from jetwright.web.jobs.said import in_the_way, retired_words
from jetwright.web.jobs.seen import seen_job, seen_task
from jetwright.web.jobs.signed import signed_of
from jetwright.web.jobs.views import job_page
from jetwright.web.signs import named, taken
from jetwright.web.yard.models import Piece


@require_POST
def new(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Add a task to a job, at its end. [-]"""
    job = seen_job(request, job_id, "plan")
    name = " ".join(request.POST.get("name", "").split())
    if not name or len(name) > LONGEST_JOB:
        told = _("Give the task a name of at most {n} letters.").format(n=LONGEST_JOB)
        return job_page(request, job, status=422, told=told)
    try:
        name = named(name, LONGEST_JOB)
    except ValidationError as error:
        return job_page(request, job, status=422, told=" ".join(error.messages))
    with transaction.atomic():
        there = _held(job)
        if len(there) >= MOST_TASKS:
            return job_page(request, job, status=422, told=_full_words())
        task = _add(job, there, name, {})
    return redirect("jobs:task", job.pk, task.pk)


@require_GET
def page(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """One task. [-]"""
    return task_page(request, seen_task(request, job_id, task_id))


@require_POST
def change(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """Change what a task says beside its rig. [-]"""
    task = seen_task(request, job_id, task_id, "plan")
    form = TaskForm(task, request.POST)
    if not form.is_valid():
        return task_page(request, task, form, status=422)
    before, spec = task.name, task.spec
    task = form.filled()
    if (task.name, task.spec) != (before, spec):
        refused = _refused(request, form, before)
        if refused:
            return task_page(request, Task.objects.select_related("job__crew").get(pk=task.pk), form, status=refused)
        messages.success(request, _("The task is changed."))
    then = "jobs:plan" if request.POST.get("then") == "plan" else "jobs:task"
    return redirect(then, task.job_id, task.pk)


@require_POST
def copy(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """Add the same task once more. [-]"""
    task = seen_task(request, job_id, task_id, "plan")
    with transaction.atomic():
        there = _held(task.job)
        if len(there) >= MOST_TASKS:
            return job_page(request, task.job, status=422, told=_full_words())
        made = _add(task.job, there, task.name, task.spec)
    messages.success(request, _("This is the copy."))
    return redirect("jobs:task", made.job_id, made.pk)


@require_POST
def retire(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """Take a task out of its job; it is kept. [-]"""
    task = seen_task(request, job_id, task_id, "plan")
    task.retired_at = task.retired_at or timezone.now()
    return _saved(request, task, ["retired_at"], _("The task is retired; it can be brought back."))


@require_POST
def back(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """Bring a retired task back; under another name where its own is taken. [-]"""
    task = seen_task(request, job_id, task_id, "plan")
    with transaction.atomic():
        others = [one for one in _held(task.job) if one.pk != task.pk]
        if len(others) >= MOST_TASKS:
            return job_page(request, task.job, status=422, told=_full_words())
        task.retired_at, task.name = None, unused_name(task.name, (one.name for one in others))
        return _saved(request, task, ["retired_at", "name"], _("The task is back."))


@require_POST
def move(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """Do a task one place earlier or later. [-]"""
    task = seen_task(request, job_id, task_id, "plan")
    by = -1 if request.POST.get("way") == "earlier" else 1
    with transaction.atomic():
        order = _held(task.job)
        at = next((index for index, one in enumerate(order) if one.pk == task.pk), -1)
        if at >= 0 and 0 <= at + by < len(order):
            order[at], order[at + by] = order[at + by], order[at]
        task.place = next((place for place, one in enumerate(order) if one.pk == task.pk), task.place)
        moved = task.change(version_in(request), ["place"])
        for place, one in enumerate(order if moved else []):
            if one.pk != task.pk and one.place != place:
                Task.objects.filter(pk=one.pk).update(place=place)
    if not moved:
        return job_page(request, task.job, status=409, told=meanwhile())
    return redirect("jobs:page", task.job_id)


@require_GET
def rig_part(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """The rig alone, with what may be added at a place; the whole page where nothing can take the part in. [-]"""
    task = seen_task(request, job_id, task_id)
    return rig_answer(request, task) if request.htmx else task_page(request, task)  # type: ignore[attr-defined]


@require_POST
def rig_act(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """One act on a task's rig, kept at once. [-]"""
    task = seen_task(request, job_id, task_id, "plan")
    try:
        task.spec = _acted(request, task)
    except rig.NoSuchPlaceError:
        return rig_answer(request, task, 422, _("That cannot be done here; look how the rig stands now."))
    except ValidationError as error:
        told = _("Tool above the pump: {why}").format(why=" ".join(error.messages))
        return rig_answer(request, task, 422, told)
    if not task.change(version_in(request), ["spec"]):
        task = seen_task(request, job_id, task_id)
        return rig_answer(request, task, 409, meanwhile())
    if request.htmx:  # type: ignore[attr-defined]
        return rig_answer(request, task, kept=True)
    return redirect(f"{_address(task)}#rig")


def task_page(request: HttpRequest, task: Task, form: TaskForm | None = None, status: int = 200) -> HttpResponse:
    """The page of a task; with a form that could not be saved in place of the task's own. [-]"""
    told = meanwhile() if status == 409 else ""
    context = rig_context(request, task) | _form_context(task, form) | {"task_told": told}
    return render(request, "jobs/task.html", context, status=status)


def rig_answer(request: HttpRequest, task: Task, status: int = 200, told: str = "", kept: bool = False) -> HttpResponse:
    """The rig alone for a page that takes it in; the whole page else. [-]

    kept: the act was kept, so that the form beside it goes on from the new version.
    """
    context = rig_context(request, task) | {"told": told, "kept": kept}
    if request.htmx:  # type: ignore[attr-defined]
        return render(request, "jobs/rig.html", context, status=status)
    context |= _form_context(task, None) | {"task_told": ""}
    return render(request, "jobs/task.html", context, status=status)


def rig_context(request: HttpRequest, task: Task) -> dict[str, Any]:
    """What the rig's part of a task's page shows. [-]"""
    person = me(request)
    may = person.may("plan", task.job.crew) and task.retired_at is None and task.job.retired_at is None
    pieces = list(Piece.objects.filter(crew=task.job.crew_id).in_use())
    lacks, by = rig.unowned(task.spec, pieces), rig.judged_by(task.job)
    gone = retired_words(task.job.crew_id, lacks) if lacks else {}
    at = _place(request) if may else None
    return {
        "job": task.job,
        "task": task,
        "may": may,
        "runs": rig.rig_of(task.spec, pieces, person.units, by, gone),
        "several": bool(task.spec.get("branches")),
        "most_branches": len(task.spec.get("branches", [])) >= rig.MOST_BRANCHES,
        "offers": None
        if at is None
        else rig.offers_at(task.spec, pieces, *at, request.GET.get("name", "").strip(), person.units, by),
        "undo": may and spec_before(task, person.pk) is not None,
        "way": in_the_way(task, pieces),
        "told": "",
        "kept": False,
    }


def spec_before(task: Task, person: object) -> dict[str, Any] | None:
    """The task's table before the last change of it, where this person made that change; None else. [-]"""
    entries = LogEntry.objects.get_for_object(task)  # type: ignore[no-untyped-call]
    last = entries.filter(changes__has_key="spec").order_by("-timestamp", "-id").first()
    if last is None or last.action != LogEntry.Action.UPDATE or last.actor_id != person:
        return None
    before = last.changes["spec"][0]
    return before if isinstance(before, dict) else None


def _form_context(task: Task, form: TaskForm | None) -> dict[str, Any]:
    shown = form or TaskForm(task, None)
    return {
        "form": shown,
        "opened": form is not None,
        "facts": list(facts_in(shown.table, shown.shown)),
        "signed": signed_of(task.job, [task]).get(task.pk),
    }


def _acted(request: HttpRequest, task: Task) -> dict[str, Any]:
    """The task's table after the act that was posted."""
    said = request.POST
    run, at, name = _number(said.get("run")), _number(said.get("at")), said.get("piece", "")
    acts = {
        "remove": lambda: rig.removed(task.spec, run, at),
        "nearer": lambda: rig.moved(task.spec, run, at, -1),
        "farther": lambda: rig.moved(task.spec, run, at, 1),
        "no tool": lambda: rig.with_tool(task.spec, run, ""),
        "add branch": lambda: rig.branch_added(task.spec),
        "remove branch": lambda: rig.branch_removed(task.spec, run),
        "rise": lambda: rig.with_rise(task.spec, run, _rise(said.get("rise", ""))),
    }
    act = said.get("act", "")
    if act in acts:
        return acts[act]()
    if act == "undo":
        before = spec_before(task, me(request).pk)
        if before is not None:
            return before
    if act in ("add", "tool"):
        pieces = list(Piece.objects.filter(crew=task.job.crew_id).in_use())
        if rig.is_free(task.spec, pieces, name, tool=act == "tool"):
            if act == "tool":
                return rig.with_tool(task.spec, run, name)
            return rig.added(task.spec, run, at, name)
    raise rig.NoSuchPlaceError


def _rise(said: str) -> str:
    """A branch's height as typed, refused as the task's own is."""
    quantity = keys_of(Branch)["rise"].shape.quantity
    assert quantity is not None
    return str(QuantityField(quantity, required=False).clean(said) or "")


def _number(said: str | None) -> int:
    return int(said) if said and said.isascii() and said.isdigit() and len(said) < 5 else -1


def _place(request: HttpRequest) -> tuple[int, int] | None:
    """The place at which pieces are to be offered, as the address says: a run, and where in it or "tool"."""
    run = _number(request.GET.get("run"))
    return None if run < 0 else (run, _number(request.GET.get("at")))


def _held(job: Job) -> list[Task]:
    """The tasks of a job in use, which nobody else adds or names until the transaction of the caller ends."""
    Job.objects.select_for_update().get(pk=job.pk)
    return list(job.tasks.filter(retired_at=None))


def _full_words() -> str:
    return _("A job has at most {n} tasks: retire one, or make another job.").format(n=MOST_TASKS)


def _add(job: Job, there: list[Task], name: str, spec: dict[str, Any]) -> Task:
    """One more task behind those that are there; the caller holds the job."""
    name = unused_name(name, (task.name for task in there))
    place = max(job.tasks.values_list("place", flat=True), default=-1) + 1
    made: Task = Task.objects.create(job=job, name=name, place=place, spec=spec)
    return made


def _refused(request: HttpRequest, form: TaskForm, before: str) -> int:
    """Keep a changed task; 0, or the status for what was done meanwhile: another has the name, or saved this one."""
    task = form.task
    with transaction.atomic():
        if taken(task.name, (one.name for one in _held(task.job) if one.pk != task.pk)):
            form.own.add_error("name", name_taken())
            return 422
        if not task.change(version_in(request), ["name", "spec"]):
            return 409
        _renamed(task, before)
    return 0


def _renamed(task: Task, before: str) -> None:
    """Let the job's readings of a task follow its name."""
    if task.name == before or not any(one.get("task") == before for one in task.job.spec.get("reading", [])):
        return
    job = Job.objects.get(pk=task.job_id)  # held by the caller
    readings = [one | {"task": task.name} if one.get("task") == before else one for one in job.spec["reading"]]
    job.spec = job.spec | {"reading": readings}
    job.change(job.version, ["spec"])


def _saved(request: HttpRequest, task: Task, fields: list[str], said: str) -> HttpResponse:
    if not task.change(version_in(request), fields):
        return job_page(request, task.job, status=409, told=meanwhile())
    messages.success(request, said)
    return redirect("jobs:page", task.job_id)


def _address(task: Task) -> str:
    return str(redirect("jobs:task", task.job_id, task.pk)["Location"])
