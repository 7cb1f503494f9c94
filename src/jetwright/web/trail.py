"""Rows that leave a trail: whatever is written, one row or many, is kept with who wrote it, when, and what it was."""

import ipaddress
import uuid
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any

from auditlog.diff import model_instance_diff
from auditlog.models import LogEntry
from auditlog.registry import auditlog
from django.contrib.contenttypes.models import ContentType
from django.db import models, transaction
from django.db.models.signals import class_prepared, m2m_changed, pre_delete, pre_save
from django.dispatch import receiver
from django.utils import timezone


class NeverDeletedError(Exception):
    """A row that is retired instead of deleted was asked to go."""


class NoTrailError(Exception):
    """A write that could not say what it changed was refused."""


class TrailQuerySet(models.QuerySet[Any]):
    """A query set whose writes of many rows at once are logged row by row, as `save` is. [-]"""

    def update(self, **values: Any) -> int:
        """Change rows, and log each that changes. [-]"""
        if {"pk", self.model._meta.pk.name} & set(values):
            raise NoTrailError("a row keeps its name")
        plain = _plain(self.model).using(self.db)
        with transaction.atomic(using=self.db):
            names = list(self.order_by().values_list("pk", flat=True))
            before = {row.pk: row for row in plain.select_for_update().filter(pk__in=names)}
            count = super(TrailQuerySet, self.filter(pk__in=list(before))).update(**values)
            _keep(_line(row, before[row.pk]) for row in plain.filter(pk__in=list(before)))
        return count

    def bulk_create(
        self,
        objs: Iterable[Any],
        batch_size: int | None = None,
        ignore_conflicts: bool = False,
        update_conflicts: bool = False,
        update_fields: Any = None,
        unique_fields: Any = None,
    ) -> list[Any]:
        """Add rows, and log each; refused where it would not be known which were added. [-]"""
        if ignore_conflicts or update_conflicts:
            raise NoTrailError("rows are added one by one where one may be there already")
        with transaction.atomic(using=self.db):
            made = super().bulk_create(list(objs), batch_size)
            there = _plain(self.model).using(self.db).filter(pk__in=[row.pk for row in made])
            _keep(_line(row, None) for row in there)
        return made

    def delete(self) -> tuple[int, dict[str, int]]:
        """Refused: rows are retired, never deleted. [-]"""
        raise NeverDeletedError(self.model.__name__)

    def _raw_delete(self, using: str | None) -> int:
        raise NeverDeletedError(self.model.__name__)


class Kept(models.Model):
    """A row with a name of its own that no other place gives out, and a count of how often it was changed."""

    uuid = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        abstract = True

    def save(self, *args: Any, **options: Any) -> None:
        """Keep it and its line in the trail, both or neither. [-]"""
        if any(hasattr(value, "resolve_expression") for value in self.__dict__.values()):
            raise NoTrailError("the database alone would know what is saved")
        with transaction.atomic():
            super().save(*args, **options)

    def delete(self, *args: Any, **options: Any) -> tuple[int, dict[str, int]]:
        """Refused: a row is retired, never deleted. [-]"""
        raise NeverDeletedError(type(self).__name__)

    def change(self, version: int, fields: Sequence[str] = ()) -> bool:
        """Save these fields, unless somebody saved the row since it had that version; whether they were saved. [-]

        fields: names of what was touched; none: all.
        """
        with transaction.atomic():
            kept = _plain(type(self)).select_for_update().filter(pk=self.pk, version=version)
            if kept.first() is None:
                return False
            self.version = version + 1
            self.save(update_fields=[*fields, "version", "changed_at"] if fields else None)
        return True


def change_together(changes: Iterable[tuple[Kept, Kept]]) -> bool:
    """Save many rows as `change` does each; False where somebody saved one of them since it was read, and none is. [-]

    changes: each row as it was read, and as it becomes.
    """
    lines, now = [], timezone.now()
    with transaction.atomic():
        for before, row in changes:
            row.version = before.version + 1
            lines.append(_line(row, before))
            row.changed_at = now
            fields = (field for field in row._meta.concrete_fields if not field.primary_key)
            values = {field.name: getattr(row, field.attname) for field in fields}
            if not _plain(type(row)).filter(pk=row.pk, version=before.version).update(**values):
                transaction.set_rollback(True)
                return False
        _keep(lines)
    return True


@receiver(class_prepared)
def _through_one_door(sender: Any, **_: Any) -> None:
    """Django's own writes, such as putting a row under another row, go through the query set that logs, too."""
    if issubclass(getattr(sender._default_manager, "_queryset_class", object), TrailQuerySet):
        sender._meta.base_manager_name = sender._default_manager.name


# --- who --------------------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Acting:
    person: models.Model | None
    address: str | None


_ACTING: ContextVar[_Acting | None] = ContextVar("acting", default=None)


@contextmanager
def acting(person: models.Model | None, address: str = "") -> Iterator[None]:
    """What is written inside was done by this person, from this address. [-]"""
    try:
        known: str | None = str(ipaddress.ip_address(address))
    except ValueError:
        known = None
    before = _ACTING.set(_Acting(person, known))
    try:
        yield
    finally:
        _ACTING.reset(before)


def acted_by(person: models.Model) -> None:
    """From here on it is this person who acts: they have just entered. [-]"""
    now = _ACTING.get()
    if now is not None:
        now.person = person


# --- what -------------------------------------------------------------------------------------------------------------


def masked(value: str) -> str:
    """What the trail shows for a secret: that there is one. [-]"""
    return "" if value in ("", "None") else "***"


def follow(model: type[models.Model], name: str) -> None:
    """Log what is put into, and taken out of, a field of many to many, from either end. [-]"""

    def log(action: str, instance: models.Model, reverse: bool, pk_set: set[Any] | None, **_: Any) -> None:
        if action not in ("post_add", "post_remove", "pre_clear"):
            return
        field: Any = model._meta.get_field(name)
        far = model if reverse else field.related_model
        near_name = field.m2m_reverse_field_name() if reverse else field.m2m_field_name()
        far_name = field.m2m_field_name() if reverse else field.m2m_reverse_field_name()
        if action == "pre_clear":
            through = field.remote_field.through.objects.filter(**{near_name: instance})
            pk_set = set(through.values_list(far_name, flat=True))
        found = list(_plain(far).filter(pk__in=pk_set or ()))
        operation = "add" if action == "post_add" else "delete"
        pairs = [(row, [instance]) for row in found] if reverse else [(instance, found)] if found else []
        for row, others in pairs:
            LogEntry.objects.log_m2m_changes(others, row, operation, name)  # type: ignore[no-untyped-call]

    field: Any = model._meta.get_field(name)
    m2m_changed.connect(log, sender=field.remote_field.through, weak=False, dispatch_uid=f"trail of {model} {name}")


@receiver(pre_save)
def _overwritten(sender: type[models.Model], instance: models.Model, **options: Any) -> None:
    """A row that is laid over one that is there, as `loaddata` does, changes it."""
    if instance._state.adding and instance.pk is not None and auditlog.contains(sender):
        before = _plain(sender).filter(pk=instance.pk).first()
        if before is not None:
            _keep([_line(instance, before, options.get("update_fields"))])


@receiver(pre_save, sender=LogEntry)
def _signed(instance: Any, **_: Any) -> None:
    """A line of the trail says who and from where, of fields alone; written once."""
    if not instance._state.adding:
        raise NoTrailError("the trail is never changed")
    now = _ACTING.get()
    if now is not None:
        instance.actor, instance.remote_addr = now.person, now.address
    model = instance.content_type.model_class()
    if model is not None and instance.changes:
        fields = {field.name for field in (*model._meta.concrete_fields, *model._meta.many_to_many)}
        instance.changes = {name: change for name, change in instance.changes.items() if name in fields}


@receiver(pre_delete, sender=LogEntry)
def _stays(**_: Any) -> None:
    raise NeverDeletedError("LogEntry")


def _plain(model: type[models.Model]) -> models.QuerySet[Any]:
    return models.QuerySet(model)


def _line(row: models.Model, before: models.Model | None, fields: Any = None) -> LogEntry | None:
    """The line of the trail, not kept yet, that says what a row became; None where it is what it was."""
    changes = model_instance_diff(before, row, fields_to_check=fields, use_json_for_changes=True)
    if not changes:
        return None
    return LogEntry(
        content_type=ContentType.objects.get_for_model(row),
        object_pk=row.pk,
        object_id=row.pk if isinstance(row.pk, int) else None,
        object_repr=str(row),
        action=LogEntry.Action.CREATE if before is None else LogEntry.Action.UPDATE,
        changes=changes,
    )


def _keep(lines: Iterable[LogEntry | None]) -> None:
    made = [line for line in lines if line is not None]
    for line in made:
        _signed(line)
    LogEntry.objects.bulk_create(made)
