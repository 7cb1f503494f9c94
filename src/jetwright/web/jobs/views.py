"""Pages about jobs: the list, one job with its tasks, and what is done with a whole job."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jetwright.errors import FileError
from jetwright.report.wording import _
from jetwright.web.asked import demo_last, me, meanwhile, uuid_in, version_in
from jetwright.web.in_file import file_lines
from jetwright.web.jobs.demo import demo_for
from jetwright.web.jobs.forms import JobForm, facts_in
from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.received import MOST_TASKS, STATES, Received, SiteRulesError, put_in, read_texts, unused_name
from jetwright.web.jobs.seen import seen_job
from jetwright.web.jobs.signed import signed_of
from jetwright.web.jobs.standing import standing_of
from jetwright.web.jobs.written import job_text
from jetwright.web.people.models import Crew, Person

LARGEST = 256 * 1024
"""Most bytes of a file that is read."""
MOST_JOBS = 100
"""Most jobs in use, and most retired ones, that one leaf of the list shows."""


@require_GET
def jobs(request: HttpRequest) -> HttpResponse:
    """The jobs of one's crews, those in use first, the latest of both; the older ones leaf by leaf. [-]"""
    person = me(request)
    asked = request.GET.get("leaf", "")
    leaf = max(1, int(asked)) if asked.isascii() and asked.isdigit() and len(asked) < 6 else 1
    first = (leaf - 1) * MOST_JOBS
    seen = Job.objects.visible_to(person).select_related("crew", "unit").order_by("-changed_at", "pk")
    used = list(seen.filter(retired_at=None).prefetch_related("tasks")[first : first + MOST_JOBS + 1])
    retired = list(seen.exclude(retired_at=None)[first : first + MOST_JOBS + 1])
    context = {
        "open": standing_of(used[:MOST_JOBS]),
        "retired": retired[:MOST_JOBS],
        "leaf": leaf,
        "older": max(len(used), len(retired)) > MOST_JOBS,
        "plans": list(Crew.objects.where(person, "plan")),
        "demo": _may_begin_the_demo(person),
    }
    return render(request, "jobs/list.html", context)


@require_POST
def demo(request: HttpRequest) -> HttpResponse:
    """Put the demo shift into a crew of its own, once, and open it. [-]"""
    if not _may_begin_the_demo(me(request)):
        raise PermissionDenied
    job, made = demo_for(me(request))
    if made:
        said = _("The demo shift is in, in a crew of its own: {crew}. Nothing of it is offered in your own jobs.")
        messages.success(request, said.format(crew=job.crew))
    else:
        messages.info(request, _("The demo shift was in already; nothing was added."))
    return redirect("jobs:page", job.pk)


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Make a job. [-]"""
    crews = Crew.objects.where(me(request), "plan")
    if not crews:
        raise PermissionDenied
    named = crews.filter(pk=uuid_in(request.GET.get("crew"))).first()
    crew = _crew(request) if request.POST else named or demo_last(crews)[0]
    form = JobForm(Job(crew=crew), request.POST or None)
    if request.POST and form.is_valid():
        job = form.filled()
        job.save()
        return redirect("jobs:page", job.pk)
    context = {"form": form, "crew": crew, "crews": crews}
    return render(request, "jobs/new.html", context, status=422 if request.POST else 200)


@require_GET
def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """One job and its tasks. [-]"""
    return job_page(request, seen_job(request, job_id))


@require_POST
def change(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Change what a job says beside its tasks. [-]"""
    job = seen_job(request, job_id, "plan")
    form = JobForm(job, request.POST)
    if not form.is_valid():
        return job_page(request, job, form, status=422)
    if not form.filled().change(version_in(request), ["name", "unit", "day", "spec"]):
        return job_page(request, Job.objects.get(pk=job.pk), form, status=409)
    messages.success(request, _("The job is changed."))
    return redirect("jobs:page", job.pk)


@require_POST
def copy(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Make another job with the same facts and the same tasks in use. [-]"""
    job = seen_job(request, job_id, "plan")
    names = Job.objects.filter(crew=job.crew).values_list("name", flat=True)
    with transaction.atomic():
        made = Job.objects.create(
            crew=job.crew, name=unused_name(job.name, names), unit=job.unit, spec=job.spec, day=job.day
        )
        for place, task in enumerate(job.tasks.filter(retired_at=None)):
            Task.objects.create(job=made, name=task.name, place=place, spec=task.spec)
    messages.success(request, _("This is the copy."))
    return redirect("jobs:page", made.pk)


@require_POST
def retire(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Take a job out of the list; it is kept. [-]"""
    job = seen_job(request, job_id, "plan")
    job.retired_at = job.retired_at or timezone.now()
    return _saved(request, job, _("The job is retired; it can be brought back."))


@require_POST
def back(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Bring a retired job back. [-]"""
    job = seen_job(request, job_id, "plan")
    job.retired_at = None
    return _saved(request, job, _("The job is back."))


@require_GET
def file(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """A job as a job file, whole, with the rows of the yard that it uses. [-]"""
    job = seen_job(request, job_id)
    answer = HttpResponse(job_text(job), content_type="application/toml; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{slugify(job.name) or "job"}.toml"'
    return answer


@require_http_methods(["GET", "POST"])
def bring(request: HttpRequest) -> HttpResponse:
    """Make a job of a job file: first said what would come in, then put in. [-]"""
    crews = demo_last(Crew.objects.where(me(request), "plan"))
    if not crews:
        raise PermissionDenied
    context: dict[str, Any] = {"crews": crews, "crew": crews[0], "lines": [], "received": None, "states": STATES}
    if not request.POST:
        return render(request, "jobs/bring.html", context | {"job": "", "yard": ""})
    crew = _crew(request)
    context |= {"crew": crew, "job": "", "yard": ""}
    try:
        job, yard = _text(request, "job"), _text(request, "yard")
        received = read_texts(job, yard).beside(crew)
    except (FileError, UnicodeDecodeError, ValueError) as error:
        lines = file_lines(error) if isinstance(error, FileError) else [_not_read(error)]
        return render(request, "jobs/bring.html", context | {"lines": lines}, status=422)
    context |= {"job": job, "yard": yard, "received": received}
    context["lines"] = _against(received, me(request).may("keep yard", crew))
    if context["lines"]:
        return render(request, "jobs/bring.html", context, status=422)
    if request.POST.get("act") != "put in":
        return render(request, "jobs/bring.html", context)
    with transaction.atomic():
        Crew.objects.select_for_update().get(pk=crew.pk)
        received = received.beside(crew)  # somebody may have kept a piece since
        lines = _against(received, me(request).may("keep yard", crew))
        if lines:
            return render(request, "jobs/bring.html", context | {"received": received, "lines": lines}, status=422)
        made = put_in(crew, received)
    messages.success(request, _("The job is in."))
    return redirect("jobs:page", made.pk)


def job_page(
    request: HttpRequest, job: Job, form: JobForm | None = None, status: int = 200, told: str = ""
) -> HttpResponse:
    """The page of a job; with a form that could not be saved in place of the job's own. [-]"""
    opened, form = form is not None, form or JobForm(job, None)
    may = me(request).may("plan", job.crew)
    tasks = list(job.tasks.all())
    if status == 409 and not told:
        told = meanwhile()
    context = {
        "job": job,
        "form": form,
        "facts": list(facts_in(form.table, form.shown)),
        "opened": opened,
        "tasks": [task for task in tasks if task.retired_at is None],
        "retired": [task for task in tasks if task.retired_at is not None],
        "signed": signed_of(job, tasks),
        "may": may,
        "told": told,
    }
    return render(request, "jobs/job.html", context, status=status)


def _saved(request: HttpRequest, job: Job, said: str) -> HttpResponse:
    if not job.change(version_in(request), ["retired_at"]):
        return job_page(request, Job.objects.get(pk=job.pk), status=409)
    messages.success(request, said)
    return redirect("jobs:page", job.pk)


def _crew(request: HttpRequest) -> Crew:
    """The crew that a post is for: seen (else 404), and planned for by this person (else 403)."""
    person = me(request)
    named = uuid_in(request.POST.get("crew"))
    crews = Crew.objects.visible_to(person)
    if not named and not crews:
        raise Http404
    crew: Crew = get_object_or_404(crews, pk=named) if named else demo_last(crews)[0]
    if not person.may("plan", crew):
        raise PermissionDenied
    return crew


def _may_begin_the_demo(person: Person) -> bool:
    """Who plans and keeps a yard somewhere may lead a crew of the demo."""
    return any(person.may("keep yard", crew) for crew in Crew.objects.where(person, "plan"))


def _text(request: HttpRequest, name: str) -> str:
    """A file's text: the file that was chosen, or what the page before said it held."""
    chosen = request.FILES.get(f"{name}_file")
    if chosen is None:
        text = request.POST.get(name, "").replace("\r\n", "\n")
        if len(text.encode()) > LARGEST:
            raise ValueError(name)
        return text
    if chosen.size is None or chosen.size > LARGEST:
        raise ValueError(name)
    return bytes(chosen.read()).decode()


def _not_read(error: ValueError) -> str:
    if isinstance(error, UnicodeDecodeError):
        return _("The file is not text in UTF-8.")
    if isinstance(error, SiteRulesError):
        return _("The file names rules of a site, which are not kept here: take that line out, and know what it asked.")
    return _("The file is too large; at most {n} kB are read.").format(n=LARGEST // 1024)


def _against(received: Received, keeps: bool) -> list[str]:
    """What stands against putting in a job that can be read."""
    lines = [_("“{name}”: this name is too long.").format(name=name) for name in received.named_too_long()]
    lines += [_("“{name}”: {words}").format(name=name, words=words) for name, words in received.unread()]
    lines += [
        _(
            "“{name}”: the yard has a hose or a fitting of this name, and a hose run could not tell the two apart. "
            "Rename the piece in the file, or the one in the yard."
        ).format(name=row.name)
        for row in received.rows
        if row.state == "taken"
    ]
    if len(received.tasks) > MOST_TASKS:
        lines.append(_("A job has at most {n} tasks; split the file.").format(n=MOST_TASKS))
    lacks = [row.name for row in received.rows if row.state == "new"]
    if lacks and not keeps:
        lines.append(
            _("Somebody who keeps the yard must put these pieces in first: {names}.").format(names=", ".join(lacks))
        )
    return lines
