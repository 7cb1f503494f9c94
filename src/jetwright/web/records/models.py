"""Records: sealed, chained within a crew, and only ever added."""

from __future__ import annotations

import uuid
from typing import Any

from auditlog.registry import auditlog
from django.db import models, transaction
from django.utils import timezone

from jetwright.web.jobs.models import Task
from jetwright.web.people.models import Crew, Person
from jetwright.web.trail import NeverDeletedError, TrailQuerySet


class NeverChangedError(Exception):
    """A record was asked to change."""


class RecordQuerySet(TrailQuerySet):
    """Records, as far as somebody may see them; nothing of them changes or goes. [-]"""

    def visible_to(self, person: Person) -> RecordQuerySet:
        """The records of the crews that somebody may see. [-]"""
        return self.filter(crew__in=Crew.objects.visible_to(person))

    def update(self, **values: Any) -> int:
        """Refused. [-]"""
        raise NeverChangedError

    def bulk_update(self, *args: Any, **options: Any) -> int:
        """Refused. [-]"""
        raise NeverChangedError


class Record(models.Model):
    """What was signed: body is canonical JSON; digest chains it to the record before in its crew; signature seals it.

    number: from 1 within the crew. key: the public key of the seal. sheet: the PDF that was printed from it.
    written: a mark of what was written, by which a list tells whether it still is; the body has it whole, and sealed.
    """

    uuid = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    crew = models.ForeignKey(Crew, models.PROTECT, related_name="records")
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=20, default="plan")
    task = models.ForeignKey(Task, models.PROTECT, null=True, related_name="records")
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    body = models.TextField()
    previous = models.CharField(max_length=64, default="", blank=True)
    digest = models.CharField(max_length=64, unique=True)
    key = models.CharField(max_length=64)
    signature = models.CharField(max_length=128)
    sheet = models.BinaryField(default=bytes)
    written = models.CharField(max_length=64, default="", blank=True)

    objects = RecordQuerySet.as_manager()

    class Meta:
        ordering = ("-made_at",)
        constraints = [models.UniqueConstraint(fields=("crew", "number"), name="one_record_of_a_number_in_a_crew")]

    def __str__(self) -> str:
        return f"{self.crew} {self.number}"

    @property
    def fingerprint(self) -> str:
        """The first signs of the digest, in fours, as a sheet prints them. [-]"""
        return "-".join(self.digest[at : at + 4] for at in range(0, 16, 4))

    def save(self, *args: Any, **options: Any) -> None:
        """Add it; a record that is there already is never changed. [-]"""
        if not self._state.adding:
            raise NeverChangedError
        with transaction.atomic():  # with its line in the trail, or not at all
            super().save(*args, force_insert=True, **{k: v for k, v in options.items() if k != "force_insert"})

    def delete(self, *args: Any, **options: Any) -> tuple[int, dict[str, int]]:
        """Refused. [-]"""
        raise NeverDeletedError("Record")


auditlog.register(Record, exclude_fields=["sheet", "body"])
