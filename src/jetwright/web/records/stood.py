"""Which pieces stood where a task reads its rig, change by change: kept, renamed, moved, retired, put in place."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db.models import F, Q

from jetwright.web.jobs.models import Job
from jetwright.web.yard.history import table_of
from jetwright.web.yard.models import IN_A_RUN, OF_A_UNIT, Piece
from jetwright.web.yard.tables import GROUPS

BY_KIND = ("gauge", "relief")
"""What a unit has whatever it is called."""

Spot = tuple[str, str]
"""Where a piece is read: its kind and its name, "" for a kind that is read whatever it is called."""


@dataclass(frozen=True, slots=True)
class Stood:
    """A piece as it was; on: uuid of its unit, ""; there: made already, and not retired."""

    key: str
    kind: str
    name: str
    on: str
    spec: Mapping[str, Any]
    there: bool


Line = tuple[Any, Stood, Stood]
"""A line of the trail, with the piece before and after it."""
Step = tuple[Any, Stood | None, Stood | None]
"""A line of the trail, what was read before it in one place, and what after it; None: nothing."""


@dataclass(frozen=True, slots=True)
class Spots:
    """Where a task reads its pieces: by the names in its tables, and on its unit."""

    job: Job
    named: frozenset[Spot]

    @classmethod
    def of(cls, job: Job, written: Mapping[str, Any]) -> "Spots":
        """Those of a task, by its tables with the rows that it uses. [-]"""
        named = {_named(kind, name) for kind, group in GROUPS.items() for name in written.get(group, {})}
        unit = {("unit", job.unit.name)} if job.unit is not None else set()
        return cls(job, frozenset(named | unit))

    def at(self, stood: Stood) -> Spot | None:
        """Where such a piece is read, were it in use; None: nowhere. [-]"""
        if stood.kind in OF_A_UNIT:
            name = "" if stood.kind in BY_KIND else stood.name
            return (stood.kind, name) if stood.on and stood.on == str(self.job.unit_id) else None
        spot = _named(stood.kind, stood.name)
        return spot if spot in self.named else None

    def read(self, stood: Stood) -> Spot | None:
        """Where a piece as it was is read; None: nowhere. [-]"""
        return self.at(stood) if stood.there else None

    def pieces(self, since: Any) -> list[Piece]:
        """Every piece that is read or was since a time, wherever it is by now; the retired ones last. [-]"""
        names = [name for _kind, name in self.named]
        here, away = Q(name__in=names), Q(changes__name__0__in=names)
        if self.job.unit_id is not None:
            here, away = here | Q(on=self.job.unit_id), away | Q(changes__on__0=str(self.job.unit_id))
        kind = ContentType.objects.get_for_model(Piece)
        left = LogEntry.objects.filter(away, content_type=kind, timestamp__gt=since).order_by()
        keys = set(left.values_list("object_pk", flat=True))
        rows = Piece.objects.filter(here | Q(pk__in=keys), crew_id=self.job.crew_id)
        return list(rows.order_by(F("retired_at").asc(nulls_first=True)))


def _named(kind: str, name: str) -> Spot:
    return ("run" if kind in IN_A_RUN else kind, name)


def steps(spots: Spots, pieces: Iterable[Piece], rows: Sequence[Any]) -> Iterator[Step]:
    """What lines of the trail about these pieces, the oldest first, changed of what is read. [-]

    What comes into another's place counts as that one changed, also where nothing stood there meanwhile.
    """
    pieces = list(pieces)
    started, lines = _lines(pieces, rows)
    ever = {row.object_pk: row.pk for row, *sides in lines if any(map(spots.read, sides))}
    current = {str(piece.pk) for piece in pieces if spots.read(as_is(piece))}
    gone, standing = _at_first(spots, pieces, started)
    for row, was, now in lines:
        left, came = spots.read(was), spots.read(now)
        if left != came:
            if left is not None:
                gone.setdefault(left, []).append((row, was))
                standing[left].discard(was.key)
            if came is not None:
                yield from _came(row, was, now, gone.get(came, []), bool(standing.setdefault(came, set())))
                standing[came].add(now.key)
        elif row.action != LogEntry.Action.CREATE and (was.key in current or row.pk <= ever.get(was.key, 0)):
            yield row, was, now
    yield from ((row, was, None) for spot, all_ in gone.items() if spot[0] in BY_KIND for row, was in all_)


def _came(row: Any, was: Stood, now: Stood, gone: list[tuple[Any, Stood]], others: bool) -> Iterator[Step]:
    """A piece that came to be read: in place of one that went, of its name where there is one; or beside others."""
    if gone:
        place = next((at for at, (_row, one) in enumerate(gone) if one.name == now.name), -1)
        before = gone.pop(place)[1]
        yield row, was if before.key == now.key else before, now
    elif others and now.kind in BY_KIND:
        yield row, None, now
    elif row.action != LogEntry.Action.CREATE and was.there:
        yield row, was, now


def _at_first(
    spots: Spots, pieces: Iterable[Piece], started: Mapping[str, Stood]
) -> tuple[dict[Spot, list[tuple[Any, Stood]]], dict[Spot, set[str]]]:
    """What had gone where nothing stood any more before the first line, the last of it last; and what stood where."""
    standing: dict[Spot, set[str]] = {}
    for stood in started.values():
        spot = spots.read(stood)
        if spot is not None:
            standing.setdefault(spot, set()).add(stood.key)
    gone: dict[Spot, list[tuple[Any, Stood]]] = {}
    for piece in pieces:
        stood = started[str(piece.pk)]
        spot = spots.at(stood)
        if spot is not None and spot[0] not in BY_KIND and spot not in standing and stood.spec:
            gone.setdefault(spot, []).append((None, stood))
    return gone, standing


def _lines(pieces: Iterable[Piece], rows: Sequence[Any]) -> tuple[dict[str, Stood], list[Line]]:
    """Each piece as it was before all lines, and each line with its piece before and after it: read backwards."""
    states, lines = {str(piece.pk): as_is(piece) for piece in pieces}, []
    for row in reversed(rows):
        now = _with(states[row.object_pk], row, 1)
        was = _with(now, row, 0)
        if row.action == LogEntry.Action.CREATE:
            was = replace(was, there=False, spec={})
        states[row.object_pk] = was
        lines.append((row, was, now))
    return states, lines[::-1]


def as_is(piece: Piece) -> Stood:
    """A piece as it is now. [-]"""
    on = "" if piece.on_id is None else str(piece.on_id)
    return Stood(str(piece.pk), piece.kind, piece.name, on, piece.spec, piece.retired_at is None)


def _with(stood: Stood, row: Any, side: int) -> Stood:
    """A piece with what a line says of it: before the line, 0, or after it, 1."""
    said = {name: change[side] for name, change in (row.changes or {}).items() if isinstance(change, list)}
    told: dict[str, Any] = {name: _text(said[name]) for name in ("name", "on") if name in said}
    if "spec" in said:
        told["spec"] = table_of(said["spec"])
    if "retired_at" in said:
        told["there"] = not _text(said["retired_at"])
    return replace(stood, **told)


def _text(value: object) -> str:
    return "" if value in (None, "None") else str(value)
