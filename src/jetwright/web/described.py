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
from django.core.exceptions import ValidationError
from django.forms.utils import ErrorList

from jetwright.actions.called import label
from jetwright.errors import Problem, UnitError
from jetwright.files.door import default_words, hint, table_problems
from jetwright.files.shapes import Key, Shape, keys_of
from jetwright.report.figures import figure, signed
from jetwright.report.gauge import gauge_figure
from jetwright.report.key_labels import EXAMPLES, WORDS
from jetwright.report.problems import problem_words
from jetwright.report.wording import N_, _, spoken
from jetwright.rig.description import Gauge, Tip
from jetwright.rig.quantity import Quantity
from jetwright.units import KINDS, read, read_rated, show, shown, unit_of, units_of
from jetwright.web.measured import as_bound, as_example, in_both

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

HIGH = 100e5
"""From this pressure on it is read on a gauge of a pump. [Pa]"""

_BARE = re.compile(r"[+-]?(?=[0-9.,'_’ \u00a0\u2009\u202f]*[0-9])[0-9.,'_’ \u00a0\u2009\u202f]+")
_PLAIN_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_PERCENT = re.compile(r"([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)) ?%")
_GROUPED = re.compile(r"([+-]?)([1-9][0-9]{0,2})\.([0-9]{3})(?![0-9])(.*)", re.DOTALL)
_BLANKS = " \\u00a0\\u2009\\u202f"
_THREES = re.compile(
    rf"(?<![0-9.,'’_])(?<![0-9][{_BLANKS}])([1-9][0-9]{{0,2}})((?:[{_BLANKS}][0-9]{{3}})+)(?![0-9,'’_]|[{_BLANKS}][0-9])"
)
_PAIR = re.compile(r"\s*;\s*|,\s+|(?<=[A-Za-z%])\s*,\s*")


def said(value: object, key: Key | None = None) -> str:
    """A value of a table as a person reads it: words translated, yes and no spelt, lists with commas. [-]"""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, Mapping):
        return ", ".join(f"{name}: {said(one)}" for name, one in value.items())
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "; ".join(
            ", ".join(map(said, one)) if isinstance(one, (list, tuple)) else said(one, key) for one in value
        )
    if isinstance(value, str) and key is not None and key.shape.quantity is not None:
        return in_both(value, key.shape.quantity.kind, key.key)
    words = () if key is None else key.shape.words or (key.shape.parts[0].words if key.shape.parts else ())
    return _(WORDS[value]) if isinstance(value, str) and value in words and value in WORDS else f"{value}"


def read_typed(text: str, kind: str) -> float:
    """A quantity as somebody typed it; UnitError where it has no reading, or two in the person's language. [SI]"""
    written = closed_up(" ".join(text.split()))
    problem = misread(written)
    if problem is not None:
        raise UnitError(problem.code, problem.written, **problem.facts)
    return read(written, kind)


def closed_up(text: str) -> str:
    """A quantity without the blanks that part its digits in threes, as these pages print them: one reading only. [-]"""
    return _THREES.sub(lambda found: found[1] + re.sub(f"[{_BLANKS}]", "", found[2]), text)


def understood(text: str, kind: str, gauge: Gauge | None = None) -> str:
    """What a typed quantity means, "14 500 psi = 1 000 bar"; the words of its refusal where it cannot be read. [-]

    gauge: that a pressure is put on, which is not said finer than it is read there.
    """
    written = closed_up(" ".join(text.split()))
    problem = misread(written)
    if problem is not None:
        return problem_words(problem)
    try:
        if kind == "flow_at":
            flow, pressure = read_rated(written)
            return _("{flow} at {pressure}").format(flow=_both(flow, "flow"), pressure=_both(pressure, "pressure"))
        value = read(written, kind)
    except UnitError as error:
        return problem_words(Problem((), error.code, error.written, error.facts))
    unit = unit_of(written, kind)
    metric = next(iter(KINDS[kind]))
    other = shown(unit, "us") if shown(unit, "us") != unit else metric
    if written.endswith(" back"):
        return f"{written} = {show(value, unit)}"
    if kind == "length" and other == "ft" and value < 0.3:
        other = "in"
    if kind == "length" and other == "mm" and value >= 1.0:
        other = "m"
    thousands = _GROUPED.match(written)
    number = _PLAIN_NUMBER.match(written)[0]  # type: ignore[index]  # it was read
    told = _grouped(signed(f"{number.rstrip('0').rstrip('.') if thousands else number} {unit}"))
    if other != unit and kind != "temperature_difference":
        told = f"{told} = {_in(value, other, kind, gauge)}"
    if thousands is None:
        return told
    whole = _grouped(f"{number.replace('.', '')} {unit}")
    return _("{read}: the point stands before decimals, so this is not {other}").format(read=told, other=whole)


def _both(value: float, kind: str) -> str:
    metric = next(iter(KINDS[kind]))
    other = shown(metric, "us")
    return f"{_in(value, metric, kind)} = {_in(value, other, kind)}"


def _in(value: float, unit: str, kind: str, gauge: Gauge | None = None) -> str:
    """In a unit, a high pressure no finer than anybody reads one."""
    if kind != "pressure" or value < HIGH:
        told = show(value, unit, 3, kind)
    elif gauge is None:
        told = figure(value, unit)
    else:
        told = gauge_figure(value, gauge, "us" if unit == "psi" else "si")
    return _grouped(signed(told))


def _grouped(text: str) -> str:
    """A quantity with its digits in threes: read only, and never read back."""
    found = re.match(r"([+-]?)([0-9]+)(.*)", text)
    if found is None or len(found[2]) < 4:
        return text
    return f"{found[1]}{int(found[2]):,}".replace(",", "\u202f") + found[3]


def misread(text: str) -> Problem | None:
    """Where a point parts thousands, "1.250" has two readings; both are named. [-]"""
    found = _GROUPED.fullmatch(text) if not spoken().startswith("en") else None
    if found is None:
        return None
    sign, head, tail, rest = found.groups()
    point = f"{head}.{tail}".rstrip("0") if tail.endswith("0") else f"{head}.{tail}0"
    readings = [f"{sign}{number.rstrip('.')}{rest}" for number in (point, head + tail)]
    return Problem((), "ambiguous_thousands", text, {"readings": readings})


def words_of(problem: Problem) -> str:
    """What is wrong and what is accepted, where no file and no quotes stand between a person and a value. [-]"""
    if problem.code == "wrong_type":
        expected = {
            "number": _("a number belongs here"),
            "count": _("a whole number belongs here"),
            "date": _("a day belongs here, as in 2026-03-02"),
            "yes_no": _("yes or no belongs here"),
        }.get(str(problem.facts.get("expected", "")))
        if expected is not None:
            return expected
    words = _ON_A_PAGE.get(problem.code)
    if words is None:
        return problem_words(problem)
    beside = problem.facts.get("beside")
    names = [label(Tip, keys_of(Tip)[str(key)]) for key in beside] if isinstance(beside, list | tuple) else []
    return _(words).format(names=", ".join(names))


_ON_A_PAGE: Mapping[str, str] = {
    "pump_size_twice": N_(
        "the pump's size is given twice; write either its plungers and their stroke, or what it delivers in a turn"
    ),
    "missing_pump_size": N_(
        "the pump's size is missing; write its plungers and their stroke, or what it delivers in a turn"
    ),
    "start_above_top": N_("above the top speed; the lowest speed under load belongs here"),
    "needs_tank": N_("the unit has no tank; describe its tank, or leave this out"),
    "rated_beside_bore": N_(
        "write either what the chart prints, or the bore with its inlet or a measured coefficient; beside it stands: "
        "{names}"
    ),
    "missing_inlet": N_("missing; say the shape of the inlet, or write a measured discharge coefficient"),
    "no_target": N_("nothing is asked for; give a pressure at the nozzle, one at the pump, or a flow"),
    "two_targets": N_("more than one thing is asked for; give a pressure at the nozzle, one at the pump, or a flow"),
    "tool_and_branches": N_("there are both a tool and branches; leave one of them out"),
    "no_tool": N_("there is neither a tool nor a branch; pick a tool"),
}
"""Code of a problem → what a page says where a file would be told the names of its keys."""


def _wrong(problem: Problem) -> ValidationError:
    return ValidationError(words_of(problem), code=problem.code)


class WithUnit(forms.TextInput):
    """A text with a choice of unit beside it; a bare number takes the chosen unit, a written one keeps its own. [-]"""

    def value_from_datadict(self, data: Mapping[str, Any], files: Any, name: str) -> str | None:
        """What was typed, with the unit that was chosen beside it. [-]"""
        typed = data.get(name)
        unit = str(data.get(f"{name}-unit") or "")
        if isinstance(typed, str) and unit and _BARE.fullmatch(typed.strip()):
            return f"{typed.strip()} {unit}"
        return typed


class QuantityField(forms.CharField):
    """A quantity, a pair of them or a bare number: kept as written, refused as a job file refuses it. [-]"""

    def __init__(self, quantity: Quantity, sort: str = "quantity", **options: Any) -> None:
        self.quantity = quantity
        self.sort = sort
        self.units = _offered(quantity) if sort == "quantity" else []
        self.share = False
        options.setdefault("widget", WithUnit if self.units else forms.TextInput)
        options.setdefault("max_length", 80)
        super().__init__(**options)
        self.kept: object = None

    def clean(self, value: Any) -> Any:
        """What is kept: the text of a quantity, the number of a bare one; None for nothing. [-]"""
        text = " ".join(str(super().clean(value) or "").split())
        if not text:
            return None
        if self.kept is not None and text == str(self.kept):
            return self.kept
        text = closed_up(text)
        problem = misread(text)
        if problem is not None:
            raise _wrong(problem)
        kept = self._number(_as_number(text) if self.share else text) if self.sort in ("number", "count") else text
        for problem in table_problems(kept, Shape(self.sort, quantity=self.quantity)):
            raise _wrong(problem)
        return kept

    def unit_in(self, value: Any) -> str:
        """The unit that stands in a value, of those that may be chosen beside it. [-]"""
        return unit_of(str(value or ""), self.quantity.kind) if self.units else ""

    def _number(self, text: str) -> float | int:
        if _PLAIN_NUMBER.fullmatch(text):
            whole = re.fullmatch(r"[+-]?[0-9]{1,15}", text)
            number = int(text) if whole else float(text)
            if self.sort != "count" or whole:
                return number
        try:  # any unit: only what is said of the digits is wanted
            read(f"{text} kg", "mass")
        except UnitError as error:
            readings = error.facts.get("readings")
            if isinstance(readings, list):
                bare = [str(one).removesuffix(" kg") for one in readings]
                raise _wrong(Problem((), error.code, text, {"readings": bare})) from None
        raise _wrong(Problem((), "wrong_type", text, {"expected": self.sort}))


def _offered(quantity: Quantity) -> list[str]:
    """The units to choose from beside a quantity: what is not shown in micrometres is hardly ever written in them."""
    names = [name for name in units_of(quantity.kind) if name != "um"]
    return ["um", *names] if quantity.shown == "um" else names


def _as_number(text: str) -> str:
    """A share that was typed in per cent as a job file writes it: "10 %" is "10e-2"; any other text as it is."""
    found = _PERCENT.fullmatch(text)
    return f"{found[1]}e-2" if found else text


class LinesField(forms.CharField):
    """A list, one element a line; of pairs, each line is “1500 rpm, 235 kW”. [-]"""

    def __init__(self, shape: Shape, **options: Any) -> None:
        self.shape = shape
        super().__init__(widget=forms.Textarea(attrs={"rows": 4}), max_length=20000, **options)

    def clean(self, value: Any) -> Any:
        """The list as a job file holds it; None for nothing. [-]"""
        lines = [line.strip() for line in str(super().clean(value) or "").splitlines()]
        lines = [line for line in lines if line]
        if self.shape.parts[0].sort != "pair":
            return lines or None
        pairs = [[closed_up(part.strip()) for part in _PAIR.split(line) if part.strip()] for line in lines]
        for number, pair in enumerate(pairs, 1):
            if len(pair) != 2:
                raise ValidationError(
                    _("line {n}: two quantities belong here, as in “1500 rpm, 235 kW”").format(n=number)
                )
        return pairs or None


class YesNoField(forms.ChoiceField):
    """Yes, no, or not said. [-]"""

    def clean(self, value: Any) -> bool | None:
        """True, False, or None where nobody said. [-]"""
        return {"yes": True, "no": False}.get(str(super().clean(value)))


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


def flat(table: type[Any], spec: Mapping[str, Any]) -> dict[str, tuple[str, str]]:
    """Each value of a table by its key in dots, with what it is called and how it is said; unknown keys too. [-]"""
    return dict(_flat(Shape("table", table=table), spec, "", ""))


def _flat(shape: Shape, value: Any, dotted: str, above: str) -> Iterator[tuple[str, tuple[str, str]]]:
    keys = keys_of(shape.table) if shape.table is not None else {}
    if isinstance(value, Mapping) and shape.table is not None:
        for name in [*(key for key in keys if key in value), *(key for key in value if key not in keys)]:
            below = keys[name].shape if name in keys else Shape("any")
            words = label(shape.table, keys[name]) if name in keys else name
            at = f"{dotted}.{name}".lstrip(".")
            if below.table is not None or (below.sort == "list" and below.parts[0].table is not None):
                yield from _flat(below, value[name], at, words)
            else:
                called = _("{part}: {what}").format(part=above, what=words) if above else words
                yield at, (called, said(value[name], keys.get(name)))
    elif isinstance(value, Sequence) and not isinstance(value, str) and shape.sort == "list":
        for number, row in enumerate(value, 1):
            yield from _flat(shape.parts[0], row, f"{dotted}.{number}", f"{above} {number}")
    else:
        yield dotted, (above or dotted, said(value))
