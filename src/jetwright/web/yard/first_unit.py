"""Five questions that make a first unit, one after another, and what is taken where nobody asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from jetwright.actions.called import called
from jetwright.actions.plan import plan_read
from jetwright.errors import FileError, Problem, UnitError
from jetwright.files.tables import from_json, job_in
from jetwright.report.wording import _, taken_words
from jetwright.units import read, show
from jetwright.web.asked import me
from jetwright.web.people.models import Crew
from jetwright.web.typed import words_of
from jetwright.web.yard.first_form import FirstUnitForm
from jetwright.web.yard.missing import address_of
from jetwright.web.yard.models import Piece
from jetwright.web.yard.seen import KEEP, seen_crew, seen_piece
from jetwright.web.yard.tables import unit_table, yard_tables

STAND_IN: dict[str, Any] = {
    "kind": "hand lance",
    "bore": "6 mm",
    "release": "dump",
    "dump": {"bore": "6 mm"},
    "ports": [{"tip": "?"}],
}
"""A lance to look at a unit with where the yard has none that can be planned with."""

OF_THE_YARD = ("unit", "hoses", "tools", "tips")
"""Tables whose missing facts the first look names; the others are the job's."""


@require_http_methods(["GET", "POST"])
def questions(request: HttpRequest) -> HttpResponse:
    """Five questions, one after another, and from their answers a unit, its gauge, its hoses, a tip and a gun. [-]

    The address carries what was answered, and nothing is kept before the last answer.
    """
    crew = seen_crew(request, request.POST.get("crew") or request.GET.get("crew"), KEEP)
    if request.method != "POST":
        form = FirstUnitForm(crew, said=request.GET)
        return _question_page(request, form, _number(form, request.GET))
    form = FirstUnitForm(crew, request.POST)
    number = _number(form, request.POST)
    if request.POST.get("then") == "back":
        return _to_question(form, number - 1)
    if number == len(form.questions):
        return _made(request, form)
    wrong = form.wrong_at()
    return _question_page(request, form, wrong, 422) if 0 < wrong <= number else _to_question(form, number + 1)


def _made(request: HttpRequest, form: FirstUnitForm) -> HttpResponse:
    """What the last answer leads to: the unit, or the question whose answer cannot be taken."""
    with transaction.atomic():
        Crew.objects.select_for_update().get(pk=form.crew.pk)
        if not form.is_valid():
            return _question_page(request, form, form.wrong_at(), 422)
        unit = form.make()
    messages.success(request, _("“{name}” is in the yard.").format(name=unit.name))
    return redirect("yard:taken", unit.pk)


def _question_page(request: HttpRequest, form: FirstUnitForm, number: int, status: int = 200) -> HttpResponse:
    question = form.questions[number - 1]
    context = {
        "crew": form.crew,
        "number": number,
        "count": len(form.questions),
        "question": question,
        "asked": [(of, {"names": [name]}) for of, name in question.fields],
        "opened": any(name in of.errors for of, name in question.rest),
        "carried": form.answers(but=number),
    }
    return render(request, "yard/first_unit.html", context, status=status)


def _to_question(form: FirstUnitForm, number: int) -> HttpResponse:
    """To the address of a question, with what was answered in it: it may be opened anew, and gone back to."""
    said = {"crew": form.crew.pk, "question": max(number, 1)} | form.answers()
    return redirect(reverse("yard:first_unit") + "?" + urlencode(said))


def _number(form: FirstUnitForm, said: Mapping[str, Any]) -> int:
    """Which question a page is about; the first for nonsense."""
    numbers = {str(number): number for number in range(1, len(form.questions) + 1)}
    return numbers.get(str(said.get("question")), 1)


@require_GET
def taken(request: HttpRequest, piece_id: UUID) -> HttpResponse:
    """What a plan with this unit takes where nobody said, and what it will not judge. [-]"""
    unit = seen_piece(request, piece_id)
    if unit.kind != "unit":
        raise Http404
    keeps = me(request).may(KEEP, unit.crew)
    context: dict[str, Any] = {"unit": unit, "taken": [], "unjudged": {}, "wrong": [], "keeps": keeps}
    tables = first_look(unit)
    if tables is None:
        context["wrong"] = [_("there is no hand lance in the yard to look at this unit with")]
    else:
        try:
            task = plan_read(job_in(from_json(tables), unit.name), cures=False).tasks[0]
        except FileError as error:
            context["wrong"] = [_said(problem) for problem in error.problems]
        else:
            context |= _lacks(task, unit, me(request).units, keeps)
    return render(request, "yard/taken.html", context)


def _lacks(task: Any, unit: Piece, system: str, keeps: bool) -> dict[str, Any]:
    """What a plan took, and what it did not judge, each with the address where it is written by who keeps the yard."""
    pieces = list(Piece.objects.filter(crew=unit.crew).in_use()) if keeps else []

    def at(key: str) -> str:
        return address_of(key, unit, pieces) if keeps else ""

    ours = [limit for limit in task.limits if limit.missing.partition(".")[0] in OF_THE_YARD]
    keys = dict.fromkeys(limit.missing for limit in ours if limit.verdict == "not_judged")
    taken = [(called(row.key), *taken_words(row, system), at(row.key)) for row in task.taken_as]
    if not unit.spec.get("shows"):
        why = _("not given: the plan has it raised by the gauge alone")
        taken.append((called("unit.shows"), _("no speed"), why, at("unit.shows")))
    return {
        "taken": taken,
        "unjudged": {called(key): at(key) for key in keys},
    }


def unwritten(unit: Piece, carried: Sequence[Piece], keeps: bool) -> dict[str, str]:
    """What a plan does not judge because nobody wrote it of a unit or of what sits on it, with where it is written. [-]

    Nothing where no plan can be made with it; the page of what a plan takes says why. carried: what sits on it.
    """
    lance = Piece(kind="tool", name="?", spec=STAND_IN)
    tip = Piece(kind="tip", name="?", spec={"bore": "1 mm", "inlet": "unknown"})
    for tables in filter(None, (first_look(unit), _tables(unit, carried, lance, [tip]))):
        try:
            task = plan_read(job_in(from_json(tables), unit.name), cures=False).tasks[0]
        except FileError:
            continue
        lacks = (limit.missing for limit in task.limits if limit.verdict == "not_judged")
        ours = [key for key in dict.fromkeys(lacks) if key.startswith("unit.")]
        return {called(key): address_of(key, unit, carried) if keeps else "" for key in ours}
    return {}


def first_look(unit: Piece) -> dict[str, Any] | None:
    """A job of one task, with a unit and the first lance and hose of its crew, to see what a plan takes. [-]"""
    pieces = list(Piece.objects.filter(crew=unit.crew).in_use())
    lance = next((p for p in pieces if p.kind == "tool" and p.spec.get("kind") == "hand lance"), None)
    hose = next((p for p in pieces if p.kind == "hose"), None)
    return None if lance is None else _tables(unit, pieces, lance, pieces, hose)


def _tables(
    unit: Piece, pieces: Sequence[Piece], lance: Piece, beside: Sequence[Piece], hose: Piece | None = None
) -> dict[str, Any]:
    """The pump at half of its rating, with water to spare: nothing is shown but what is taken and what is missing."""
    tips = {str(port.get("tip")) for port in lance.spec.get("ports", [])}
    return {
        "title": unit.name,
        "supply": {"pressure": "3 bar", "flow": "5000 L/min", "temperature": "15 degC"},
        "unit": unit_table(unit, [p for p in pieces if p.on_id == unit.pk]),
        "hoses": {} if hose is None else {hose.name: hose.spec},
        "tools": {lance.name: lance.spec},
        "tips": {name: row for name, row in yard_tables(beside)["tips"].items() if name in tips},
        "task": [
            {
                "name": unit.name,
                "tool": lance.name,
                "hose_run": [] if hose is None else [hose.name],
                "target": {"pump_pressure": _half(unit.spec.get("pump", {}).get("rating"))},
            }
        ],
    }


def _half(rating: Any) -> Any:
    """Half of a rating; as it is written where it cannot be read, for the job is then refused with its words."""
    try:
        return show(0.5 * read(rating or "", "pressure"), "bar", 6)
    except UnitError:
        return rating or "0 bar"


def _said(problem: Problem) -> str:
    written = _("“{text}”").format(text=problem.written) if problem.written else ""
    return ": ".join(part for part in (called(problem.key), written, words_of(problem)) if part)
