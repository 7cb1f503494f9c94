"""What a file would bring into a yard: looked at first, piece by piece, and put there only then, all or nothing."""

from __future__ import annotations

import copy
import datetime
import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from django.utils import timezone

from jetwright.errors import FileError, Problem
from jetwright.files.door import table_problems, yard_tables_in
from jetwright.files.shapes import Shape
from jetwright.files.tables import as_json
from jetwright.report.problems import problem_words
from jetwright.report.wording import _
from jetwright.web.in_file import file_lines
from jetwright.web.people.models import Crew
from jetwright.web.signs import one_line, unread
from jetwright.web.trail import change_together
from jetwright.web.typed import words_of
from jetwright.web.yard.forms import MOST_OF_A_NAME, spec_problems
from jetwright.web.yard.history import FIELDS, Change, spec_changes
from jetwright.web.yard.models import IN_A_RUN, OF_A_UNIT, Piece
from jetwright.web.yard.rows import RefusedCellError, column_of, csv_rows, day_in
from jetwright.web.yard.tables import GROUPS, unit_parts, unit_table, yard_tables

MOST_BYTES = 512 * 1024
"""Most bytes of a file that is read."""
MOST_SAID = 100
"""Most problems that are said of one file."""


@dataclass(slots=True)
class Arrival:
    """One piece of a file, and the piece of the yard that it is, if there is one.

    act: "add", "change" or "leave". on: the name of the unit it sits on. row: of a CSV file.
    """

    kind: str
    name: str
    spec: dict[str, Any]
    on: str = ""
    own: dict[str, str] = field(default_factory=dict)
    row: int = 0
    piece: Piece | None = None
    changes: list[Change] = field(default_factory=list)

    @property
    def act(self) -> str:
        """What it does to the yard. [-]"""
        return "add" if self.piece is None else "change" if self.changes else "leave"

    @property
    def retired(self) -> datetime.date | None:
        """The day it was retired, None for a piece in use. [-]"""
        return day_in(self.own.get("retired", ""))


@dataclass(frozen=True, slots=True)
class Arrivals:
    """All of a file, what is wrong with it, what else is to be said of it, a line each, and the yard it was held to."""

    pieces: list[Arrival]
    wrong: list[str]
    told: tuple[str, ...] = ()
    yard: frozenset[tuple[Any, int]] = frozenset()

    @property
    def digest(self) -> str:
        """What was looked at: the same file against the same yard has the same. [-]"""
        told = [
            [one.kind, one.name, one.on, one.own, one.spec, one.act, str(one.piece.pk if one.piece else "")]
            + [[change.what, change.before, change.after] for change in one.changes]
            for one in self.pieces
        ]
        return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()


def arrivals(crew: Crew, kind: str, text: str) -> Arrivals:
    """What a file would do to a crew's yard; kind: "toml" for a yard file, else the kind of a CSV file's pieces. [-]"""
    beside = list(Piece.objects.filter(crew=crew).select_related("on"))
    told: tuple[str, ...] = ()
    if kind == "toml":
        try:
            found, told = _of_toml(text, [one for one in beside if one.retired_at is None])
        except FileError as error:
            return Arrivals([], file_lines(error)[:MOST_SAID])
        wrong = [_too_long(one) for one in found if len(one.name) > MOST_OF_A_NAME]
    else:
        try:
            found = [
                Arrival(kind, own.get("name", ""), spec, own.get("on", ""), own, row)
                for row, own, spec in csv_rows(kind, text)
            ]
        except RefusedCellError as error:
            return Arrivals([], [cell_words(error)])
        wrong = _wrong_rows(found, [one for one in beside if one.retired_at is None])
    wrong += [_unread(one) for one in found if one.name.strip() and unread(one.name)]
    if not wrong:
        _match(found, beside)
        wrong = _doubles(found, beside)
    return Arrivals(found, wrong[:MOST_SAID], told, frozenset((piece.pk, piece.version) for piece in beside))


def yard_held(crew: Crew) -> frozenset[tuple[Any, int]]:
    """Which pieces a crew's yard holds, and their versions; nobody changes them until the transaction ends. [-]

    A piece that is added waits for the row of the crew, which the caller holds.
    """
    held = Piece.objects.select_for_update(no_key=True).filter(crew=crew).order_by("pk")
    return frozenset(held.values_list("pk", "version"))


def settle(crew: Crew, found: Iterable[Arrival]) -> int:
    """Put what was looked at into the yard, which the caller's transaction holds; how many pieces were touched. [-]

    All in a few strokes, for on SQLite nobody else writes meanwhile.
    """
    units = {one.name: one for one in Piece.objects.filter(crew=crew, kind="unit").in_use()}
    added: list[Piece] = []
    changed: list[tuple[Piece, Piece]] = []
    for one in sorted(found, key=lambda one: one.kind != "unit"):
        if one.act == "leave":
            continue
        piece = copy.copy(one.piece) or Piece(crew=crew, kind=one.kind)
        _fill(piece, one, units)
        if one.piece is None:
            added.append(piece)
        else:
            changed.append((one.piece, piece))
        if piece.kind == "unit" and piece.retired_at is None:
            units[piece.name] = piece
    if not change_together(changed):
        raise RuntimeError("the caller's transaction holds the pieces")
    Piece.objects.bulk_create(added)
    return len(added) + len(changed)


def _fill(piece: Piece, one: Arrival, units: dict[str, Piece]) -> None:
    """Write into a piece what arrived; units: those that it may sit on, by name."""
    piece.name, piece.spec = one.name, one.spec
    piece.note_test()
    if one.kind in OF_A_UNIT and ("on" in one.own or not one.own) and _on(piece) != one.on:
        piece.on = units.get(one.on)
    for name in ("serial", "note"):
        if name in one.own:
            setattr(piece, name, one.own[name])
    if "retired" in one.own:
        _set_retired(piece, one)


def own_cells(piece: Piece) -> dict[str, str]:
    """The cells of a CSV row that are not of its table. [-]"""
    retired = piece.retired_at
    return {
        "name": piece.name,
        "serial": piece.serial,
        "note": piece.note,
        "on": piece.on.name if piece.on is not None else "",
        "retired": "" if retired is None else timezone.localtime(retired).date().isoformat(),
        "retired_why": piece.retired_why,
    }


def cell_words(error: RefusedCellError) -> str:
    """What is wrong with a CSV file, with the row and the column. [-]"""
    said = {
        "no_heads": _("the first row names the columns, and one of them is “name”"),
        "no_csv": _("this is no CSV file; a text in quotes is not closed"),
        "unknown_column": _("there is no such column"),
        "column_twice": _("this column is there twice"),
        "too_many_cells": _("“{text}” stands in a column that has no name").format(text=error.text[:60]),
        "too_many_rows": _("so many rows cannot be read; split the file"),
    }[error.code]
    return _cell(error.row, error.column, said)


def _cell(row: int, column: str, words: str) -> str:
    if column:
        return _("row {row}, column “{column}”: {words}").format(row=row, column=column[:60], words=words)
    return _("row {row}: {words}").format(row=row, words=words)


def _of_toml(text: str, beside: list[Piece]) -> tuple[list[Arrival], tuple[str, ...]]:
    tables = as_json(yard_tables_in(text, "yard.toml", {"tips": yard_tables(beside)["tips"]}))
    found = [
        Arrival(kind, name, spec) for kind, group in GROUPS.items() for name, spec in tables.get(group, {}).items()
    ]
    if "unit" in tables:
        spec, carried = unit_parts(tables["unit"])
        unit = str(tables["unit"].get("name", ""))
        found.append(Arrival("unit", unit, spec))
        found += [Arrival(kind, name[:MOST_OF_A_NAME], table, unit) for kind, name, table in carried]
        _as_they_sit(found, [one for one in beside if one.on is not None and one.on.name == unit])
    if "restraints" not in tables:
        return found, ()
    return found, (_("Whip checks and shrouds at hand are not kept in the yard; write them into the job."),)


def _too_long(one: Arrival) -> str:
    words = _("too long (at most {limit} signs)").format(limit=MOST_OF_A_NAME)
    return _("“{text}”: {words}").format(text=one.name[:30] + "…", words=words)


def _unread(one: Arrival) -> str:
    if one.row:
        return _cell(one.row, "name", unread(one.name))
    return _("“{text}”: {words}").format(text=one_line(one.name), words=unread(one.name))


def _as_they_sit(found: list[Arrival], carried: list[Piece]) -> None:
    """A yard file gives a unit's gauge and relief devices no name: they are those that sit there, in their order."""
    for kind in ("gauge", "relief"):
        names = sorted(one.name for one in carried if one.kind == kind)
        arrived = [one for one in found if one.kind == kind]
        for one, name in zip(arrived, names, strict=False):
            one.name = name


def _wrong_rows(found: list[Arrival], beside: list[Piece]) -> list[str]:
    tips = [one for one in beside if one.kind == "tip"]
    tips += [Piece(kind="tip", name=one.name, spec=one.spec) for one in found if one.kind == "tip"]
    kits = [one for one in beside if one.kind == "kit"]
    units = {one.name for one in beside if one.kind == "unit"} | {_on(one) for one in beside}
    wrong: list[str] = []
    for one in found:
        for column, most in (("name", MOST_OF_A_NAME), ("serial", 80), ("note", 400), ("retired_why", 200)):
            text = one.own.get(column, "")
            if column == "name" or text:
                problems = table_problems(text, Shape("text")) if column != "note" else []
                wrong += [_cell(one.row, column, problem_words(problem)) for problem in problems]
            if len(text) > most:
                wrong.append(_cell(one.row, column, _("too long (at most {limit} signs)").format(limit=most)))
            if "\0" in text:
                wrong.append(_cell(one.row, column, problem_words(Problem((), "control_character"))))
        try:
            day_in(one.own.get("retired", ""))
        except ValueError:
            words = words_of(Problem((), "wrong_type", facts={"expected": "date"}))
            wrong.append(_cell(one.row, "retired", words))
        if one.on and (one.kind not in OF_A_UNIT or one.on not in units):
            words = _("there is no unit of this name in use") if one.kind in OF_A_UNIT else _("it sits on no unit")
            wrong.append(_cell(one.row, "on", words))
        carried = [kit for kit in kits if one.kind == "unit" and kit.on is not None and kit.on.name == one.name]
        for problem in spec_problems(one.kind, one.spec, one.name, tips, carried):
            words = words_of(problem)
            if problem.written:
                words = _("“{text}”: {words}").format(text=problem.written, words=words)
            wrong.append(_cell(one.row, column_of(problem.key), words))
        if len(wrong) > MOST_SAID:
            break
    return wrong


def _match(found: list[Arrival], beside: list[Piece]) -> None:
    """Find for each the piece that it is: by its name among those in use, else the same among the retired ones."""
    free: dict[tuple[str, str], list[Piece]] = {}
    for piece in beside:
        free.setdefault((piece.kind, piece.name), []).append(piece)
    for one in sorted(found, key=lambda one: one.retired is not None):
        day = one.retired
        named = free.get((one.kind, one.name), [])
        same = [
            piece
            for piece in named
            if (one.kind not in OF_A_UNIT or "on" not in (one.own or {"on": ""}) or _on(piece) == one.on)
        ]
        gone = [piece for piece in same if day is not None and _day(piece) == day]
        gone.sort(key=lambda piece: bool(_differs(one, piece)))
        in_use = [piece for piece in same if piece.retired_at is None]
        if gone or in_use:
            one.piece = (gone or in_use)[0]
            one.changes = _differs(one, one.piece)
            if "on" not in one.own and one.own:
                one.on = _on(one.piece)
            named.remove(one.piece)


def _day(piece: Piece) -> datetime.date | None:
    return None if piece.retired_at is None else timezone.localtime(piece.retired_at).date()


def _differs(one: Arrival, piece: Piece) -> list[Change]:
    kept = own_cells(piece)
    fields = [
        Change(_(FIELDS.get({"retired": "retired_at"}.get(name, name), name)), kept[name], text)
        for name, text in one.own.items()
        if name in kept and name != "name" and text != kept[name] and (name != "on" or piece.kind in OF_A_UNIT)
    ]
    if not one.own and piece.kind in OF_A_UNIT and _on(piece) != one.on:
        where = FIELDS["on"]
        fields.append(Change(_(where), _on(piece), one.on))
    changes = spec_changes(one.kind, piece.spec, one.spec)
    if not changes and piece.spec != one.spec:
        changes = [Change(_("As written"), json.dumps(piece.spec), json.dumps(one.spec))]
    return fields + changes


def _doubles(found: list[Arrival], beside: list[Piece]) -> list[str]:
    """Names that two pieces in use would share where a job file looks for one."""
    touched = {one.piece.pk for one in found if one.piece is not None}
    stays = [
        (piece.kind, piece.name, _on(piece)) for piece in beside if piece.retired_at is None and piece.pk not in touched
    ]
    taken: dict[tuple[str, str, str], str] = {}
    gauges: dict[str, int] = {}
    wrong = []
    for row, (kind, name, on) in [
        *((0, one) for one in stays),
        *((one.row, (one.kind, one.name, one.on)) for one in found if one.retired is None),
    ]:
        key = (IN_A_RUN[0] if kind in IN_A_RUN else kind, name, on if kind in OF_A_UNIT else "")
        if key in taken:
            words = _("there is one of this name; write what its own tag says")
            if taken[key] != kind:
                words = _("a hose and a fitting share the name “{name}”; rename one of them").format(name=name)
            wrong.append(_cell(row, "name", words) if row else _("{key}: {words}").format(key=name, words=words))
        taken[key] = kind
        if kind == "gauge" and on:
            gauges[on] = gauges.get(on, 0) + 1
            if gauges[on] == 2:
                wrong.append(_cell(row, "on", _("this unit has a gauge; retire that one first, or let it sit on none")))
    return wrong


def _on(piece: Piece) -> str:
    return piece.on.name if piece.on is not None else ""


def _set_retired(piece: Piece, one: Arrival) -> None:
    day = one.retired
    if day is None:
        piece.retired_at, piece.retired_why = None, ""
    elif _day(piece) != day:
        noon = datetime.datetime.combine(day, datetime.time(12))
        piece.retired_at = timezone.make_aware(noon)
    if day is not None:
        piece.retired_why = one.own.get("retired_why", piece.retired_why)


def unit_file(unit: Piece | None, pieces: Iterable[Piece]) -> dict[str, Any]:
    """The tables of a yard file: a unit with what sits on it, and every hose, fitting, tip and tool. [-]"""
    pieces = list(pieces)
    tables = {group: rows for group, rows in yard_tables(pieces).items() if rows}
    if unit is None:
        return tables
    return {"unit": unit_table(unit, [piece for piece in pieces if piece.on_id == unit.pk]), **tables}
