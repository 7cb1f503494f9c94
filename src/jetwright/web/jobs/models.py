"""Jobs and their tasks, as written; the rig of a task is put together from the yard of its crew."""

from __future__ import annotations

from auditlog.registry import auditlog
from django.db import models

from jetwright.web.people.models import Crew, Person
from jetwright.web.trail import Kept, TrailQuerySet
from jetwright.web.yard.models import Piece


class JobQuerySet(TrailQuerySet):
    """Jobs, as far as somebody may see them. [-]"""

    def visible_to(self, person: Person) -> JobQuerySet:
        """The jobs of the crews that somebody may see. [-]"""
        return self.filter(crew__in=Crew.objects.visible_to(person))


class Job(Kept):
    """A job: one unit, one supply, some tasks.

    spec: what a job file says beside the title, the unit, the yard's rows and the tasks, in JSON.
    """

    crew = models.ForeignKey(Crew, models.PROTECT, related_name="jobs")
    name = models.CharField(max_length=120)
    unit = models.ForeignKey(Piece, models.PROTECT, null=True, blank=True, related_name="jobs")
    spec = models.JSONField(default=dict)
    day = models.DateField(null=True, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ("-changed_at",)

    def __str__(self) -> str:
        return self.name


class TaskQuerySet(TrailQuerySet):
    """Tasks, as far as somebody may see them. [-]"""

    def visible_to(self, person: Person) -> TaskQuerySet:
        """The tasks of the jobs that somebody may see. [-]"""
        return self.filter(job__in=Job.objects.visible_to(person))


class Task(Kept):
    """One task of a job; spec: its table of the job file as written, without its name, in JSON."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="tasks")
    name = models.CharField(max_length=120)
    place = models.PositiveIntegerField(default=0)
    spec = models.JSONField(default=dict)
    retired_at = models.DateTimeField(null=True, blank=True)

    objects = TaskQuerySet.as_manager()

    class Meta:
        ordering = ("place", "name")

    def __str__(self) -> str:
        return self.name


for _model in (Job, Task):
    auditlog.register(_model)
