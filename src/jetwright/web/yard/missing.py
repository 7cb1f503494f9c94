"""Where a fact that a plan lacks is written: the form, and the field in it."""

from collections.abc import Sequence
from urllib.parse import urlencode

from django.urls import reverse

from jetwright.web.yard.forms import table_form
from jetwright.web.yard.models import Piece
from jetwright.web.yard.tables import GROUPS

ON_A_UNIT = ("gauge", "relief")
"""Tables of a unit that are pieces of their own."""


def address_of(key: str, unit: Piece, pieces: Sequence[Piece]) -> str:
    """The address of the form, with the field, in which a key of a job file is written; "" for none of the yard. [-]

    pieces: those that the unit's crew has in use.
    """
    group, _dot, rest = key.partition(".")
    if group == "unit":
        part, _dot, below = rest.partition(".")
        if part not in ON_A_UNIT:
            return _field(unit, rest)
        on = [one for one in pieces if one.kind == part and one.on_id == unit.pk]
        lacks = next((one for one in on if below not in one.spec), on[0] if on else None)
        return _new(part, unit) if lacks is None else _field(lacks, below)
    kinds = {name: kind for kind, name in GROUPS.items()}
    meant = [one for one in pieces if one.kind == kinds.get(group) and f"{rest}.".startswith(f"{one.name}.")]
    piece = max(meant, key=lambda one: len(one.name), default=None)  # a name may hold a dot
    return "" if piece is None else _field(piece, rest[len(piece.name) + 1 :])


def _new(kind: str, unit: Piece) -> str:
    return f"{reverse('yard:new', args=[kind])}?{urlencode({'crew': unit.crew_id, 'on': unit.pk})}"


def _field(piece: Piece, key: str) -> str:
    """The form of a piece; of a table in it, the first field."""
    page, path, form = reverse("yard:change", args=[piece.pk]), tuple(key.split(".")), table_form(piece)
    places = (form.places[name] for name in form.names())
    place = next((one for one in places if tuple(map(str, one.path))[: len(path)] == path), None)
    return page if place is None else f"{page}#id_{place.name}"
