"""Labels to print: a code that leads to the page of a piece, its name, and what its tag says."""

import hashlib
import io
from uuid import UUID

import segno
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from jetwright.report.wording import _
from jetwright.web.address import address_of
from jetwright.web.conditional import asked_again
from jetwright.web.yard.models import KINDS, Piece
from jetwright.web.yard.seen import seen_crew, seen_piece
from jetwright.web.yard.tested import day_words
from jetwright.web.yard.views import brief


@require_GET
def sheet(request: HttpRequest) -> HttpResponse:
    """A sheet of labels of a crew's pieces in use, of one kind or of all. [-]"""
    crew = seen_crew(request, request.GET.get("crew"))
    kind = request.GET.get("kind", "")
    rows = Piece.objects.filter(crew=crew).in_use().order_by("kind", "name")
    if kind in KINDS:
        rows = rows.filter(kind=kind)
    labels = [(piece, brief(piece), day_words(piece)) for piece in rows]
    kinds = [(one, _(words)) for one, words in KINDS.items()]
    context = {"crew": crew, "labels": labels, "kinds": kinds, "kind": kind, "coded": bool(address_of(request, "/"))}
    return render(request, "yard/labels.html", context)


@require_GET
def code(request: HttpRequest, piece_id: UUID) -> HttpResponseBase:
    """The code of a piece, as a picture: the address of its page; none that would lead a phone to itself. [-]"""
    piece = seen_piece(request, piece_id)
    address = address_of(request, reverse("yard:page", args=[piece.pk]))
    if not address:
        raise Http404
    into = io.BytesIO()
    segno.make(address, error="m", micro=False).save(into, kind="svg", scale=4, border=4, dark="#000", light="#fff")
    drawn = into.getvalue()

    def fresh() -> HttpResponse:
        return HttpResponse(drawn, content_type="image/svg+xml")

    return asked_again(request, hashlib.sha256(drawn).hexdigest(), fresh)
