"""What somebody may see and do of jobs and tasks, asked once for every page of theirs."""

from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest
from django.shortcuts import get_object_or_404

from jetwright.web.asked import me
from jetwright.web.jobs.models import Job, JobQuerySet, Task


def seen_job(request: HttpRequest, job_id: UUID, act: str = "see") -> Job:
    """The job, if this person may see it (else 404) and may do the act with it (else 403). [-]"""
    return _seen(request, Job.objects.select_related("crew", "unit"), job_id, act)


def seen_task(request: HttpRequest, job_id: UUID, task_id: UUID, act: str = "see") -> Task:
    """The task of a job, under the same two questions. [-]"""
    job = _seen(request, Job.objects.select_related("crew", "unit").prefetch_related("tasks"), job_id, act)
    task: Task | None = next((one for one in job.tasks.all() if one.pk == task_id), None)
    if task is None:
        raise Http404
    task.job = job
    return task


def _seen(request: HttpRequest, jobs: JobQuerySet, job_id: UUID, act: str) -> Job:
    person = me(request)
    job: Job = get_object_or_404(jobs.visible_to(person), pk=job_id)
    if act != "see" and not person.may(act, job.crew):  # whoever is in its crew may see it
        raise PermissionDenied
    return job
