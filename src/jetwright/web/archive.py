"""What a backup holds: one JSON line a row of every kept model, the photos, and a manifest that says how much of each.

The same lines restore into SQLite and into PostgreSQL: uuids, days and times are text, bytes are base64, a row of a
model that Django numbers by itself in each database (kinds of rows, permissions) goes by its name.
"""

from __future__ import annotations

import base64
import binascii
import datetime
import json
import re
import uuid
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from auditlog.models import LogEntry
from django.apps import apps
from django.contrib.auth.models import Group, Permission
from django.contrib.contenttypes.models import ContentType
from django.core.exceptions import ValidationError
from django.db import models

from jetwright.web.readable import unreadable

FORMAT = "jetwright backup"
VERSION = 1
"""Of the format; a restore reads this one and older ones."""

MANIFEST = "manifest.json"
ROWS = "rows/{model}.jsonl"
PHOTO = re.compile(r"photos/(?P<uuid>[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})(?P<rest>[-._a-z0-9]{0,40})")

OUR_APPS = ("people", "yard", "jobs", "records")
LEFT_OUT = frozenset({"people.device", "people.entered", "people.firstlink"})
"""What lets a browser in is of this place alone, as sessions are."""

EMPTIED = frozenset({"people.person.pin"})
"""What a backup leaves empty: four digits are soon guessed from what is kept of them, by whoever has the file."""

MOST_SPEC = 4 * 1024 * 1024
"""Most bytes of a value in JSON, about twice what a page takes."""


class RowError(Exception):
    """A row that cannot be one of its model; says which field, and what is wrong with it."""


def kept_models() -> list[type[models.Model]]:
    """The models whose rows a backup holds, each behind those that it points to. [-]"""
    ours = [model for app in OUR_APPS for model in apps.get_app_config(app).get_models()]
    left: list[type[models.Model]] = [Group, *(one for one in ours if one._meta.label_lower not in LEFT_OUT), LogEntry]
    placed: list[type[models.Model]] = []
    while left:
        ready = next(model for model in left if not (_pointed_to(model) & (set(left) - {model})))
        left.remove(ready)
        placed.append(ready)
    return placed


def _pointed_to(model: type[models.Model]) -> set[Any]:
    return {field.related_model for field in (*model._meta.concrete_fields, *model._meta.many_to_many)}


def kept_fields(model: type[models.Model]) -> list[models.Field[Any, Any]]:
    """The columns of a model that a backup holds: all, but for the trail's numbers, which are only its order. [-]"""
    return [field for field in model._meta.concrete_fields if not (model is LogEntry and field.primary_key)]


def as_written(row: models.Model) -> dict[str, Any]:
    """A row as JSON holds it, by the names of its fields. [-]"""
    written = {field.name: _out(field, row) for field in kept_fields(type(row))}
    for many in row._meta.many_to_many:
        related = getattr(row, many.name).order_by("pk")
        if many.related_model is Permission:
            written[many.name] = [list(one.natural_key()) for one in related.select_related("content_type")]
        else:
            written[many.name] = list(related.values_list("pk", flat=True))
    return written


def line_of(row: models.Model) -> bytes:
    """A row as its line of a member. [-]"""
    text = json.dumps(as_written(row), ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.encode("utf-8", "strict") + b"\n"


def _out(field: models.Field[Any, Any], row: models.Model) -> Any:
    value = getattr(row, field.attname)
    if f"{field.model._meta.label_lower}.{field.name}" in EMPTIED:
        return ""
    if value is not None and field.related_model is ContentType:
        return ".".join(ContentType.objects.get_for_id(value).natural_key())
    if isinstance(value, datetime.datetime):
        return value.astimezone(datetime.UTC).isoformat()
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, uuid.UUID):
        return str(value)
    if isinstance(value, (bytes, memoryview)):
        return base64.b64encode(value).decode("ascii")
    return value


def from_written(model: type[models.Model], line: bytes) -> tuple[models.Model, dict[str, list[Any]]]:
    """A row out of its line, not saved, and what it is joined to, by field; RowError. [-]"""
    try:
        written = json.loads(line, parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise RowError(f"no JSON: {error}") from error
    fields, joins = kept_fields(model), model._meta.many_to_many
    if not isinstance(written, dict) or written.keys() != {field.name for field in (*fields, *joins)}:
        raise RowError("its fields are not those of the model")
    values = {field.attname: _checked(field, written[field.name]) for field in fields}
    row = model(**values)
    wrong = unreadable(row)
    if wrong:
        raise RowError(wrong)
    return row, {join.name: list(_joined(join, written[join.name])) for join in joins}


def _no_number(text: str) -> None:
    raise ValueError(f"{text} is no number")


def _checked(field: models.Field[Any, Any], value: Any) -> Any:
    try:
        read = _in(field, value)
        if read is not None:
            field.run_validators(read)
            known = {key for key, _ in field.flatchoices}
            if known and read not in known:
                raise ValueError(f"{value!r} is not one of its choices")
    except ValidationError as error:
        raise RowError(f"{field.name}: {' '.join(error.messages)}") from error
    except (ValueError, TypeError, RecursionError, binascii.Error, ContentType.DoesNotExist) as error:
        raise RowError(f"{field.name}: {error}") from error
    return read


def _in(field: Any, value: Any) -> Any:
    """A value as the model has it."""
    if value is None:
        if not field.null:
            raise ValueError("is missing")
        return None
    if field.related_model is ContentType:
        app, _, name = _a(str, value).partition(".")
        return ContentType.objects.get_by_natural_key(app, name).pk
    while field.remote_field is not None:
        field = field.target_field
    match field:
        case models.JSONField():
            if len(json.dumps(value)) > MOST_SPEC:
                raise ValueError(f"is longer than {MOST_SPEC} bytes")
            return value
        case models.UUIDField():
            return uuid.UUID(_a(str, value))
        case models.DateTimeField():
            read = datetime.datetime.fromisoformat(_a(str, value))
            if read.tzinfo is None:
                raise ValueError("has no time zone")
            return read
        case models.DateField():
            return datetime.date.fromisoformat(_a(str, value))
        case models.BinaryField():
            return base64.b64decode(_a(str, value), validate=True)
        case models.BooleanField():
            return _a(bool, value)
        case models.IntegerField():
            return _a(int, value)
        case _:
            return _a(str, value)


def seen(text: str) -> str:
    """A text out of a backup as a terminal may show it: what is no sign to print is replaced. [-]"""
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)


def _a(sort: type, value: Any) -> Any:
    if not isinstance(value, sort) or (sort is int and isinstance(value, bool)):
        raise ValueError(f"{type(value).__name__} in place of {sort.__name__}")
    return value


def _joined(join: Any, written: Any) -> Iterable[Any]:
    try:
        for one in _a(list, written):
            if join.related_model is Permission:
                yield Permission.objects.get_by_natural_key(*one).pk
            else:
                yield _a(int, one)
    except (TypeError, ValueError, Permission.DoesNotExist, ContentType.DoesNotExist) as error:
        raise RowError(f"{join.name}: {error}") from error


def manifest_of(made_at: str, version: str, members: Mapping[str, Mapping[str, Any]]) -> bytes:
    """The manifest's text. [-]"""
    told = {"format": FORMAT, "version": VERSION, "made_at": made_at, "jetwright": version, "members": dict(members)}
    return json.dumps(told, indent=1).encode()


def rows_names() -> Iterator[tuple[str, type[models.Model]]]:
    """The member of each kept model, in the order in which they restore. [-]"""
    for model in kept_models():
        yield ROWS.format(model=model._meta.label_lower), model
