"""Two tasks of a job side by side."""

import json
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jetwright.actions.shown import compare_shown
from jetwright.errors import FileError
from jetwright.files.tables import as_json
from jetwright.report.terminal import for_a_page
from jetwright.report.wording import _, spoken, verdict_words
from jetwright.web.asked import me
from jetwright.web.jobs.models import Task
from jetwright.web.jobs.panels import by_planner
from jetwright.web.jobs.said import sorted_out
from jetwright.web.jobs.seen import seen_job
from jetwright.web.jobs.written import job_tables, read_written, used_tables
from jetwright.web.worker import in_turn


@require_GET
def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Two tasks of a job, line by line, and the limits that tell them apart. [-]"""
    job = seen_job(request, job_id)
    tasks = list(job.tasks.filter(retired_at=None))
    one, other = (_meant(tasks, request.GET.get(name, "")) for name in ("a", "b"))
    context: dict[str, Any] = {"job": job, "tasks": tasks, "told": "", "ways": ()} | _offered(tasks, one, other)
    if one is not None and other is not None and one.pk == other.pk:
        context["told"] = _("These are one and the same task: pick two.")
    elif one is not None and other is not None:
        with in_turn(str(me(request).pk)):
            context |= _compared(one, other, me(request).units)
    return render(request, "jobs/compare.html", context, status=422 if context["told"] else 200)


def _meant(tasks: list[Task], said: str) -> Task | None:
    return next((task for task in tasks if str(task.pk) == said), None)


def _offered(tasks: list[Task], one: Task | None, other: Task | None) -> dict[str, Task | None]:
    """What the form has chosen: what was asked for, and for the rest the first tasks that are not the same one."""
    one = one or next((task for task in tasks if task != other), None)
    other = other or next((task for task in tasks if task != one), None)
    return {"one": one, "other": other}


def _compared(one: Task, other: Task, system: str) -> dict[str, Any]:
    """The comparison in words; what stands in its way, where a task cannot be planned. [-]"""
    tables = job_tables(one.job)
    two = [{"name": task.name, **task.spec} for task in (one, other)]
    names = {one.name, other.name}
    readings = [reading for reading in tables.get("reading", []) if reading.get("task") in names]
    tables = used_tables({**tables, "task": two} | ({"reading": readings} if "reading" in tables else {}))
    try:
        written = json.dumps(as_json(read_written(tables, one.job.name).written))
        told = by_planner(compare_shown, written, one.job.name, system, spoken())
    except FileError as error:
        way = sorted_out(error.problems)
        return {"told": "; ".join(way.lines)}
    return {
        "ways": (("A", one, told.verdicts[0]), ("B", other, told.verdicts[1])),
        "blocks": [(title, [[for_a_page(cell) for cell in row] for row in rows]) for title, rows in told.rows],
        "limits": [
            (title, (here, _figures(here, words)), (there, _figures(there, others)))
            for title, (here, words), (there, others) in told.limits
        ],
        "notes": [for_a_page(note) for note in told.notes],
    }


def _figures(verdict: Any, words: str) -> str:
    """What stands beside a verdict; nothing where that would be the verdict again."""
    return "" if verdict is not None and words == verdict_words(verdict) else for_a_page(words)
