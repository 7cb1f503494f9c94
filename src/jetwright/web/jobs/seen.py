"""What somebody may see and do of jobs and tasks, asked once for every page of theirs."""

from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from jetwright.web.asked import me
from jetwright.web.jobs.models import Job, Task


def seen_job(request: HttpRequest, job_id: UUID, act: str = "see") -> Job:
    """The job, if this person may see it (else 404) and may do the act with it (else 403). [-]"""
    jobs = Job.objects.visible_to(me(request)).select_related("crew", "unit")
    job: Job = get_object_or_404(jobs, pk=job_id)
    if not me(request).may(act, job.crew):
        raise PermissionDenied
    return job


def seen_task(request: HttpRequest, job_id: UUID, task_id: UUID, act: str = "see") -> Task:
    """The task of a job, under the same two questions. [-]"""
    job = seen_job(request, job_id, act)
    task: Task = get_object_or_404(job.tasks.all(), pk=task_id)
    task.job = job
    return task
