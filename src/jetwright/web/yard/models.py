"""Pieces of a yard: one row each, the part as written, retired and never deleted."""

from __future__ import annotations

from typing import Any

from auditlog.registry import auditlog
from django.db import models
from django.db.models import Q

from jetwright.report.wording import N_
from jetwright.web.people.models import Crew, Person
from jetwright.web.trail import Kept, TrailQuerySet

KINDS: dict[str, str] = {
    "unit": N_("Units"),
    "kit": N_("Plunger kits"),
    "gauge": N_("Gauges"),
    "relief": N_("Relief devices"),
    "hose": N_("Hoses"),
    "fitting": N_("Fittings"),
    "tool": N_("Tools"),
    "tip": N_("Tips"),
}
"""Kind of a piece → what the pieces are called, in the order of a yard's page."""

OF_A_UNIT = ("kit", "gauge", "relief")
"""Kinds that sit on a unit."""

IN_A_RUN = ("hose", "fitting")
"""Kinds of which a hose run is made: it names either, so they share their names."""


class PieceQuerySet(TrailQuerySet):
    """Pieces, as far as somebody may see them. [-]"""

    def visible_to(self, person: Person) -> PieceQuerySet:
        """The pieces of the crews that somebody may see. [-]"""
        return self.filter(crew__in=Crew.objects.visible_to(person))

    def in_use(self) -> PieceQuerySet:
        """Those that are not retired. [-]"""
        return self.filter(retired_at=None)


class Piece(Kept):
    """A unit, hose, fitting, tool, tip, kit, gauge or relief device, as its plate, tag or certificate says.

    spec: its table of the job file as written, in JSON. on: the unit that a kit, gauge or relief device sits on.
    tested: the day of its last test or certificate, out of spec, for lists.
    """

    crew = models.ForeignKey(Crew, models.PROTECT, related_name="pieces")
    kind = models.CharField(max_length=8, choices=list(KINDS.items()))
    name = models.CharField(max_length=80)
    serial = models.CharField(max_length=80, default="", blank=True)
    note = models.CharField(max_length=400, default="", blank=True)
    on = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="carried")
    spec = models.JSONField(default=dict)
    tested = models.DateField(null=True, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)
    retired_why = models.CharField(max_length=200, default="", blank=True)

    objects = PieceQuerySet.as_manager()

    class Meta:
        ordering = ("kind", "name")
        constraints = [
            models.UniqueConstraint(
                fields=("crew", "kind", "name"),
                condition=Q(retired_at=None, on=None),
                name="one_piece_of_a_name_in_use",
            ),
            models.UniqueConstraint(
                fields=("on", "kind", "name"),
                condition=Q(retired_at=None, on__isnull=False),
                name="one_piece_of_a_name_on_a_unit",
            ),
            models.UniqueConstraint(
                fields=("crew", "name"),
                condition=Q(retired_at=None, kind__in=IN_A_RUN),
                name="one_name_for_hoses_and_fittings",
            ),
        ]
        indexes = [models.Index(fields=("crew", "kind", "retired_at"))]

    def __str__(self) -> str:
        return self.name

    @property
    def count(self) -> int:
        """How many equal pieces it stands for. [-]"""
        count = self.spec.get("count", 1)
        return count if isinstance(count, int) else 1

    def save(self, *args: Any, **options: Any) -> None:
        """Keep it, with the day of its test beside it. [-]"""
        self.note_test()
        if options.get("update_fields") and "spec" in options["update_fields"]:
            options["update_fields"] = [*options["update_fields"], "tested"]
        super().save(*args, **options)

    def note_test(self) -> None:
        """Put the day of its test beside its table, for the lists; the caller saves. [-]"""
        tested = self.spec.get("tested")
        self.tested = tested if isinstance(tested, str) and len(tested) == 10 else None


class Photo(Kept):
    """A picture of a piece, decoded and encoded anew; the files lie in the photos' folder under its name."""

    piece = models.ForeignKey(Piece, models.PROTECT, related_name="photos")
    says = models.CharField(max_length=120, default="", blank=True)
    digest = models.CharField(max_length=64)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    by = models.ForeignKey(Person, models.PROTECT, null=True, related_name="+")
    added_at = models.DateTimeField(auto_now_add=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    objects = TrailQuerySet.as_manager()

    class Meta:
        ordering = ("added_at",)

    def __str__(self) -> str:
        return self.says or str(self.uuid)[:8]


for _model in (Piece, Photo):
    auditlog.register(_model)
