"""Photos of a piece: added, shown to whoever may see the piece, and taken away from its page."""

import contextlib
import hashlib
import os
import secrets
from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jetwright.report.wording import N_, _
from jetwright.web.asked import me, meanwhile, version_in
from jetwright.web.conditional import asked_again
from jetwright.web.pictures import RefusedPictureError, made_anew
from jetwright.web.worker import WorkerLostError, WorkerTimeoutError, in_worker, one_at_a_time
from jetwright.web.yard.models import Photo
from jetwright.web.yard.seen import KEEP, said_in, seen_photo, seen_piece
from jetwright.web.yard.views import piece_page

MOST_OF_A_PIECE = 40
"""Most photos of one piece."""

REFUSED = {
    "too_large": N_("the photo is too large (at most 20 MB)"),
    "too_many_pixels": N_("the photo has too many pixels (at most 40 million, 20 million as PNG or WebP)"),
    "no_picture": N_("this is no photo; a JPEG, PNG or WebP picture is"),
    "broken": N_("the photo is not whole; take it again, or send it again"),
}
"""Code of a refused photo → what is wrong with it."""


@require_POST
def add(request: HttpRequest, piece_id: UUID) -> HttpResponse:
    """Keep a photo of a piece, drawn anew. [-]"""
    piece = seen_piece(request, piece_id, KEEP)
    sent = request.FILES.get("photo")
    if sent is None:
        return piece_page(request, piece, 422, _("choose a photo first"))
    if piece.photos.filter(retired_at=None).count() >= MOST_OF_A_PIECE:
        return piece_page(
            request, piece, 422, _("this piece has {n} photos; take one away first").format(n=MOST_OF_A_PIECE)
        )
    if (sent.size or 0) > settings.MOST_PHOTO_BYTES:
        large = REFUSED["too_large"]
        return piece_page(request, piece, 422, _(large))
    try:
        with one_at_a_time(str(me(request).pk)):
            picture, small, width, height = in_worker(made_anew, sent.read())
    except RefusedPictureError as why:
        return piece_page(request, piece, 422, _(REFUSED[why.code]))
    except (WorkerLostError, WorkerTimeoutError):
        broken = REFUSED["broken"]
        return piece_page(request, piece, 422, _(broken))
    photo = Photo(piece=piece, says=said_in(request, "says", 120), width=width, height=height, by=me(request))
    photo.digest = hashlib.sha256(picture).hexdigest()
    _keep(photo, picture, small)
    photo.save()
    messages.success(request, _("The photo is kept."))
    return redirect("yard:page", piece.pk)


@require_GET
def picture(request: HttpRequest, photo_id: UUID, small: bool) -> HttpResponseBase:
    """A photo, for whoever may see its piece. [-]"""
    photo = seen_photo(request, photo_id)

    def fresh() -> FileResponse:
        try:
            file = _path(photo, small).open("rb")
        except FileNotFoundError:
            raise Http404 from None
        nosniff = {"X-Content-Type-Options": "nosniff", "Content-Disposition": "inline"}
        return FileResponse(file, content_type="image/jpeg", headers=nosniff)

    return asked_again(request, f"{photo.digest}{'-small' if small else ''}", fresh)


@require_POST
def retire(request: HttpRequest, photo_id: UUID) -> HttpResponse:
    """Take a photo away from its piece's page; its file stays. [-]"""
    photo = seen_photo(request, photo_id, KEEP)
    photo.retired_at = timezone.now()
    if not photo.change(version_in(request), ["retired_at"]):
        return piece_page(request, photo.piece, 409, meanwhile())
    messages.success(request, _("The photo is taken away."))
    return redirect("yard:page", photo.piece_id)


def _path(photo: Photo, small: bool = False) -> Path:
    return Path(settings.MEDIA_ROOT) / f"{photo.uuid}{'-small' if small else ''}.jpg"


def _keep(photo: Photo, whole: bytes, small: bytes) -> None:
    """Both files, each there whole or not at all; nobody else on the machine may read them."""
    Path(settings.MEDIA_ROOT).mkdir(mode=0o700, parents=True, exist_ok=True)
    for path, content in ((_path(photo), whole), (_path(photo, True), small)):
        beside = path.with_name(f".{secrets.token_hex(8)}")
        try:
            with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
                file.write(content)
            beside.replace(path)
        finally:
            with contextlib.suppress(FileNotFoundError):
                beside.unlink()
