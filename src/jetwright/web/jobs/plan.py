"""Pages about the plan of a task: the plan, a question about it, what would cure it, its tips, the change to it."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jetwright.actions.shown import change_shown
from jetwright.errors import FileError
from jetwright.report.terminal import for_a_page
from jetwright.report.wording import _, spoken
from jetwright.web.asked import me, meanwhile, version_in
from jetwright.web.jobs.models import Task
from jetwright.web.jobs.panels import NOTHING, Shown, answer_to, by_planner, shown_for, tool_piece, what_was_read
from jetwright.web.jobs.plan_tips import ways_of
from jetwright.web.jobs.question import Line, NotReadError, ports_with, spec_of
from jetwright.web.jobs.said import InTheWay, sorted_out, unread_before
from jetwright.web.jobs.seen import seen_task
from jetwright.web.jobs.what_if import Asked, asked
from jetwright.web.worker import in_turn, one_at_a_time


@require_GET
def page(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """The plan of a task as it is kept. [-]"""
    return _page(request, _task(request, job_id, task_id), QueryDict())


@require_GET
def cures(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """What would cure a refusal, looked for to the end; the whole page where nothing can take the part in. [-]"""
    task = _task(request, job_id, task_id)
    with one_at_a_time(str(me(request).pk)):
        if request.htmx:  # type: ignore[attr-defined]
            shown = _shown(request, task, request.GET, cures=True)
            return render(request, "jobs/plan_cures.html", {"shown": shown, "task": task, "job": task.job})
        return _page(request, task, request.GET, cures=True)


@require_POST
def what_if(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """Plan what is asked; nothing is kept. [-]"""
    return _page(request, _task(request, job_id, task_id), request.POST)


@require_POST
def keep(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """Keep what was asked: in the task, and other tips in the tool of the yard. [-]"""
    task = _task(request, job_id, task_id, "plan")
    try:
        question = asked(task, _without_act(request.POST), me(request).units)
    except (FileError, NotReadError):
        return _page(request, task, request.POST)
    with transaction.atomic():
        saved = _keep(request, task, question)
        transaction.set_rollback(not saved)
    if not saved:
        task = _task(request, job_id, task_id, "plan")
        return _page(request, task, _without_act(request.POST), status=409, told=meanwhile())
    messages.success(request, _("It is kept."))
    if request.htmx:  # type: ignore[attr-defined]
        return HttpResponse(status=204, headers={"HX-Redirect": reverse("jobs:plan", args=[job_id, task_id])})
    return redirect("jobs:plan", job_id, task_id)


@require_GET
def tips(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """The best tips of the box for a tool of a task; alone where a page can take them in. [-]"""
    task = _task(request, job_id, task_id)
    way, ways = sorted_out([]), None
    try:
        question = asked(task, request.GET, me(request).units)
        number = request.GET.get("branch", "")
        numbers = {str(line.number): line.number for line in question.question.tools}
        with one_at_a_time(str(me(request).pk)):
            ways = ways_of(question, me(request).units, numbers.get(number, 0))
    except FileError as error:
        way = sorted_out(error.problems, task)
    except NotReadError:
        raise Http404 from None
    name = "jobs/tips_part.html" if request.htmx else "jobs/tips.html"  # type: ignore[attr-defined]
    return render(request, name, {"task": task, "job": task.job, "ways": ways, "way": way})


@require_GET
def change_card(request: HttpRequest, job_id: UUID, task_id: UUID) -> HttpResponse:
    """The change to a task from the one before it in its job. [-]"""
    task, person = _task(request, job_id, task_id), me(request)
    context: dict[str, Any] = {"task": task, "job": task.job, "way": sorted_out([]), "before": "", "parts": []}
    try:
        kept = asked(task, QueryDict(), person.units)
        unread = unread_before(task, kept.place)
        if unread:
            context["way"] = InTheWay(of_job=(unread,))
            return render(request, "jobs/change.html", context)
        text = what_was_read(kept.text, task.job.name, task.name)
        with in_turn(str(person.pk)):
            card = by_planner(change_shown, text, task.job.name, task.name, person.units, spoken())
        if card is None:
            raise Http404
        context |= {
            "before": card.before,
            "verdict": card.verdict,
            "parts": [
                (for_a_page(title), [tuple(map(for_a_page, row)) for row in lines]) for title, lines in card.parts
            ],
        }
    except FileError as error:
        context["way"] = sorted_out(error.problems, task)
    return render(request, "jobs/change.html", context)


def _task(request: HttpRequest, job_id: UUID, task_id: UUID, act: str = "see") -> Task:
    task = seen_task(request, job_id, task_id, act)
    if task.retired_at is not None:
        raise Http404
    return task


def _page(
    request: HttpRequest, task: Task, sent: QueryDict, *, status: int = 200, told: str = "", cures: bool = False
) -> HttpResponse:
    """The plan's page; its moving parts alone where they were asked for. [-]"""
    parts = request.method == "POST" and bool(request.htmx)  # type: ignore[attr-defined]
    shown = _shown(request, task, sent, told=told, cures=cures, oob=parts)
    if parts and shown.answer is None:
        return HttpResponse(status=204, headers={"HX-Refresh": "true"})
    if (shown.told or shown.wrong) and status == 200:
        status = 422
    name = "jobs/what_if.html" if parts else "jobs/plan.html"
    return render(request, name, {"shown": shown, "task": task, "job": task.job}, status=status)


def _shown(
    request: HttpRequest, task: Task, sent: QueryDict, *, told: str = "", cures: bool = False, oob: bool = False
) -> Shown:
    """What is asked, with the task's own target where that cannot be read; what is kept, where it cannot be planned."""
    person, way, typed, wrong = me(request), NOTHING, "", ""
    forms = [QueryDict(), sent] if "asked" in sent else [sent]
    while forms:
        form = forms.pop()
        try:
            question = asked(task, form, person.units)
            with in_turn(str(person.pk)):
                answer = answer_to(question, person.units, cures)
        except NotReadError as error:
            typed, wrong = error.typed, error.says
            forms.append(_with_target(form, error.kept))
        except FileError as error:
            way = sorted_out(error.problems, task)
            told = told or ("; ".join(way.lines) if "asked" in form else "")
        else:
            beside = sent.get("beside") == "yes"
            return shown_for(
                task, person, question, answer, beside=beside, told=told, typed=typed, wrong=wrong, oob=oob
            )
    return shown_for(task, person, None, None, way=way, told=told or wrong, oob=oob)


def _with_target(sent: QueryDict, target: str) -> QueryDict:
    """A form with another target, and no step from it."""
    other = _without_act(sent)
    other["target"] = target
    return other


def _without_act(sent: QueryDict) -> QueryDict:
    """A form without the step that its button asks for. [-]"""
    bare = sent.copy()
    bare.pop("act", None)
    return bare


def _keep(request: HttpRequest, task: Task, question: Asked) -> bool:
    """Save what was asked, all of it or nothing. [-]"""
    if question.refilled and not me(request).may("keep yard", task.job.crew):
        raise PermissionDenied
    if not all(_refill(request, task, line) for line in question.refilled):
        return False
    spec = spec_of(question.question, task.spec)
    if spec == task.spec and not question.refilled:
        return True
    task.spec = spec
    return task.change(version_in(request), ["spec"])


def _refill(request: HttpRequest, task: Task, line: Line) -> bool:
    """Put other tips into a tool of the yard; False where somebody changed it meanwhile."""
    tool = tool_piece(task, line.tool)
    if tool is None or request.POST.get(line.field("tool_version")) != str(tool.version):
        return False
    tool.spec = {**tool.spec, "ports": ports_with(tool.spec["ports"], line.tips)}
    return bool(tool.change(tool.version, ["spec"]))
