"""What somebody may see and do in a yard: asked once, here."""

from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest
from django.shortcuts import get_object_or_404

from jetwright.web.asked import demo_last, me
from jetwright.web.people.models import Crew, Person
from jetwright.web.signs import one_line
from jetwright.web.yard.models import Photo, Piece

KEEP = "keep yard"


def crews_of(person: Person) -> list[Crew]:
    """The crews whose yard somebody sees, the demo's last; those that are no more are left out. [-]"""
    return demo_last(Crew.objects.visible_to(person).filter(retired_at=None))


def seen_crew(request: HttpRequest, named: str | None, act: str = "see") -> Crew:
    """The crew that a page names, or the one it was last; 404 unseen, 403 where the act is not allowed. [-]"""
    person = me(request)
    crews = crews_of(person)
    asked = named or str(request.session.get("crew", ""))
    found = next((crew for crew in crews if str(crew.pk) == asked), None)
    if found is None:
        if named or not crews:
            raise Http404
        found = next((crew for crew in crews if person.may(act, crew)), crews[0])
    if not person.may(act, found):
        raise PermissionDenied
    if str(request.session.get("crew", "")) != str(found.pk):
        request.session["crew"] = str(found.pk)
    return found


def seen_piece(request: HttpRequest, piece_id: UUID, act: str = "see") -> Piece:
    """A piece that somebody may see (else 404) and may do an act on (else 403). [-]"""
    person = me(request)
    pieces = Piece.objects.visible_to(person).select_related("crew", "on")
    piece: Piece = get_object_or_404(pieces, pk=piece_id)
    if not person.may(act, piece.crew):
        raise PermissionDenied
    return piece


def seen_photo(request: HttpRequest, photo_id: UUID, act: str = "see") -> Photo:
    """A photo of a piece that somebody may see (else 404) and may do an act on (else 403). [-]"""
    person = me(request)
    photos = Photo.objects.filter(piece__in=Piece.objects.visible_to(person), retired_at=None)
    photo: Photo = get_object_or_404(photos.select_related("piece__crew"), pk=photo_id)
    if not person.may(act, photo.piece.crew):
        raise PermissionDenied
    return photo


def said_in(request: HttpRequest, name: str, most: int) -> str:
    """What was typed into a field of one line, its gaps closed, without signs that print as nothing, cut. [-]"""
    return one_line(request.POST.get(name, "")[: 4 * most])[:most]
