"""People, crews, and who is what in which crew."""

from __future__ import annotations

import datetime
import secrets

from auditlog.registry import auditlog
from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import AbstractUser, UserManager
from django.db import models
from django.db.models import Q
from django.utils import timezone

from jetwright.report.wording import N_
from jetwright.web.people.rights import RIGHTS, ROLES
from jetwright.web.trail import Kept, TrailQuerySet, follow

LANGUAGES = {"en": "English", "es": "Español"}
UNITS = {"si": N_("bar, L/min, mm"), "us": N_("psi, gpm, in")}
THEMES = {"": N_("As the device"), "light": N_("Light"), "dark": N_("Dark")}
SHORTEST_PIN, LONGEST_PIN = 4, 8


class PersonQuerySet(TrailQuerySet):
    """People, as far as somebody may see them. [-]"""

    def visible_to(self, person: Person) -> PersonQuerySet:
        """The people of one's crews, and oneself; everybody for an administrator. [-]"""
        if person.is_superuser:
            return self
        return self.filter(Q(memberships__crew__in=Crew.objects.visible_to(person)) | Q(pk=person.pk)).distinct()


class PersonManager(UserManager.from_queryset(PersonQuerySet)):  # type: ignore[misc]
    """Makes accounts as Django's own manager does, with our query set."""


class Person(Kept, AbstractUser):
    """Somebody with an account: a name to enter with, a name to be called, a password and a PIN."""

    first_name = None  # type: ignore[assignment]
    last_name = None  # type: ignore[assignment]
    name = models.CharField(max_length=80)
    language = models.CharField(max_length=5, default="en", choices=list(LANGUAGES.items()))
    units = models.CharField(max_length=2, default="si", choices=list(UNITS.items()))
    theme = models.CharField(max_length=5, default="", blank=True, choices=list(THEMES.items()))
    pin = models.CharField(max_length=128, default="", blank=True, editable=False)
    must_change = models.BooleanField(default=False)

    objects = PersonManager()  # type: ignore[misc]
    REQUIRED_FIELDS = ["name"]

    def __str__(self) -> str:
        return self.name or self.username

    @property
    def in_full(self) -> str:
        """The name, and the one to enter with, which nobody changes by themselves. [-]"""
        return f"{self} ({self.username})"

    def may(self, act: str, crew: Crew) -> bool:
        """Whether this person may do an act of `RIGHTS` in a crew. [-]"""
        return self.is_active and (self.is_superuser or self.role_in(crew) in RIGHTS[act])

    def role_in(self, crew: Crew) -> str:
        """The role in a crew, "" for none. [-]"""
        found = Membership.objects.filter(person=self, crew=crew, ended_at=None).first()
        return "" if found is None else found.role

    def set_pin(self, pin: str) -> None:
        """Keep a PIN, hashed; the caller saves. [-]"""
        self.pin = make_password(pin)

    def has_pin(self, pin: str) -> bool:
        """Whether this is the PIN. [-]"""
        return bool(self.pin) and check_password(pin, self.pin)

    def get_full_name(self) -> str:
        """What the person is called. [-]"""
        return str(self)

    def get_short_name(self) -> str:
        """What the person is called. [-]"""
        return str(self)


class CrewQuerySet(TrailQuerySet):
    """Crews, as far as somebody may see them. [-]"""

    def visible_to(self, person: Person) -> CrewQuerySet:
        """The crews that somebody is in; all for an administrator. [-]"""
        if person.is_superuser:
            return self
        return self.filter(memberships__person=person, memberships__ended_at=None, retired_at=None).distinct()

    def where(self, person: Person, act: str) -> CrewQuerySet:
        """The crews in which somebody may do an act of `RIGHTS`. [-]"""
        if person.is_superuser:
            return self.filter(retired_at=None)
        rows = Membership.objects.filter(person=person, ended_at=None, role__in=RIGHTS[act])
        return self.filter(pk__in=rows.values("crew"), retired_at=None)


class Crew(Kept):
    """Some people with a yard and jobs of their own."""

    name = models.CharField(max_length=80, unique=True)
    retired_at = models.DateTimeField(null=True, blank=True)

    objects = CrewQuerySet.as_manager()

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name


class Membership(Kept):
    """A person's role in a crew, from when to when."""

    person = models.ForeignKey(Person, models.PROTECT, related_name="memberships")
    crew = models.ForeignKey(Crew, models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=12, choices=list(ROLES.items()))
    since = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = TrailQuerySet.as_manager()

    class Meta:
        ordering = ("crew__name", "person__name")
        constraints = [
            models.UniqueConstraint(
                fields=("person", "crew"), condition=Q(ended_at=None), name="one_role_in_a_crew_at_a_time"
            )
        ]

    def __str__(self) -> str:
        return f"{self.person}, {self.crew}: {self.role}"


class Device(Kept):
    """A tablet or a browser that people share: who entered here with a password may come back with a PIN."""

    name = models.CharField(max_length=80, default="", blank=True)
    token = models.CharField(max_length=64, unique=True, editable=False, default=secrets.token_urlsafe)
    seen_at = models.DateTimeField(default=timezone.now)

    objects = TrailQuerySet.as_manager()

    def __str__(self) -> str:
        return self.name or str(self.uuid)[:8]


class Entered(Kept):
    """That somebody entered with a password on a device, and until when a PIN will do there."""

    device = models.ForeignKey(Device, models.PROTECT, related_name="entered")
    person = models.ForeignKey(Person, models.PROTECT, related_name="entered")
    until = models.DateTimeField()

    objects = TrailQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=("device", "person"), name="one_row_a_person_on_a_device")]

    def __str__(self) -> str:
        return f"{self.person}, {self.device}"

    @staticmethod
    def from_now() -> datetime.datetime:
        """Until when a PIN will do after a password did. [-]"""
        return timezone.now() + datetime.timedelta(hours=16)


class FirstLink(Kept):
    """The one-time link to the first account: only a digest of it is kept."""

    digest = models.CharField(max_length=64, editable=False)
    until = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    objects = TrailQuerySet.as_manager()

    def __str__(self) -> str:
        return str(self.uuid)[:8]


SECRET: dict[type[models.Model], list[str]] = {
    Person: ["password", "pin"],
    Device: ["token"],
    FirstLink: ["digest"],
}
"""What the trail says was changed, and never to what."""

_SILENT: dict[type[models.Model], list[str]] = {Person: ["last_login"], Device: ["seen_at"]}


for _model in (Person, Crew, Membership, Device, Entered, FirstLink):
    auditlog.register(
        _model,
        mask_fields=SECRET.get(_model, []),
        exclude_fields=_SILENT.get(_model, []),
    )
for _name in ("groups", "user_permissions"):
    follow(Person, _name)
