"""The form of a piece: its name, its number, what was noted, and its table of the job file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from django import forms

from jetwright.errors import Problem
from jetwright.files.door import part_problems, table_problems
from jetwright.files.shapes import Shape
from jetwright.report.problems import problem_words
from jetwright.report.wording import N_, _
from jetwright.rig.description import Fitting, Gauge, Hose, Kit, Relief, Tip, Tool, Unit
from jetwright.web.described import DescribedForm, Group, fields_for
from jetwright.web.people.models import Crew
from jetwright.web.signs import named, same_name
from jetwright.web.yard.models import IN_A_RUN, OF_A_UNIT, Piece
from jetwright.web.yard.tables import GROUPS, unit_table, yard_tables

TABLES: Mapping[str, type[Any]] = {
    "unit": Unit,
    "kit": Kit,
    "gauge": Gauge,
    "relief": Relief,
    "hose": Hose,
    "fitting": Fitting,
    "tool": Tool,
    "tip": Tip,
}
"""Kind of a piece → its table of the job file."""

ELSEWHERE = ("name", "kits", "gauge", "relief")
"""Keys of a unit's table that are its name, or pieces of their own."""

MOST_OF_A_NAME = 80

OF_ONE_BYPASS: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "hand-set": (N_("For a hand-set bypass"), ("full_open_area", "turns")),
    "regulating": (N_("For a regulating bypass"), ("accumulation", "full_flow", "spill")),
    "unloader": (N_("For an unloader"), ("set", "idle_pressure", "reset")),
}
"""Kind of a bypass → what its own fields are called, and their keys."""


class NameForm(forms.Form):
    """What every piece has: a name that no other of its kind has, a number, a note, and the unit it sits on. [-]"""

    name = forms.CharField(max_length=MOST_OF_A_NAME)
    serial = forms.CharField(max_length=80, required=False)
    note = forms.CharField(max_length=400, required=False)

    def __init__(self, piece: Piece, data: Mapping[str, Any] | None = None) -> None:
        self.piece = piece
        kept = {"name": piece.name, "serial": piece.serial, "note": piece.note, "on": str(piece.on_id or "")}
        super().__init__(data, initial=kept, auto_id="id_%s")
        self.fields["name"].label = _("Name, as its tag says")
        self.fields["serial"].label = _("Number of the maker")
        self.fields["note"].label = _("Note")
        self.fields["name"].error_messages["required"] = _("missing, and it is needed")
        if piece.kind in OF_A_UNIT:
            units = Piece.objects.filter(crew=piece.crew, kind="unit").in_use()
            choices = [("", "—"), *((str(unit.pk), unit.name) for unit in units)]
            if piece.on is not None and piece.on.retired_at is not None:
                choices.append((str(piece.on_id), piece.on.name))
            self.fields["on"] = forms.ChoiceField(required=False, label=_("Unit it sits on"), choices=choices)

    def clean_name(self) -> str:
        """A name that a job file could hold, and that is free. [-]"""
        typed = str(self.cleaned_data["name"])
        name = typed if typed == self.piece.name else named(typed, MOST_OF_A_NAME)
        for problem in table_problems(name, Shape("text")):
            raise forms.ValidationError(problem_words(problem))
        return name

    def clean(self) -> dict[str, Any]:
        """Names are unique where a job file looks for them. [-]"""
        piece = self.piece
        on = self.cleaned_data.get("on") or None
        name = self.cleaned_data.get("name")
        if name and piece.retired_at is None:
            said = taken_words(piece.crew, piece.kind, name, on, piece)
            if said:
                self.add_error("name", said)
        return self.cleaned_data


def taken_words(crew: Crew, kind: str, name: str, on: object, but: Piece | None = None) -> str:
    """Why a piece in use may not have this name, or not sit there; "" where it may. [-]"""
    others = Piece.objects.filter(crew=crew).in_use()
    if but is not None:
        others = others.exclude(pk=but.pk)
    if kind == "gauge" and on and others.filter(kind="gauge", on=on).exists():
        return _("this unit has a gauge; retire that one first, or let it sit on none")
    kinds = IN_A_RUN if kind in IN_A_RUN else (kind,)
    beside = others.filter(kind__in=kinds)
    if kind in OF_A_UNIT:
        beside = beside.filter(on=on) if on else beside.filter(on=None)
    wanted = same_name(name)
    found = next((its for its, one in beside.values_list("kind", "name") if same_name(one) == wanted), None)
    if found is None:
        return ""
    if found != kind:
        return _("a hose and a fitting share the name “{name}”; rename one of them").format(name=name)
    return _("there is one of this name; write what its own tag says")


class PieceForm:
    """Both forms of a piece as one: `name` and `table`. [-]"""

    def __init__(self, piece: Piece, data: Mapping[str, Any] | None = None) -> None:
        self.piece = piece
        self.name = NameForm(piece, data)
        self.table = table_form(piece, data)
        self.shown = _by_kind(self.table) if piece.kind == "unit" else self.table.group

    def is_valid(self) -> bool:
        """Whether both are; both are always looked at. [-]"""
        named, written = self.name.is_valid(), self.table.is_valid()
        return named and written

    def fill(self, piece: Piece) -> None:
        """Put what was written into the piece; the caller saves. [-]"""
        said = self.name.cleaned_data
        piece.name, piece.serial, piece.note = said["name"], said["serial"], said["note"]
        if "on" in said:
            piece.on_id = said["on"] or None
        piece.spec = self.table.spec


def table_form(piece: Piece, data: Mapping[str, Any] | None = None, only: Iterable[str] | None = None) -> DescribedForm:
    """The form of a piece's table, judged where it stands among the crew's others. [-]"""
    beside = list(Piece.objects.filter(crew=piece.crew).in_use())
    carried = [one for one in beside if one.on_id == piece.pk]
    tips = sorted(one.name for one in beside if one.kind == "tip")
    kits = sorted(one.name for one in carried if one.kind == "kit")
    return fields_for(
        TABLES[piece.kind],
        piece.spec,
        data,
        prefix="spec",
        only=None if only is None else list(only),
        without=ELSEWHERE if piece.kind == "unit" else (),
        choices={"ports.tip": tips} if piece.kind == "tool" else {"pump.kit": kits} if piece.kind == "unit" else {},
        check=lambda spec: spec_problems(piece.kind, spec, piece.name, beside, carried),
    )


def _by_kind(table: DescribedForm) -> Group:
    """The fields of a unit as a page shows them: those of one kind of bypass apart, each lot under its kind."""
    choice = f"{table.stem}bypass-kind"
    lots = {
        kind: Group(_(words), ("bypass",), [f"{table.stem}bypass-{key}" for key in keys], when=(choice, kind))
        for kind, (words, keys) in OF_ONE_BYPASS.items()
    }
    apart = {name for lot in lots.values() for name in lot.names}

    def shown(group: Group) -> Group:
        if group.path != ("bypass",):
            return group
        return replace(group, names=[name for name in group.names if name not in apart], groups=[*lots.values()])

    return replace(table.group, groups=[shown(group) for group in table.group.groups])


def spec_problems(
    kind: str, spec: Mapping[str, Any], name: str, beside: Iterable[Piece] = (), carried: Iterable[Piece] = ()
) -> list[Problem]:
    """What is wrong with a piece's table, where it stands in a job file; its own name is looked at elsewhere. [-]"""
    if kind == "unit":
        return part_problems({**unit_table(Piece(name="?"), carried), **spec}, ("unit",))
    if kind == "tool":
        tips = yard_tables(beside)["tips"]
        ports = spec.get("ports")
        named = {port.get("tip") for port in ports if isinstance(port, dict)} if isinstance(ports, list) else set()
        if named <= tips.keys():  # the others are looked at only where one is to be suggested
            tips = {name: row for name, row in tips.items() if name in named}
        return part_problems(dict(spec), ("tools", "?"), {"tips": tips})
    if kind in GROUPS:
        return part_problems(dict(spec), (GROUPS[kind], "?"))
    return table_problems(dict(spec), Shape("table", table=TABLES[kind]))
