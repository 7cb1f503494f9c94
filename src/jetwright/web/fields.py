"""Fields of a form for the values that a job file holds: what is typed is kept as written, or refused as in a file."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from jetwright.errors import Problem, UnitError
from jetwright.files.door import table_problems
from jetwright.files.shapes import Shape
from jetwright.report.wording import _
from jetwright.rig.quantity import Quantity
from jetwright.units import read, unit_of, units_of
from jetwright.web.typed import PLAIN_NUMBER, closed_up, misread, words_of

_BARE = re.compile(r"[+-]?(?=[0-9.,'_’ \u00a0\u2009\u202f]*[0-9])[0-9.,'_’ \u00a0\u2009\u202f]+")
_PERCENT = re.compile(r"([+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)) ?%")
_PAIR = re.compile(r"\s*;\s*|,\s+|(?<=[A-Za-z%])\s*,\s*")


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
        if PLAIN_NUMBER.fullmatch(text):
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


def _wrong(problem: Problem) -> ValidationError:
    return ValidationError(words_of(problem), code=problem.code)
