"""The trail in lines that a person reads: who, when, which thing, what it was and is."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from auditlog.models import LogEntry
from auditlog.registry import auditlog
from django.contrib.contenttypes.models import ContentType
from django.db.models import CharField, Func, Q, QuerySet

from jetwright.report.key_labels import LABELS
from jetwright.report.wording import N_, _
from jetwright.web.people.models import Crew
from jetwright.web.times import at_words, time_in
from jetwright.web.typed import said
from jetwright.web.yard.history import table_of

_ROW = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
MOST_LINES = 50
THINGS = {
    "person": N_("Person"),
    "crew": N_("Crew"),
    "membership": N_("Role"),
    "device": N_("Device"),
    "entered": N_("PIN on a device"),
    "firstlink": N_("First link"),
    "piece": N_("Piece of the yard"),
    "photo": N_("Photo"),
    "job": N_("Job"),
    "task": N_("Task"),
    "record": N_("Record"),
}
"""Name of a model → what it is called."""
ACTS = {0: N_("added"), 1: N_("changed")}
UNSAID = ("uuid", "version", "changed_at", "id", "token", "digest", "signature", "key", "previous", "written", "tested")
"""Fields that say nothing to a person, or what another says: the day of a test stands in the table too."""
FIELDS = {
    "added_at": N_("Added"),
    "by": N_("By"),
    "crew": N_("Crew"),
    "date_joined": N_("Added"),
    "day": N_("Day"),
    "device": N_("Device"),
    "email": N_("E-mail"),
    "ended_at": N_("Ended"),
    "first_name": N_("First name"),
    "groups": N_("Groups"),
    "height": N_("Height, in points of the picture"),
    "is_active": N_("May enter"),
    "is_staff": N_("May open the administrator's pages"),
    "is_superuser": N_("Administrator"),
    "job": N_("Job"),
    "kind": N_("Kind"),
    "language": N_("Language"),
    "last_login": N_("Entered last"),
    "last_name": N_("Last name"),
    "made_at": N_("Made"),
    "must_change": N_("Must choose a new password"),
    "name": N_("Name"),
    "note": N_("Note"),
    "number": N_("Number"),
    "on": N_("Unit it sits on"),
    "password": N_("Password"),
    "person": N_("Person"),
    "piece": N_("Piece of the yard"),
    "pin": N_("PIN"),
    "place": N_("Place in its job"),
    "retired_at": N_("Retired"),
    "retired_why": N_("Why it was retired"),
    "role": N_("Role"),
    "says": N_("What the photo shows"),
    "seen_at": N_("Last seen"),
    "serial": N_("Number of the maker"),
    "since": N_("Since"),
    "spec": N_("What is written of it"),
    "task": N_("Task"),
    "theme": N_("Colours"),
    "unit": N_("Unit"),
    "units": N_("Units of measure"),
    "until": N_("Until"),
    "used_at": N_("Used"),
    "user_permissions": N_("Rights"),
    "username": N_("Name to enter with"),
    "width": N_("Width, in points of the picture"),
}
"""Field of a model → what it is called."""


@dataclass(frozen=True, slots=True)
class Change:
    """A field, what it was and what it is."""

    field: str
    was: str
    now: str


@dataclass(frozen=True, slots=True)
class Line:
    """One line; by: "" where no person acted."""

    at: datetime
    by: str
    act: str
    thing: str
    name: str
    changes: tuple[Change, ...]


def lines(crews: Sequence[Crew] | None, before: str = "") -> tuple[list[Line], str]:
    """The newest lines about what these crews keep, all for None; and the number to go on from, "" at the end. [-]"""
    found: QuerySet[Any] = LogEntry.objects.select_related("actor", "content_type").order_by("-pk")
    if crews is not None:
        found = found.filter(_about(crews))
    if before.isdecimal() and len(before) < 18:
        found = found.filter(pk__lt=int(before))
    rows = list(found[: MOST_LINES + 1])
    names = _Names(rows[:MOST_LINES])
    return [_line(row, names) for row in rows[:MOST_LINES]], str(rows[-2].pk) if len(rows) > MOST_LINES else ""


def _about(crews: Sequence[Crew]) -> Q:
    """Lines about the crews themselves and about all that stands under them."""
    about = Q(pk__in=())
    models: list[Any] = auditlog.get_models()
    for model in models:
        names = {field.name for field in model._meta.fields}
        ways = {"crew": "crew", "job": "job__crew", "piece": "piece__crew"}
        way = "pk" if model is Crew else next((ways[name] for name in ways if name in names), "")
        if way:
            rows = model._default_manager.order_by().filter(**{f"{way}__in": [crew.pk for crew in crews]})
            kind = ContentType.objects.get_for_model(model)
            about |= Q(content_type=kind, object_pk__in=rows.values_list(_AsWritten("pk")))
    return about


class _AsWritten(Func):
    """The name of a row as the trail writes it, worked out by the database, which may keep it without its dashes."""

    template = "CAST(%(expressions)s AS varchar)"
    output_field = CharField()

    def as_sqlite(self, compiler: Any, connection: Any, **options: Any) -> Any:
        """Thirty-two signs, and a dash where a uuid has one. [-]"""
        parts = [
            f"substr(%(expressions)s, {first}, {many})" for first, many in ((1, 8), (9, 4), (13, 4), (17, 4), (21, 12))
        ]
        return self.as_sql(compiler, connection, template=" || '-' || ".join(parts), **options)


class _Names:
    """What the rows that links lead to were called, asked for at once: the trail has it from their first day on."""

    def __init__(self, rows: Iterable[Any]) -> None:
        keys = {value for row in rows for name in _links(row) for value in row.changes[name] if _is_row(value)}
        told = LogEntry.objects.filter(object_pk__in=keys).order_by("pk")
        self.called: dict[str, list[tuple[int, str]]] = {}
        for key, line, name in told.values_list("object_pk", "pk", "object_repr"):
            known = self.called.setdefault(key, [])
            if not known or known[-1][1] != name:
                known.append((line, name))

    def of(self, value: object, line: int) -> object:
        """The name that a row had when the line was written; of one that the trail does not know, the uuid in short."""
        if not _is_row(value):
            return value
        known = self.called.get(str(value), [])
        first = known[0][1] if known else str(value)[:8]
        return next((name for since, name in reversed(known) if since <= line), first)


def _links(row: Any) -> Iterator[str]:
    """Fields of a line that name another row."""
    model = row.content_type.model_class()
    for field in () if model is None else model._meta.concrete_fields:
        if field.is_relation and isinstance((row.changes or {}).get(field.name), list):
            yield field.name


def _is_row(value: object) -> bool:
    return bool(_ROW.fullmatch(str(value)))


def _line(row: Any, names: _Names) -> Line:
    links, new = set(_links(row)), row.action == LogEntry.Action.CREATE
    return Line(
        row.timestamp,
        "" if row.actor is None else row.actor.in_full,
        _(ACTS.get(row.action, ACTS[1])),
        _(THINGS.get(row.content_type.model, row.content_type.model)),
        row.object_repr,
        tuple(
            each
            for name, change in sorted((row.changes or {}).items())
            if name not in UNSAID and not (name in links and new)
            for each in _changes(name, [names.of(one, row.pk) for one in change] if name in links else change)
            if each.was != each.now and not (new and each.now == at_words(row.timestamp))  # the line has its time
        ),
    )


def _changes(name: str, change: Any) -> Iterator[Change]:
    field = _(FIELDS.get(name, name.replace("_", " ")))
    if isinstance(change, dict):  # a field of many to many
        told = ", ".join(change["objects"])
        yield Change(field, "", told) if change["operation"] == "add" else Change(field, told, "")
    elif name == "spec":
        was, now = (dict(_flat(table_of(value))) for value in change)
        for key in dict.fromkeys([*was, *now]):
            if was.get(key) != now.get(key):
                yield Change(key, was.get(key, ""), now.get(key, ""))
    else:
        yield Change(field, *(_value(value) for value in change))


def _flat(value: Any, above: str = "") -> Iterator[tuple[str, str]]:
    """Each value of a table under what its key is called, with what the tables above it are called."""
    pairs = value.items() if isinstance(value, dict) else enumerate(value, 1)
    for key, inner in pairs:
        words = str(key) if isinstance(key, int) else _(LABELS.get(key, key.replace("_", " ")))
        words = _("{part}: {what}").format(part=above, what=words) if above else words
        if isinstance(inner, dict) or (isinstance(inner, list) and any(isinstance(one, dict) for one in inner)):
            yield from _flat(inner, words)
        else:
            yield words, said(inner)


def _value(value: Any) -> str:
    """A value of a field: no microseconds, yes and no in words, "" for nothing."""
    if value in (None, "None"):
        return ""
    if isinstance(value, bool) or value in ("True", "False"):  # never a 1, which is a number
        return said(str(value) == "True")
    at = time_in(str(value))
    return str(value) if at is None else at_words(at)
