"""The form of the five questions that make a first unit."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms

from jetwright.files.shapes import keys_of
from jetwright.report.key_labels import LABELS, WORDS
from jetwright.report.wording import _
from jetwright.rig.description import Bypass, Dump, Gauge, Hose, Pump, Relief, Tip, Tool
from jetwright.rig.quantity import Quantity
from jetwright.units import read, show
from jetwright.web.described import DescribedForm, fields_for
from jetwright.web.fields import QuantityField
from jetwright.web.measured import as_example
from jetwright.web.people.models import Crew
from jetwright.web.yard.forms import NameForm, spec_problems
from jetwright.web.yard.models import Piece

Asked = tuple[forms.Form, str]
"""A field: its form, and the name of its input."""

SHOWS = ("pump speed", "engine speed")
"""What a panel may show."""
LONGEST = 81
"""Most letters of an answer that are carried on: one more than any field takes, so that what is too long is said."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked in words, its fields, and below what heading stands which of them may be left out."""

    words: str
    first: list[Asked]
    more: str
    rest: list[Asked]

    @property
    def fields(self) -> list[Asked]:
        """All of its fields, in the order of the page. [-]"""
        return [*self.first, *self.rest]

    @property
    def is_wrong(self) -> bool:
        """Whether its answer cannot be taken. [-]"""
        return any(name in of.errors or of.non_field_errors() for of, name in self.fields)


class FirstUnitForm(forms.Form):
    """The plate, the hose tag, the tip, the gauge, and how the gun lets go. [-]

    Nothing is guessed: what is not asked stays out of the tables, and what is asked and not known is not made.
    data: what was posted. said: what was answered before, to be shown and not yet to be judged.
    """

    def __init__(
        self, crew: Crew, data: Mapping[str, Any] | None = None, said: Mapping[str, Any] | None = None
    ) -> None:
        super().__init__(data, auto_id="id_%s")
        self.crew = crew
        known = {word: _(WORDS[word]) for word in ("hydrostatic", "direct")}
        self.fields["drive"] = forms.ChoiceField(
            label=_("How the engine turns the pump"), choices=[("", "—"), *known.items()], error_messages=_needed()
        )
        self.fields["release"] = forms.ChoiceField(
            label=_("When the trigger is let go"),
            choices=[
                ("", "—"),
                ("dump", _("Dump: the water leaves the gun at low pressure")),
                ("dry shut-off", _("Dry shut-off: the water stays shut in")),
                ("unknown", _("I do not know")),
            ],
            error_messages=_needed(),
        )
        self.fields["shows"] = forms.ChoiceField(
            required=False,
            label=_(LABELS["shows"]),
            choices=[("", "—"), *((word, _(WORDS[word])) for word in SHOWS), ("both", _("both speeds"))],
            help_text=_("Left empty: {value}.").format(value=_("no speed")),
        )
        for name, words in {"unit": _("Name of the unit"), "hose": _("Name on the hose tag")}.items():
            self.fields[name] = forms.CharField(label=words, max_length=80, error_messages=_needed())
        for name, words in {"tip": _("Name of the tip"), "gun": _("Name of the gun")}.items():
            usual = _free_name(crew, *{"tip": ("tip", _("First tip")), "gun": ("tool", _("First gun"))}[name])
            self.fields[name] = forms.CharField(
                label=words, max_length=80, required=False, empty_value=usual, help_text=_taken(usual)
            )
        flow = Quantity("flow", "Flow", above=0.0, shown="L/min")
        self.fields["flow"] = QuantityField(
            flow, required=False, label=_("Flow at the pump's top speed"),
            help_text=_("As in “{example}”; or for one turn, below.").format(example=as_example("125 L/min", "flow")),
        )  # fmt: skip
        speed = Quantity("speed", "Speed", above=0.0, at_most=200.0, shown="rpm")
        self.fields["engine"] = QuantityField(
            speed, required=False, label=_("Engine speed when the pump turns at its top speed"),
            help_text=_("As in “1800 rpm”: plate or panel."),
        )  # fmt: skip
        self.pump = fields_for(
            Pump,
            {},
            data,
            prefix="pump",
            only=("rating", "top_speed", "start_speed", "flow_per_turn"),
            check=_no_more,
            bounds=False,
        )
        plate = ("set", "kind", "tested")
        self.relief = fields_for(Relief, {}, data, prefix="relief", only=plate, check=_no_more, bounds=False)
        asked = ("kind", "returns_to", "full_open_area", "set")
        self.bypass = fields_for(Bypass, {}, data, prefix="bypass", only=asked, check=_no_more, bounds=False)
        self.hoses = fields_for(
            Hose, {}, data, prefix="hose", only=("bore", "length", "rating", "tested", "count"), bounds=False
        )
        self.tips = fields_for(Tip, {}, data, prefix="tip", only=("bore",), check=_no_more, bounds=False)
        self.gauge = fields_for(Gauge, {}, data, prefix="gauge", only=("full_scale", "class"), bounds=False)
        self.guns = fields_for(Tool, {}, data, prefix="gun", only=("bore", "rating"), check=_no_more, bounds=False)
        self.dump = fields_for(Dump, {}, data, prefix="dump", only=("bore",), check=_no_more, bounds=False)
        for part, name, words in (
            (self.pump, "flow_per_turn", _("Left empty: worked out from the flow at the top speed.")),
            (self.relief, "set", _("Left empty: not given, so what hangs on it is not judged.")),
            (self.bypass, "set", _("For an unloader; left empty for a hand-set or a regulating bypass.")),
            (self.bypass, "full_open_area", _("For a hand-set bypass.")),
            (self.hoses, "rating", _("Left empty: not judged.")),
            (self.hoses, "tested", _("Left empty: not judged.")),
            (self.guns, "rating", _("Left empty: not judged.")),
            (self.dump, "bore", _("Only where it dumps.")),
        ):
            field = part.fields[part.stem + name]
            field.help_text = " ".join(one for one in (str(field.help_text), words) if one)
        self.relief.fields["relief-set"].label = _("Set pressure of the relief device, if its plate can be read")
        self.relief.fields["relief-kind"].help_text = ""  # of the two none is taken unasked: they open differently
        self.tips.fields["tip-bore"].label = _("Bore of the tip")
        self.guns.fields["gun-bore"].label = _("Bore of the gun")
        self.gauge.fields["gauge-full_scale"].label = _("Full scale of the gauge")
        self.parts: dict[str, dict[str, Any]] = {}
        for form in (self, *self.all()):
            form.initial = dict((said or {}).items())
        self.questions = self._questions()

    def _questions(self) -> list[Question]:
        pump, bypass = self._of(self.pump), self._of(self.bypass)
        hoses, gauge, guns = self._of(self.hoses), self._of(self.gauge), self._of(self.guns)
        return [
            Question(
                _("What does the plate of the unit say?"),
                [*self._own("unit"), *pump("rating", "top_speed"), *self._own("flow")],
                _("More from the plate, and the relief device"),
                [*self._of(self.relief)("set", "kind", "tested"), *pump("flow_per_turn")],
            ),
            Question(
                _("What does a hose tag say?"),
                [*self._own("hose"), *hoses("bore", "length", "rating", "tested")],
                _("More from the tag"),
                hoses("count"),
            ),
            Question(
                _("Which gun is it, and which tip is in it?"),
                [*self._of(self.tips)("bore"), *guns("bore")],
                _("More from tag and plate"),
                [*self._own("tip", "gun"), *guns("rating")],
            ),
            Question(
                _("What do the gauge and the panel say?"),
                [*gauge("full_scale"), *pump("start_speed"), *self._own("drive", "engine")],
                _("More from the dial and the panel"),
                [*gauge("class"), *self._own("shows")],
            ),
            Question(
                _("Where does the water run when the gun lets go?"),
                [
                    *self._own("release"), *self._of(self.dump)("bore"),
                    *bypass("kind", "returns_to", "full_open_area"),
                ],
                _("More from the plate"),
                bypass("set"),
            ),
        ]  # fmt: skip

    def wrong_at(self) -> int:
        """The first question whose answer cannot be taken, counted from 1; 0: none. [-]"""
        self.is_valid()
        return next((number for number, one in enumerate(self.questions, 1) if one.is_wrong), 0)

    def answers(self, but: int = 0) -> dict[str, str]:
        """What was answered, as it was typed, by the name of its input; but: leave out a question. [-]"""
        fields = [field for number, one in enumerate(self.questions, 1) if number != but for field in one.fields]
        values = {name: str(of[name].value() or "")[:LONGEST] for of, name in fields}
        return {name: value for name, value in values.items() if value}

    def _own(self, *names: str) -> list[Asked]:
        return [(self, name) for name in names]

    def _of(self, form: DescribedForm) -> Callable[..., list[Asked]]:
        return lambda *keys: [(form, form.stem + key) for key in keys]

    def all(self) -> list[DescribedForm]:
        """The forms of the tables. [-]"""
        return [self.pump, self.relief, self.bypass, self.hoses, self.tips, self.gauge, self.guns, self.dump]

    def clean(self) -> dict[str, Any]:
        """Put the tables together, and look at each where it stands in a job file. [-]"""
        for form in self.all():
            form.is_valid()
        self._name()
        said = self.cleaned_data
        if said.get("release") == "unknown":
            self.add_error("release", _unknown_release())
        top = _si(self.pump, "top_speed", "speed")
        pump = {key: value for key, value in self.pump.spec.items() if value not in (None, "")}
        if said.get("flow") and "flow_per_turn" in pump:
            self.add_error("flow", _("the flow is written twice; leave one of the two empty"))
        elif said.get("flow") and top:
            pump["flow_per_turn"] = show(read(said["flow"], "flow") / top, "L", 6)
        elif not said.get("flow") and "flow_per_turn" not in pump and "flow" not in self.errors:
            self.add_error("flow", _("missing; look for a flow on the plate, or for what it delivers in a turn"))
        drive: dict[str, Any] = {"kind": said.get("drive", "")}
        engine = read(said["engine"], "speed") if said.get("engine") else 0.0
        if engine and top:
            ratio = engine / top if drive["kind"] == "direct" else top / engine
            drive["ratio" if drive["kind"] == "direct" else "top_ratio"] = float(f"{ratio:.4g}")
        elif not engine and "engine" not in self.errors:
            self.add_error("engine", _("missing, and it is needed"))
        self.parts = {
            "unit": {"drive": drive, "pump": pump, "bypass": self.bypass.spec},
            "gauge": self.gauge.spec,
            "hose": self.hoses.spec,
            "tip": {**self.tips.spec, "inlet": "unknown"},
            "tool": self._gun(),
        }
        if said.get("shows"):
            self.parts["unit"]["shows"] = [*SHOWS] if said["shows"] == "both" else [said["shows"]]
        if self.relief.spec:
            self.parts["relief"] = self.relief.spec
            if "kind" not in self.relief.spec:
                self.relief.add_error("relief-kind", _("missing, and it is needed"))
        self._judge()
        return said

    def _gun(self) -> dict[str, Any]:
        release = self.cleaned_data.get("release", "")
        table: dict[str, Any] = {"kind": "hand lance", **self.guns.spec, "release": release}
        if release == "dump":
            table["dump"] = dict(self.dump.spec)
        return table | {"ports": [{"tip": self.cleaned_data.get("tip", "?")}]}

    def _name(self) -> None:
        kinds = {"unit": "unit", "hose": "hose", "tip": "tip", "gun": "tool"}
        for name, kind in kinds.items():
            typed = self.cleaned_data.get(name)
            if typed:
                form = NameForm(Piece(crew=self.crew, kind=kind), {"name": typed})
                if not form.is_valid():
                    self.add_error(name, form.errors.get("name", []))

    def _judge(self) -> None:
        """What a job file would refuse, beside the question it belongs to."""
        tip = Piece(kind="tip", name=self.cleaned_data.get("tip", "?"), spec=self.parts["tip"])
        own = {"pump": self.pump, "bypass": self.bypass, "dump": self.dump}
        whole = {"hose": self.hoses, "tip": self.tips, "gauge": self.gauge, "tool": self.guns, "relief": self.relief}
        for kind, spec in self.parts.items():
            if kind == "unit" and "drive" in self.errors:  # one stands in: the rest is looked at in the same round
                spec = {**spec, "drive": {"kind": "hydrostatic", "top_ratio": 1.0}}
            for problem in spec_problems(kind, spec, "?", [tip]):
                first = str(problem.key[0]) if problem.key else ""
                if problem.code == "missing_pump_size":
                    continue  # of the two ways to write it one is asked, and the form itself says so there
                if problem.code == "tip_larger_than_tool":
                    self.tips.tell(("bore",), problem)
                elif first in own and (kind, first) in (("unit", "pump"), ("unit", "bypass"), ("tool", "dump")):
                    own[first].tell(problem.key[1:] or ("bore",), problem)
                elif kind in whole and first in keys_of(whole[kind].table) and first in whole[kind].only:
                    whole[kind].tell(problem.key, problem)

    def is_valid(self) -> bool:
        """Whether every question is answered so that a unit can be made. [-]"""
        return super().is_valid() and not any(form.errors for form in self.all())

    def make(self) -> Piece:
        """The unit with its gauge and its relief device, the hose, the tip and the gun, in the yard; the unit. [-]"""
        said = self.cleaned_data
        noted = _("{flow} at top speed, engine at {engine}").format(
            flow=said.get("flow") or self.pump.spec.get("flow_per_turn", ""), engine=said["engine"]
        )
        unit = Piece(crew=self.crew, kind="unit", name=said["unit"], note=noted, spec=self.parts["unit"])
        unit.save()
        for kind, words in {"gauge": _("{unit} gauge"), "relief": _("{unit} relief")}.items():
            if kind in self.parts:
                name = words.format(unit=said["unit"])[:80]
                Piece(crew=self.crew, kind=kind, name=name, on=unit, spec=self.parts[kind]).save()
        for kind, name in (("hose", "hose"), ("tip", "tip"), ("tool", "gun")):
            Piece(crew=self.crew, kind=kind, name=said[name], spec=self.parts[kind]).save()
        return unit


def _no_more(spec: dict[str, Any]) -> list[Any]:
    """Its table is judged with the rest of its part."""
    return []


def _free_name(crew: Crew, kind: str, name: str) -> str:
    """The name, with a number behind it where the yard has one of this name."""
    taken = set(Piece.objects.filter(crew=crew, kind=kind).in_use().values_list("name", flat=True))
    numbered = (f"{name} {number}" for number in range(2, len(taken) + 3))
    return name if name not in taken else next(one for one in numbered if one not in taken)


def _taken(usual: str) -> str:
    return _("Left empty: {value}.").format(value=_("“{text}”").format(text=usual))


def _needed() -> dict[str, str]:
    return {"required": _("missing, and it is needed")}


def _si(form: DescribedForm, key: str, kind: str) -> float | None:
    written = form.spec.get(key)
    if not written or f"{form.stem}{key}" in form.errors:
        return None
    return read(written, kind)


def _unknown_release() -> str:
    return _(
        "it must be known before anybody holds the gun: look for a second outlet below the trigger, with or without a "
        "pipe on it, and read the gun's plate or its manual. With such an outlet open while the trigger is let go it "
        "is a dump; without one the water is shut in. Ask the competent person in the yard where you cannot tell"
    )
