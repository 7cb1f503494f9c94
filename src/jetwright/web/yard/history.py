"""Who changed what of a piece, from what, to what, when: the trail, in words."""

import ast
import datetime
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from auditlog.models import LogEntry

from jetwright.report.wording import N_, _
from jetwright.web.times import at_words, time_in
from jetwright.web.typed import flat
from jetwright.web.yard.forms import TABLES
from jetwright.web.yard.models import Piece

FIELDS: Mapping[str, str] = {
    "name": N_("Name"),
    "serial": N_("Number of the maker"),
    "note": N_("Note"),
    "on": N_("Unit it sits on"),
    "retired_at": N_("Retired"),
    "retired_why": N_("Why it was retired"),
}
"""Field of a piece → what it is called; the others say nothing to a person."""

MOST = 200
"""Most entries that a page shows, the latest first."""


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that changed: what it is called, what it was and what it became; "" for nothing."""

    what: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One save: who, when, whether the piece was new then, and what changed."""

    who: str
    when: datetime.datetime
    new: bool
    changes: tuple[Change, ...]


def history_of(piece: Piece) -> list[Entry]:
    """Every save of a piece, the latest first. [-]"""
    found = LogEntry.objects.get_for_object(piece)  # type: ignore[no-untyped-call]
    rows = found.select_related("actor").order_by("-timestamp", "-pk")[:MOST]
    return [
        Entry(
            row.actor.in_full if row.actor is not None else _("the counter itself"),
            row.timestamp,
            row.action == LogEntry.Action.CREATE,
            tuple(_changes(piece, row.changes_dict)),
        )
        for row in rows
    ]


def spec_changes(kind: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> list[Change]:
    """What differs between two tables of a piece, key by key. [-]"""
    was, now = flat(TABLES[kind], before), flat(TABLES[kind], after)
    nothing = ("", "")
    return [
        Change((now.get(key) or was[key])[0], was.get(key, nothing)[1], now.get(key, nothing)[1])
        for key in dict.fromkeys([*was, *now])
        if was.get(key) != now.get(key)
    ]


def _changes(piece: Piece, changes: Mapping[str, Any]) -> Iterator[Change]:
    for name, words in FIELDS.items():
        if name in changes:
            before, after = (_text(value) for value in changes[name][:2])
            if before != after:
                yield Change(_(words), before, after)
    if "spec" in changes:
        yield from spec_changes(piece.kind, *(table_of(value) for value in changes["spec"][:2]))


def _text(value: object) -> str:
    text = "" if value is None or value == "None" else str(value)
    at = time_in(text)
    return text if at is None else at_words(at)


def table_of(value: object) -> dict[str, Any]:
    """A table as the trail kept it: JSON where many rows were written, as Python writes it where one was. [-]"""
    for read in (json.loads, ast.literal_eval):
        try:
            table = read(value) if isinstance(value, str) else value
        except (ValueError, SyntaxError, RecursionError):
            continue
        if isinstance(table, dict):
            return table
    return {}
