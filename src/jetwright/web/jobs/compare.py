"""Two tasks of a job side by side."""

from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jetwright.actions.compare import compare_read
from jetwright.errors import FileError
from jetwright.report.compare_table import compare_limits, compare_notes, compare_rows
from jetwright.report.terminal import GLUE
from jetwright.report.wording import _, verdict_words
from jetwright.web.asked import me
from jetwright.web.jobs.models import Task
from jetwright.web.jobs.said import sorted_out
from jetwright.web.jobs.seen import seen_job
from jetwright.web.jobs.written import job_tables, read_written, used_tables


@require_GET
def page(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Two tasks of a job, line by line, and the limits that tell them apart. [-]"""
    job = seen_job(request, job_id)
    tasks = list(job.tasks.filter(retired_at=None))
    one, other = (_meant(tasks, request.GET.get(name, "")) for name in ("a", "b"))
    context: dict[str, Any] = {"job": job, "tasks": tasks, "one": one, "other": other, "told": "", "ways": ()}
    if one is not None and other is not None and one.pk == other.pk:
        context["told"] = _("These are one and the same task: pick two.")
    elif one is not None and other is not None:
        context |= _compared(one, other, me(request).units)
    return render(request, "jobs/compare.html", context, status=422 if context["told"] else 200)


def _meant(tasks: list[Task], said: str) -> Task | None:
    return next((task for task in tasks if str(task.pk) == said), None)


def _compared(one: Task, other: Task, system: str) -> dict[str, Any]:
    """The comparison in words; what stands in its way, where a task cannot be planned. [-]"""
    tables = job_tables(one.job)
    two = [{"name": task.name, **task.spec} for task in (one, other)]
    names = {one.name, other.name}
    readings = [reading for reading in tables.get("reading", []) if reading.get("task") in names]
    tables = used_tables({**tables, "task": two} | ({"reading": readings} if "reading" in tables else {}))
    try:
        read = read_written(tables, one.job.name)
        told = compare_read(read, "1", "2", cures=False)
    except FileError as error:
        way = sorted_out(error.problems)
        return {"told": "; ".join(way.lines)}
    return {
        "ways": (("A", one, told.one.task.verdict), ("B", other, told.other.task.verdict)),
        "blocks": [
            (title, [[_spaced(cell) for cell in row] for row in rows])
            for title, rows in compare_rows(told, read.job, system)
        ],
        "limits": [
            (title, (here, _figures(here, words)), (there, _figures(there, others)))
            for title, (here, words), (there, others) in compare_limits(told, system)
        ],
        "notes": [_spaced(note) for note in compare_notes(told, read.job)],
    }


def _figures(verdict: Any, words: str) -> str:
    """What stands beside a verdict; nothing where that would be the verdict again."""
    return "" if verdict is not None and words == verdict_words(verdict) else _spaced(words)


def _spaced(words: str) -> str:
    return words.replace(GLUE, " ")
