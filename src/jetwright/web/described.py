"""Forms made from the tables of a job file: what may be typed, what it means, and what is wrong with it, as in a file.

What a person types is kept as written. An empty field is absent from the table, and what the form does not show of a
table stays as it was.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.forms.utils import ErrorList

from jetwright.actions.called import label
from jetwright.errors import Problem
from jetwright.files.door import default_words, hint, table_problems
from jetwright.files.shapes import Key, Shape, keys_of
from jetwright.report.key_labels import EXAMPLES, WORDS
from jetwright.report.wording import _
from jetwright.web.fields import LinesField, QuantityField, YesNoField
from jetwright.web.measured import as_bound, as_example
from jetwright.web.typed import said, words_of

Loc = tuple[str | int, ...]
Check = Callable[[dict[str, Any]], list[Problem]]

SPARE_ROWS = 2
"""Empty rows shown below those of a list."""
MOST_ROWS = 60
"""Most rows of a list that a form reads."""

SHARES: Mapping[str, str] = {
    "accumulation": "0.1",
    "efficiency": "0.9",
    "reseat": "0.9",
    "slip": "0.02",
    "spill": "0.05",
    "tolerance": "0.1",
}
"""Keys whose bare number is a share, which may be typed in per cent too → how one might be written."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a field of a form stands: its path in the table, its key, and the name of its input."""

    path: Loc
    key: Key
    table: type[Any]
    name: str


@dataclass(frozen=True, slots=True)
class Group:
    """Some fields under one heading: of the table itself, of a table in it, or of one row of a list in it.

    path: of the table. names: inputs, in order. groups: tables and rows below it. open: something stands in it.
    required: the table must be there. row: counts from 1, 0 for none. when: the input that chooses, and what must be
    chosen for these fields to mean something; () always.
    """

    legend: str
    path: Loc
    names: list[str] = field(default_factory=list)
    groups: list[Group] = field(default_factory=list)
    open: bool = True
    required: bool = True
    row: int = 0
    when: tuple[str, ...] = ()


class DescribedForm(forms.Form):
    """A form of a table of the job file.

    `spec` is the table as written, in JSON, once it is valid or not: what the form does not show stays as it was.
    `problems` has, for each key in dots, what is wrong with it in words; `group` is how the fields stand together.
    """

    def __init__(
        self,
        table: type[Any],
        spec: Mapping[str, Any],
        data: Mapping[str, Any] | None = None,
        prefix: str = "",
        only: Sequence[str] | None = None,
        without: Sequence[str] = (),
        choices: Mapping[str, Sequence[str]] | None = None,
        check: Check | None = None,
        bounds: bool = True,
    ) -> None:
        self.table = table
        self.bounds = bounds
        self.kept = spec
        self.stem = f"{prefix}-" if prefix else ""
        self.only = set(keys_of(table) if only is None else only) - set(without)
        self.names_for = choices or {}
        self.check = check
        self.places: dict[str, Place] = {}
        self.rows: dict[Loc, list[int]] = {}
        self.spec: dict[str, Any] = dict(spec)
        super().__init__(data, auto_id="id_%s")
        self.group = self._walk(table, (), spec, Group("", ()))

    def _walk(self, table: type[Any], path: Loc, spec: Any, group: Group) -> Group:
        for key in keys_of(table).values():
            at = (*path, key.key)
            if not path and key.key not in self.only:
                continue
            value = spec.get(key.key) if isinstance(spec, Mapping) else None
            if key.shape.table is not None:
                below = Group(label(table, key), at, open=bool(value) or key.required, required=key.required)
                group.groups.append(self._walk(key.shape.table, at, value or {}, below))
            elif key.shape.sort == "list" and key.shape.parts[0].table is not None:
                group.groups.append(self._list(table, key, at, value))
            elif key.shape.sort not in ("rows", "any"):
                name = self.stem + "-".join(map(str, at))
                self.places[name] = Place(at, key, table, name)
                self.fields[name] = self._field(table, key, at, value)
                group.names.append(name)
        return group

    def _list(self, table: type[Any], key: Key, at: Loc, value: Any) -> Group:
        rows = list(value) if isinstance(value, Sequence) and not isinstance(value, str) else []
        stem = self.stem + "-".join(map(str, at))
        count = len(rows) + SPARE_ROWS
        if self.is_bound:
            found = (re.match(re.escape(stem) + r"-([0-9]{1,3})-", name) for name in self.data)
            count = min(MOST_ROWS, max([count, *(int(one[1]) + 1 for one in found if one)]))
        outer = Group(label(table, key), at, open=bool(rows) or key.required, required=key.required)
        inner = key.shape.parts[0].table
        assert inner is not None
        for number in range(count):
            row = rows[number] if number < len(rows) else {}
            typed = self.is_bound and any(
                name.startswith(f"{stem}-{number}-") and value for name, value in self.data.items()
            )
            asked = key.required and number == 0
            shown_open = bool(row) or typed or asked
            below = Group(label(table, key), (*at, number), row=number + 1, required=False, open=shown_open)
            outer.groups.append(self._walk(inner, (*at, number), row, below))
        return outer

    def _field(self, table: type[Any], key: Key, at: Loc, value: Any) -> forms.Field:
        shape = key.shape
        options: dict[str, Any] = {
            "required": False,
            "label": label(table, key),
            "help_text": _hint(table, key, self.bounds),
        }
        dotted = ".".join(str(part) for part in at if isinstance(part, str))
        made: forms.Field
        if dotted in self.names_for and shape.sort == "text":
            names = list(self.names_for[dotted])
            if isinstance(value, str) and value not in names:
                names.append(value)
            options |= {"initial": value or "", "choices": [("", "—"), *((name, name) for name in names)]}
            return forms.ChoiceField(**options)
        if shape.sort == "words":
            chosen = [("", "—"), *((word, _(WORDS.get(word, word))) for word in shape.words)]
            return forms.ChoiceField(**options, initial=value or "", choices=chosen)
        if shape.sort == "yes_no":
            initial = {True: "yes", False: "no"}.get(value, "") if isinstance(value, bool) else ""
            return YesNoField(**options, initial=initial, choices=[("", "—"), ("yes", _("yes")), ("no", _("no"))])
        if shape.sort == "date":
            made = forms.DateField(
                **options, widget=forms.DateInput(attrs={"type": "date"}), input_formats=["%Y-%m-%d"]
            )
            made.initial = value or ""
            return made
        if shape.sort == "list" and shape.parts[0].words:
            chosen = [(word, _(WORDS.get(word, word))) for word in shape.parts[0].words]
            return forms.MultipleChoiceField(**options, initial=list(value or []), choices=chosen)
        if shape.sort == "list":
            return LinesField(shape, **options, initial=_lines(value))
        if shape.quantity is not None:
            asked = QuantityField(shape.quantity, shape.sort, **options, initial="" if value is None else str(value))
            asked.kept, asked.share = value, key.key in SHARES
            return asked
        return forms.CharField(**options, initial=value or "", max_length=400)

    def clean(self) -> dict[str, Any]:
        """Put the table together, and look at it whole. [-]"""
        self.spec = {key: value for key, value in self.kept.items() if key not in self.only or self._unshown(key)}
        self.rows = {}
        self._fill(self.group, self.spec)
        check = self.check or (lambda spec: table_problems(spec, Shape("table", table=self.table)))
        for problem in check(self.spec):
            if not problem.key or problem.key[0] in self.only:
                self.tell(problem.key, problem)
        return self.cleaned_data

    def _unshown(self, key: str) -> bool:
        keys = keys_of(self.table)
        return key not in keys or keys[key].shape.sort in ("rows", "any")

    def _fill(self, group: Group, into: dict[str, Any]) -> None:
        for name in group.names:
            place = self.places[name]
            value = self._value(name)
            if value not in (None, "", []):
                into[str(place.path[-1])] = value
        for below in group.groups:
            if below.groups and below.groups[0].row:
                taken = []
                for row in below.groups:
                    inside: dict[str, Any] = {}
                    self._fill(row, inside)
                    if inside:
                        taken.append(inside)
                        self.rows.setdefault(below.path, []).append(int(row.path[-1]))
                if taken or below.required:
                    into[str(below.path[-1])] = taken
                continue
            inside = {}
            self._fill(below, inside)
            if inside or below.required:
                into[str(below.path[-1])] = inside

    def _value(self, name: str) -> Any:
        """What goes into the table: what was understood, and what was typed where that is nothing."""
        value = self.cleaned_data.get(name)
        if isinstance(value, datetime.date):
            return value.isoformat()
        if name in self.errors:
            value = self[name].data
        return value.strip() if isinstance(value, str) else value

    def tell(self, key: Loc, problem: Problem) -> None:
        """Put a problem beside the field of a key, once; one that has no field stands above them all. [-]"""
        path = self._shown(key)
        for length in range(len(path), 0, -1):
            name = self.stem + "-".join(map(str, path[:length]))
            if name in self.fields:
                if name not in self.errors:
                    self.add_error(name, words_of(problem))
                return
        below = [place for place in self.places.values() if place.path[: len(path)] == path]
        words = words_of(problem)
        if path and below:
            words = _("{label}: {words}").format(label=self._legend(path), words=words)
        self.add_error(None, words)

    def _legend(self, path: Loc) -> str:
        return next((one.legend for one in self._groups(self.group) if one.path == path), ".".join(map(str, path)))

    def _groups(self, group: Group) -> Iterator[Group]:
        yield group
        for below in group.groups:
            yield from self._groups(below)

    def wrong_below(self, group: Group) -> bool:
        """Whether something is wrong in a group or below it. [-]"""
        return any(name in self.errors for name in group.names) or any(map(self.wrong_below, group.groups))

    def _shown(self, key: Loc) -> Loc:
        """The path of a key with the row in the form in place of the row in the list, empty rows being left out."""
        path: list[str | int] = []
        for part in key:
            if isinstance(part, int):
                shown = self.rows.get(tuple(path), [])
                path.append(shown[part] if part < len(shown) else part)
            else:
                path.append(part)
        return tuple(path)

    def names(self) -> list[str]:
        """The inputs, in the order in which a page shows them. [-]"""
        return [name for group in self._groups(self.group) for name in group.names]

    @property
    def problems(self) -> dict[str, list[str]]:
        """What is wrong, by key in dots; "" for the table as a whole. [-]"""
        return {
            ".".join(map(str, self.places[name].path)) if name in self.places else "": _told(words)
            for name, words in self.errors.items()
        }


def fields_for(
    table: type[Any],
    spec: Mapping[str, Any],
    data: Mapping[str, Any] | None = None,
    *,
    prefix: str = "",
    only: Sequence[str] | None = None,
    without: Sequence[str] = (),
    choices: Mapping[str, Sequence[str]] | None = None,
    check: Check | None = None,
    bounds: bool = True,
) -> DescribedForm:
    """A form of a table of the job file, as it is written in `spec`. [-]

    data: what was posted. only, without: keys of the table that the form has. choices: names that may stand in a text
    field, by its path in dots, e.g. {"ports.tip": […]}. check: what is wrong with the table, where more is known than
    its own values; see `jetwright.files.door`. bounds: a field says beforehand between what it must lie.
    """
    named = only, without, choices
    return DescribedForm(table, spec, data, prefix, *named, check=check, bounds=bounds)


def _told(words: ErrorList | Any) -> list[str]:
    return [str(one) for one in words]


def _hint(table: type[Any], key: Key, bounds: bool) -> str:
    """How it might be written, its bounds, and what is taken where nothing is."""
    parts = []
    if key.key in SHARES:
        share = SHARES[key.key]
        parts.append(_("As in “{share}” or “{percent}”.").format(share=share, percent=f"{100 * float(share):g} %"))
    if key.shape.quantity is not None:
        example, least, most = hint(key.shape.quantity)
        kind, example = key.shape.quantity.kind, EXAMPLES.get(f"{table.__name__}.{key.key}", example)
        if example:
            parts.append(_("As in “{example}”.").format(example=as_example(example, kind)))
        if bounds and most and not least.startswith("0"):
            ends = as_bound(least, kind, most=False), as_bound(most, kind, most=True)
            parts.append(_("From {least} to {most}.").format(least=ends[0], most=ends[1]))
        elif bounds and most:
            parts.append(_("At most {most}.").format(most=as_bound(most, kind, most=True)))
    if default_words(key):
        parts.append(_("Left empty: {value}.").format(value=said(default_words(key), key)))
    return " ".join(parts)


def _lines(value: Any) -> str:
    rows = value if isinstance(value, Sequence) and not isinstance(value, str) else []
    return "\n".join(", ".join(map(str, row)) if isinstance(row, (list, tuple)) else str(row) for row in rows)
