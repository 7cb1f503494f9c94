"""The yard as files: out as TOML and CSV, and in, looked at first and put there by a second act."""

import re
from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.db.models import F
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jetwright.files.tables import from_json, toml_text
from jetwright.report.wording import _, ngettext
from jetwright.web.asked import me
from jetwright.web.people.models import Crew
from jetwright.web.yard.arriving import MOST_BYTES, Arrivals, arrivals, own_cells, settle, unit_file, yard_held
from jetwright.web.yard.models import KINDS, Piece
from jetwright.web.yard.rows import csv_text
from jetwright.web.yard.seen import KEEP, seen_crew
from jetwright.web.yard.views import ONE

KIND_OF_FILE = ("toml", *KINDS)


@require_GET
def files(request: HttpRequest) -> HttpResponse:
    """What can be taken out of a yard as a file, and a form to bring one in. [-]"""
    return _page(request, seen_crew(request, request.GET.get("crew")))


@require_GET
def toml(request: HttpRequest) -> HttpResponse:
    """A yard file: one unit with what sits on it, and every hose, fitting, tip and tool in use. [-]"""
    crew = seen_crew(request, request.GET.get("crew"))
    pieces = Piece.objects.filter(crew=crew).in_use().select_related("on").order_by("kind", "name")
    named = request.GET.get("unit", "")
    try:
        unit = get_object_or_404(pieces, kind="unit", pk=UUID(named)) if named else None
    except ValueError:
        raise Http404 from None
    text = toml_text(from_json(unit_file(unit, pieces)))
    return _download(text, "yard.toml", "application/toml")


@require_GET
def csv(request: HttpRequest, kind: str) -> HttpResponse:
    """Every piece of a kind as a CSV file, the retired ones too. [-]"""
    if kind not in KINDS:
        raise Http404
    crew = seen_crew(request, request.GET.get("crew"))
    order = ("name", F("retired_at").asc(nulls_first=True), "on__name", "serial", "pk")
    pieces = Piece.objects.filter(crew=crew, kind=kind).select_related("on").order_by(*order)
    text = csv_text(kind, [(own_cells(piece), piece.spec) for piece in pieces])
    return _download("\ufeff" + text, f"{kind}.csv", "text/csv")


@require_POST
def read(request: HttpRequest) -> HttpResponse:
    """Look at a file: what it would add, change and leave, and what is refused; nothing is put anywhere. [-]"""
    crew = seen_crew(request, request.POST.get("crew"), KEEP)
    kind = request.POST.get("kind", "")
    sent = request.FILES.get("file")
    if kind not in KIND_OF_FILE:
        return _page(request, crew, wrong=[_("say what the file holds")], status=422)
    if sent is None:
        return _page(request, crew, wrong=[_("choose a file first")], status=422, kind=kind)
    if (sent.size or 0) > MOST_BYTES:
        words = _("the file is too large (at most {limit} kB)").format(limit=MOST_BYTES // 1024)
        return _page(request, crew, wrong=[words], status=422, kind=kind)
    try:
        text = sent.read().decode("utf-8-sig")
    except UnicodeDecodeError:
        return _page(request, crew, wrong=[_("not UTF-8 text; save the file as UTF-8")], status=422, kind=kind)
    return _looked_at(request, crew, kind, text, arrivals(crew, kind, text))


@require_POST
def put(request: HttpRequest) -> HttpResponse:
    """Put into the yard what was looked at: all of it, or nothing where file or yard are no longer the same. [-]"""
    crew = seen_crew(request, request.POST.get("crew"), KEEP)
    kind, text = request.POST.get("kind", ""), request.POST.get("text", "")
    if kind not in KIND_OF_FILE or len(text.encode()) > 2 * MOST_BYTES:
        return _page(request, crew, wrong=[_("say what the file holds")], status=422)
    text = _unescaped(text)
    found = arrivals(crew, kind, text)  # it takes its time, in which everybody may write
    if found.wrong:
        return _looked_at(request, crew, kind, text, found)
    late = found.digest != request.POST.get("digest", "")
    with transaction.atomic():
        Crew.objects.select_for_update().get(pk=crew.pk)
        late = late or yard_held(crew) != found.yard
        count = 0 if late else settle(crew, found.pieces)
    if late:
        return _looked_at(request, crew, kind, text, arrivals(crew, kind, text), late=True)
    messages.success(request, ngettext("{n} piece written.", "{n} pieces written.", count).format(n=count))
    return redirect(f"{reverse('yard:list')}?crew={crew.pk}")


def _page(
    request: HttpRequest, crew: Crew, wrong: list[str] | None = None, status: int = 200, kind: str = "toml"
) -> HttpResponse:
    units = Piece.objects.filter(crew=crew, kind="unit").in_use()
    context = {
        "crew": crew,
        "units": units,
        "kinds": [(one, _(words)) for one, words in KINDS.items()],
        "kind": kind,
        "wrong": wrong or [],
        "keeps": me(request).may(KEEP, crew),
        "limit_kb": MOST_BYTES // 1024,
    }
    return render(request, "yard/files.html", context, status=status)


def _looked_at(
    request: HttpRequest, crew: Crew, kind: str, text: str, found: Arrivals, late: bool = False
) -> HttpResponse:
    if found.wrong:
        return _page(request, crew, wrong=found.wrong, status=422, kind=kind)
    by_act = {act: [one for one in found.pieces if one.act == act] for act in ("add", "change", "leave")}
    context = {
        "crew": crew,
        "kind": kind,
        "text": _escaped(text),
        "digest": found.digest,
        "by_act": by_act,
        "told": found.told,
        "late": late,
        "one": {kind: _(words) for kind, words in ONE.items()},
    }
    return render(request, "yard/arrivals.html", context, status=409 if late else 200)


def _escaped(text: str) -> str:
    """A text as a form carries it unharmed: browsers change the ends of lines."""
    return text.replace("\\", "\\\\").replace("\r", "\\r").replace("\n", "\\n").replace("\t", "\\t")


def _unescaped(text: str) -> str:
    meant = {"r": "\r", "n": "\n", "t": "\t"}
    return re.sub(r"\\(.)", lambda found: meant.get(found[1], found[1]), text, flags=re.DOTALL)


def _download(text: str, name: str, kind: str) -> HttpResponse:
    answer = HttpResponse(text.encode(), content_type=f"{kind}; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "no-store"
    return answer
