"""Pages about the pieces of a yard."""

from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from jetwright.report.wording import N_, _, ngettext
from jetwright.units import KINDS as UNIT_KINDS
from jetwright.units import LONGEST
from jetwright.web.asked import me, meanwhile, version_in
from jetwright.web.fields import WithUnit
from jetwright.web.people.models import Crew
from jetwright.web.typed import flat, understood
from jetwright.web.yard.first_unit import unwritten
from jetwright.web.yard.forms import MOST_OF_A_NAME, TABLES, NameForm, PieceForm, taken_words
from jetwright.web.yard.history import history_of
from jetwright.web.yard.models import KINDS, OF_A_UNIT, Piece
from jetwright.web.yard.renamed import named_by, rename_in, tasks_of
from jetwright.web.yard.seen import KEEP, crews_of, said_in, seen_crew, seen_piece
from jetwright.web.yard.tested import OutOfTest, out_of_test, rules_of, tested_words
from jetwright.web.yard.used import Use, used_by

NEW: Mapping[str, str] = {
    "unit": N_("New unit"),
    "kit": N_("New plunger kit"),
    "gauge": N_("New gauge"),
    "relief": N_("New relief device"),
    "hose": N_("New hose"),
    "fitting": N_("New fitting"),
    "tool": N_("New tool"),
    "tip": N_("New tip"),
}
"""Kind of a piece → what the page for a new one is called."""

ONE: Mapping[str, str] = {
    "unit": N_("Unit"),
    "kit": N_("Plunger kit"),
    "gauge": N_("Gauge"),
    "relief": N_("Relief device"),
    "hose": N_("Hose"),
    "fitting": N_("Fitting"),
    "tool": N_("Tool"),
    "tip": N_("Tip"),
}
"""Kind of a piece → what one of it is called."""

MOST_AT_ONCE = 100
"""Most pieces that are made of a row in one act."""


@require_GET
def pieces(request: HttpRequest) -> HttpResponse:
    """A crew's yard, kind by kind; the retired ones where they are asked for. [-]"""
    person = me(request)
    crews = crews_of(person)
    if not crews:
        return render(request, "yard/list.html", {"crew": None, "crews": [], "kinds": [], "keeps": False, "total": 0})
    crew = seen_crew(request, request.GET.get("crew"))
    wanted = " ".join(request.GET.get("q", "")[:MOST_OF_A_NAME].split())
    retired = request.GET.get("retired") == "yes"
    rows = Piece.objects.filter(crew=crew, retired_at__isnull=not retired).select_related("on")
    found = [piece for piece in rows if wanted.casefold() in _searched(piece)]
    context = {
        "crew": crew,
        "crews": crews,
        "kinds": [(kind, _(words), [p for p in found if p.kind == kind]) for kind, words in KINDS.items()],
        "wanted": wanted,
        "retired": retired,
        "total": len(rows),
        "keeps": person.may(KEEP, crew),
        "brief": brief,
        "ago": tested_words,
        "out": {} if retired else _out_of_test(crew, found),
        "NEW": NEW,
    }
    return render(request, "yard/list.html", context)


def _searched(piece: Piece) -> str:
    return " ".join([piece.name, piece.serial, piece.note, *(text for _, text in _facts(piece))]).casefold()


@require_GET
def page(request: HttpRequest, piece_id: UUID) -> HttpResponse:
    """A piece: what it is, what sits on it, where it is used, who changed it. [-]"""
    return piece_page(request, seen_piece(request, piece_id))


def piece_page(
    request: HttpRequest, piece: Piece, status: int = 200, wrong: str = "", typed: Mapping[str, str] | None = None
) -> HttpResponse:
    """The page of a piece; after a refused act with what is wrong, and with what was typed. [-]"""
    carried = [one for one in piece.carried.all().order_by("kind", "name") if one.retired_at is None]
    keeps = me(request).may(KEEP, piece.crew)
    planned = piece.kind == "unit" and piece.retired_at is None
    context = {
        "piece": piece,
        "one": _(ONE[piece.kind]),
        "facts": _facts(piece),
        "tested": tested_words(piece),
        "out": _out_of_test(piece.crew, [one for one in (piece, *carried) if one.retired_at is None]),
        "carried": [(one, _(ONE[one.kind]), brief(one), tested_words(one)) for one in carried],
        "of_a_unit": [(kind, _(NEW[kind])) for kind in OF_A_UNIT],
        "loose": piece.kind in OF_A_UNIT and piece.on is None and piece.retired_at is None,
        "unwritten": unwritten(piece, carried, keeps) if planned else {},
        "uses": used_by(piece),
        "entries": history_of(piece),
        "photos": piece.photos.filter(retired_at=None),
        "keeps": keeps,
        "count": piece.count,
        "wrong": wrong,
        "typed": typed or {},
    }
    return render(request, "yard/page.html", context, status=status)


@require_http_methods(["GET", "POST"])
def new(request: HttpRequest, kind: str) -> HttpResponse:
    """A new piece of a kind. [-]"""
    if kind not in KINDS:
        raise Http404
    crew = seen_crew(request, request.POST.get("crew") or request.GET.get("crew"), KEEP)
    on = _unit_named(crew, request.GET.get("on", "")) or _only_unit(crew, kind)
    form = PieceForm(Piece(crew=crew, kind=kind, on=on), request.POST if request.method == "POST" else None)
    if request.method == "POST":
        with transaction.atomic():
            Crew.objects.select_for_update().get(pk=crew.pk)  # names are looked at and taken one piece at a time
            if form.is_valid():
                form.fill(form.piece)
                form.piece.save()
                messages.success(request, _("“{name}” is in the yard.").format(name=form.piece.name))
                return redirect("yard:page", form.piece.pk)
    context = {"form": form, "crew": crew, "title": _(NEW[kind]), "piece": None, "uses": []}
    return render(request, "yard/change.html", context, status=422 if request.method == "POST" else 200)


@require_http_methods(["GET", "POST"])
def change(request: HttpRequest, piece_id: UUID) -> HttpResponse:
    """Write a piece's facts anew; what somebody else saved meanwhile is never written over. [-]"""
    piece = seen_piece(request, piece_id, KEEP)
    if request.method != "POST":
        return _change_page(request, piece, PieceForm(piece))
    with transaction.atomic():
        Crew.objects.select_for_update().get(pk=piece.crew_id)
        before, form = piece.name, PieceForm(piece, request.POST)
        if not form.is_valid():
            return _change_page(request, piece, form, 422)
        uses = named_by(piece)  # by what it is and where it sits before
        form.fill(piece)
        if piece.name == before:
            uses = []
        if uses and request.POST.get("rename") not in ("too", "not"):
            return _change_page(request, piece, form, 422, uses)
        if uses and request.POST.get("rename") == "not":
            piece.name, uses = before, []
        saved = _changed(request, piece, uses, before)
        transaction.set_rollback(not saved)
    if not saved:
        return _change_page(request, piece, form, 409)
    messages.success(request, _("Saved."))
    return redirect("yard:page", piece.pk)


def _changed(request: HttpRequest, piece: Piece, uses: list[Use], before: str) -> bool:
    """Save a piece, and its new name in what uses it; False where somebody saved meanwhile, and nothing is kept."""
    if tasks_of(piece, uses) and not me(request).may("plan", piece.crew):
        raise PermissionDenied
    saved = piece.change(version_in(request), ["name", "serial", "note", "on", "spec"])
    return bool(saved) and rename_in(uses, piece, before)


def _change_page(
    request: HttpRequest, piece: Piece, form: PieceForm, status: int = 200, uses: Iterable[Use] = ()
) -> HttpResponse:
    """The form of a piece; uses: what names it by the name it has, where another would break that."""
    version = Piece.objects.filter(pk=piece.pk).values_list("version", flat=True).get()
    title = _("Change {name}").format(name=Piece.objects.only("name").get(pk=piece.pk).name)
    shown = version_in(request) if status == 422 else version
    context = {
        "form": form,
        "crew": piece.crew,
        "title": title,
        "piece": piece,
        "version": shown,
        "late": meanwhile() if status == 409 else "",
        "uses": list(uses),
        "renames": not tasks_of(piece, uses) or me(request).may("plan", piece.crew),
    }
    return render(request, "yard/change.html", context, status=status)


@require_POST
def retire(request: HttpRequest, piece_id: UUID) -> HttpResponse:
    """Take a piece out of use; it stays to be looked up, and may be brought back. [-]"""
    piece = seen_piece(request, piece_id, KEEP)
    why = said_in(request, "why", 200)
    if not why:
        return piece_page(request, piece, 422, _("say why it is retired"))
    if piece.retired_at is None:
        piece.retired_at, piece.retired_why = timezone.now(), why
        if not piece.change(version_in(request), ["retired_at", "retired_why"]):
            return piece_page(request, _fresh(piece), 409, meanwhile(), {"why": why})
        messages.success(request, _("“{name}” is retired.").format(name=piece.name))
        _tell_of_uses(request, piece, piece.name)
    return redirect("yard:page", piece.pk)


@require_POST
def back(request: HttpRequest, piece_id: UUID) -> HttpResponse:
    """Bring a retired piece back into use, where its name is still free. [-]"""
    piece = seen_piece(request, piece_id, KEEP)
    if piece.retired_at is not None:
        with transaction.atomic():
            Crew.objects.select_for_update().get(pk=piece.crew_id)
            taken = taken_words(piece.crew, piece.kind, piece.name, piece.on_id, piece)
            if taken:
                return piece_page(request, piece, 422, taken)
            piece.retired_at, piece.retired_why = None, ""
            if not piece.change(version_in(request), ["retired_at", "retired_why"]):
                return piece_page(request, _fresh(piece), 409, meanwhile())
        messages.success(request, _("“{name}” is in use again.").format(name=piece.name))
    return redirect("yard:page", piece.pk)


@require_POST
def copy(request: HttpRequest, piece_id: UUID) -> HttpResponse:
    """One more like this, with a tag of its own; its test is its own too, so no day is taken over. [-]"""
    piece = seen_piece(request, piece_id, KEEP)
    name = request.POST.get("name", "").strip()
    spec = {key: value for key, value in piece.spec.items() if key not in ("tested", "count")}
    made, wrong = _make(piece, [name], spec)
    if wrong:
        return piece_page(request, piece, 422, wrong, {"name": name})
    messages.success(
        request, _("“{name}” is in the yard. Its own test and number are still to be written.").format(name=name)
    )
    return redirect("yard:change", made[0].pk)


@require_POST
def split(request: HttpRequest, piece_id: UUID) -> HttpResponse:
    """Give some of a row of equal pieces tags of their own; the row keeps the rest. [-]"""
    piece = seen_piece(request, piece_id, KEEP)
    typed = request.POST.get("tags", "")
    tags = [line.strip() for line in typed.splitlines() if line.strip()]
    left = piece.count - len(tags)
    if not tags or left < 0 or len(tags) > MOST_AT_ONCE:
        wrong = _("write one tag a line, for at most {n} pieces").format(n=min(piece.count, MOST_AT_ONCE))
        return piece_page(request, piece, 422, wrong, {"tags": typed})
    spec = {key: value for key, value in piece.spec.items() if key != "count"}
    with transaction.atomic():
        Crew.objects.select_for_update().get(pk=piece.crew_id)  # before the piece, as a file that is put in does
        if left:
            piece.spec = {**piece.spec, "count": left}
            saved = piece.change(version_in(request), ["spec"])
        else:
            piece.retired_at, piece.retired_why = timezone.now(), _("each piece has a tag of its own now")
            saved = piece.change(version_in(request), ["retired_at", "retired_why"])
        made, wrong = _make(piece, tags, spec) if saved else ([], meanwhile())
        if wrong:
            transaction.set_rollback(True)
    if wrong:
        return piece_page(request, _fresh(piece), 422 if saved else 409, wrong, {"tags": typed})
    said = ngettext("{n} piece has a tag of its own.", "{n} pieces have tags of their own.", len(made))
    messages.success(request, said.format(n=len(made)))
    _tell_of_uses(request, piece, piece.name)
    return redirect("yard:page", piece.pk)


@require_GET
def history(request: HttpRequest, piece_id: UUID) -> HttpResponse:
    """Who changed what of a piece, and when. [-]"""
    piece = seen_piece(request, piece_id)
    return render(request, "yard/history.html", {"piece": piece, "entries": history_of(piece)})


@require_GET
def meant(request: HttpRequest) -> HttpResponse:
    """What a typed quantity means, in one line; what is wrong with it where it cannot be read. [-]"""
    kind, name = request.GET.get("kind", ""), request.GET.get("field", "text")
    if kind not in UNIT_KINDS:
        raise Http404
    typed = WithUnit().value_from_datadict(request.GET, None, name) or ""
    words = understood(typed[: LONGEST + 1], kind) if typed.strip() else ""
    return HttpResponse(words, content_type="text/plain; charset=utf-8")


def brief(piece: Piece) -> str:
    """What tells a piece from its like, on one line. [-]"""
    shown = {
        "unit": ("pump.rating", "pump.top_speed", "pump.flow_per_turn"),
        "kit": ("plunger_diameter", "rating"),
        "gauge": ("full_scale", "class"),
        "relief": ("set", "kind"),
        "hose": ("bore", "length", "rating"),
        "fitting": ("bore", "rating"),
        "tool": ("kind", "rating"),
        "tip": ("bore", "rated", "inlet"),
    }[piece.kind]
    facts = flat(TABLES[piece.kind], piece.spec)
    told = {"class": _("class {value}"), "inlet": _("inlet: {value}")}  # what says nothing by itself
    return " · ".join(
        told[key].format(value=facts[key][1].lower()) if key in told else facts[key][1] for key in shown if key in facts
    )


def _out_of_test(crew: Crew, pieces: Iterable[Piece]) -> dict[Any, OutOfTest]:
    """The pieces that a plan of today would not take for the age of their test, by their uuid."""
    day, rules = timezone.localdate(), rules_of(crew)
    judged = ((piece.pk, out_of_test(piece, day, rules)) for piece in pieces)
    return {pk: said for pk, said in judged if said is not None}


def _facts(piece: Piece) -> list[tuple[str, str]]:
    return list(flat(TABLES[piece.kind], piece.spec).values())


def _make(piece: Piece, names: list[str], spec: dict[str, Any]) -> tuple[list[Piece], str]:
    """New pieces like one, each with its own name; or what is wrong with the names, and none is made."""
    made: list[Piece] = []
    with transaction.atomic():
        Crew.objects.select_for_update().get(pk=piece.crew_id)
        for name in names:
            fresh = Piece(crew=piece.crew, kind=piece.kind, on=None if piece.kind == "gauge" else piece.on, spec=spec)
            form = NameForm(fresh, {"name": name, "on": str(fresh.on_id or "")})
            if not form.is_valid():
                transaction.set_rollback(True)
                words = " ".join(str(one) for one in form.errors.get("name", []))
                return [], _("“{name}”: {words}").format(name=name, words=words) if name else words
            fresh.name = form.cleaned_data["name"]
            fresh.save()
            made.append(fresh)
    return made, ""


def _unit_named(crew: Crew, named: str) -> Piece | None:
    try:
        return Piece.objects.filter(crew=crew, kind="unit", pk=UUID(named)).first() if named else None
    except ValueError:
        return None


def _only_unit(crew: Crew, kind: str) -> Piece | None:
    """The unit that a new piece can only sit on: the crew's one, where it has not got its gauge yet."""
    units: list[Piece] = list(Piece.objects.filter(crew=crew, kind="unit").in_use()) if kind in OF_A_UNIT else []
    if len(units) != 1 or (kind == "gauge" and units[0].carried.filter(kind="gauge", retired_at=None).exists()):
        return None
    return units[0]


def _fresh(piece: Piece) -> Piece:
    found: Piece = Piece.objects.select_related("crew", "on").get(pk=piece.pk)
    return found


def _tell_of_uses(request: HttpRequest, piece: Piece, name: str) -> None:
    """Say which jobs and tools name a piece that is no longer there under that name."""
    for use in used_by(piece, name):
        if use.piece is not None:
            words = _("“{piece}” still names “{name}”.").format(piece=use.piece, name=name)
        elif use.tasks:
            tasks = ", ".join(task.name for task in use.tasks)
            words = _("The job “{job}” still names “{name}” in: {tasks}.").format(job=use.job, name=name, tasks=tasks)
        else:
            words = _("The job “{job}” still uses “{name}”.").format(job=use.job, name=name)
        messages.warning(request, words)
