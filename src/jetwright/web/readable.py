"""Whether pages can read what the tables of a row hold; what somebody types is held to it when it is typed."""

from typing import Any

from auditlog.models import LogEntry
from django.db import models

from jetwright.files.shapes import Shape, keys_of
from jetwright.rig import description
from jetwright.web.jobs.models import Job, Task
from jetwright.web.yard.forms import TABLES
from jetwright.web.yard.history import table_of
from jetwright.web.yard.models import Piece

MOST_LEVELS = 12
"""Most tables and lists within one another; what is typed has six, and a job file is read to sixteen."""


def unreadable(row: models.Model) -> str:
    """What of a row's tables no page can read, and why; "" for nothing. [-]"""
    for field in row._meta.concrete_fields:
        value = getattr(row, field.attname)
        if isinstance(field, models.JSONField) and value is not None:
            if not isinstance(value, dict):
                return f"{field.name}: {type(value).__name__} in place of a table"
            if is_deep(value):
                return f"{field.name}: more than {MOST_LEVELS} tables within one another"
    if isinstance(row, LogEntry):
        return _unread_changes(row.changes or {})
    if isinstance(row, Piece | Job | Task):
        tables: dict[type, type] = {Job: description.Job, Task: description.Task}
        table = TABLES[row.kind] if isinstance(row, Piece) else tables[type(row)]
        return _misshapen(Shape("table", table=table), row.spec, "spec")
    return ""


def is_deep(value: Any, levels: int = MOST_LEVELS) -> bool:
    """Whether more tables and lists than so many stand within one another. [-]"""
    if not isinstance(value, dict | list):
        return False
    inner = value.values() if isinstance(value, dict) else value
    return levels == 0 or any(is_deep(one, levels - 1) for one in inner)


def _unread_changes(changes: dict[str, Any]) -> str:
    """A change is what was and what is; of a field of many to many, what was done to which."""
    for name, change in changes.items():
        if isinstance(change, dict):
            objects = change.get("objects")
            names = isinstance(objects, list) and all(isinstance(one, str) for one in objects)
            if not names or not isinstance(change.get("operation"), str):
                return f"changes: {name} does not say what was done to which"
        elif not isinstance(change, list) or len(change) != 2:
            return f"changes: {name} does not say what was and what is"
        elif any(_is_deep_text(one) for one in change):
            return f"changes: {name}: more than {MOST_LEVELS} tables within one another"
    return ""


def _is_deep_text(value: Any) -> bool:
    """The trail has tables as text; it is read only where it could be deep, for there are many."""
    if not isinstance(value, str) or value.count("{") + value.count("[") <= MOST_LEVELS:
        return False
    return is_deep(table_of(value))


def _misshapen(shape: Shape, value: Any, at: str) -> str:
    """Where a table, a list or a plain value stands in another's place; keys that no table has hold anything."""
    wanted = {"table": dict, "rows": dict, "list": list, "pair": list}.get(shape.sort)
    if shape.sort == "any" or value is None:
        return ""
    if wanted is None:
        return f"{at}: {type(value).__name__} in place of a value" if isinstance(value, dict | list) else ""
    if not isinstance(value, wanted):
        return f"{at}: {type(value).__name__} in place of {wanted.__name__}"
    if shape.table is not None:
        keys = keys_of(shape.table)
        inner = [(keys[key].shape, one, key) for key, one in value.items() if key in keys]
    else:
        pairs = value.items() if isinstance(value, dict) else enumerate(value)
        inner = [(shape.parts[0], one, str(key)) for key, one in pairs]
    return next(filter(None, (_misshapen(each, one, f"{at}.{key}") for each, one, key in inner)), "")
