"""A task's rig as it is put together, piece by piece: what may be added where, and the acts that change a draft."""

import copy
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Any

from django.utils import timezone

from jetwright.errors import UnitError
from jetwright.report.figures import rated, unit_for
from jetwright.report.key_labels import WORDS
from jetwright.report.wording import _
from jetwright.units import read, show
from jetwright.web.jobs.models import Job
from jetwright.web.jobs.written import runs_of
from jetwright.web.yard.models import IN_A_RUN, Piece
from jetwright.web.yard.tested import USUAL_RULES, OutOfTest, out_of_test

Spec = dict[str, Any]
MOST_BRANCHES = 8
MOST_OFFERED = 40
"""Most pieces that are offered at once; a name narrows them down."""


class NoSuchPlaceError(LookupError):
    """An act was meant for a place that the rig does not have (any more)."""


@dataclass(frozen=True, slots=True)
class Stand:
    """A piece where it stands in a run; piece: None where the yard has none of this name in use.

    out: what a plan says of it where its test is too old.
    """

    at: int
    name: str
    piece: Piece | None
    facts: str
    rating: str
    tested: str
    out: OutOfTest | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """By what the pieces of a job are judged before its plan is: its day, and its rule set."""

    day: date
    rules: str


@dataclass(frozen=True, slots=True)
class Run:
    """A hose run and the tool at its end; number: 0 the one from the unit, from 1 the branches.

    ends: whether a tool belongs at its end. sums: a line of short sentences about its pieces.
    """

    number: int
    stands: tuple[Stand, ...]
    ends: bool
    tool: Stand | None
    rise: str
    sums: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Offer:
    """A piece that may be added; left: how many of it are free; reaches: no rating below what the task asks for."""

    name: str
    kind: str
    facts: str
    rating: str
    tested: str
    left: int
    reaches: bool
    out: OutOfTest | None


@dataclass(frozen=True, slots=True)
class Offers:
    """What may be added at a place; at: -1 for the tool; more: how many are not shown."""

    run: int
    at: int
    said: str
    fitting: tuple[Offer, ...]
    weaker: tuple[Offer, ...]
    more: int
    many: bool


def judged_by(job: Job) -> Judged:
    """Day and rule set of a job, as its plan takes them. [-]"""
    return Judged(job.day or timezone.localdate(), str(job.spec.get("rule_set", USUAL_RULES)))


def rig_of(
    spec: Mapping[str, Any],
    pieces: Iterable[Piece],
    system: str,
    by: Judged,
    gone: Mapping[tuple[str, str], str] = MappingProxyType({}),
) -> list[Run]:
    """The runs of a task as they stand, the one from the unit first. [-]

    pieces: those that the crew has in use. gone: when and why others were retired, by kind and name.
    """
    owned = list(pieces)
    items = {piece.name: piece for piece in owned if piece.kind in IN_A_RUN}
    tools = {piece.name: piece for piece in owned if piece.kind == "tool"}
    several = bool(spec.get("branches"))
    runs = []
    for number, run in enumerate(runs_of(spec)):
        names = run.get("hose_run", [])
        stands = tuple(_stand(at, name, items.get(name), system, by, gone) for at, name in enumerate(names))
        named = run.get("tool")
        tool = _stand(-1, named, tools.get(named), system, by, gone, ("tool",)) if named else None
        ends = number > 0 or not several
        runs.append(Run(number, stands, ends, tool, str(run.get("rise", "")), _sums(stands, system)))
    return runs


def unowned(spec: Mapping[str, Any], pieces: Iterable[Piece]) -> set[str]:
    """Names of a task's rig that no piece in use has. [-]"""
    owned = {(piece.kind == "tool", piece.name) for piece in pieces if piece.kind in (*IN_A_RUN, "tool")}
    runs = list(runs_of(spec))
    named = {(False, name) for run in runs for name in run.get("hose_run", [])}
    named |= {(True, run["tool"]) for run in runs if run.get("tool")}
    return {name for _tool, name in named - owned}


def offers_at(
    spec: Mapping[str, Any], pieces: Iterable[Piece], run: int, at: int, said: str, system: str, by: Judged
) -> Offers:
    """The pieces that may be added at a place: in use, free, and with `said` in their names. [-]"""
    kinds = ("tool",) if at < 0 else IN_A_RUN
    asked = asked_pressure(spec)
    free = [(piece, left) for piece, left in _free(spec, pieces) if piece.kind in kinds]
    meant = [(piece, left) for piece, left in free if said.casefold() in piece.name.casefold()]
    shown = sorted(meant, key=lambda one: (kinds.index(one[0].kind), one[0].name))[:MOST_OFFERED]
    offers = [_offer(piece, left, asked, system, by) for piece, left in shown]
    return Offers(
        run=run,
        at=at,
        said=said,
        fitting=tuple(offer for offer in offers if offer.reaches),
        weaker=tuple(offer for offer in offers if not offer.reaches),
        more=len(meant) - len(shown),
        many=len(free) > 12,
    )


def is_free(spec: Mapping[str, Any], pieces: Iterable[Piece], name: str, tool: bool) -> bool:
    """Whether one more piece of this name may be added. [-]"""
    return any(piece.name == name and (piece.kind == "tool") == tool for piece, _left in _free(spec, pieces))


def asked_pressure(spec: Mapping[str, Any]) -> float:
    """The pressure that a task asks for, 0 where it asks for none that can be read. [Pa]"""
    target = spec.get("target", {})
    given = [_si(target, key, "pressure") for key in ("nozzle_pressure", "pump_pressure")]
    return max((value for value in given if value is not None), default=0.0)


# ---- acts: each takes a draft and gives the next one


def added(spec: Spec, run: int, at: int, name: str) -> Spec:
    """With a piece more: before the one at `at`, or at the end. [-]"""
    return _with_run(spec, run, lambda names: [*names[:at], name, *names[at:]] if 0 <= at <= len(names) else None)


def removed(spec: Spec, run: int, at: int) -> Spec:
    """Without the piece at a place. [-]"""
    return _with_run(spec, run, lambda names: [*names[:at], *names[at + 1 :]] if 0 <= at < len(names) else None)


def moved(spec: Spec, run: int, at: int, by: int) -> Spec:
    """With a piece changed for its neighbour: -1 nearer to the unit, 1 farther. [-]"""

    def swap(names: list[str]) -> list[str] | None:
        other = at + by
        if not (0 <= at < len(names) and 0 <= other < len(names)):
            return None
        swapped = list(names)
        swapped[at], swapped[other] = names[other], names[at]
        return swapped

    return _with_run(spec, run, swap)


def with_tool(spec: Spec, run: int, name: str) -> Spec:
    """With this tool at the end of a run; "" for none. [-]"""
    made = copy.deepcopy(spec)
    table = _run(made, run)
    if run == 0 and made.get("branches"):
        raise NoSuchPlaceError
    table.pop("tool", None)
    if name:
        table["tool"] = name
    return made


def with_rise(spec: Spec, run: int, rise: str) -> Spec:
    """With a branch's tool so far above the pump, as written; "" as the task's. [-]"""
    made = copy.deepcopy(spec)
    table = _run(made, run)
    table.pop("rise", None)
    if rise:
        table["rise"] = rise
    return made


def branch_added(spec: Spec) -> Spec:
    """With a branch more; the first time the tool that was there goes to the end of the first of two. [-]"""
    made = copy.deepcopy(spec)
    branches = made.setdefault("branches", [])
    if len(branches) >= MOST_BRANCHES:
        raise NoSuchPlaceError
    if not branches:
        branches.append({"tool": made.pop("tool")} if made.get("tool") else {})
    branches.append({})
    return made


def branch_removed(spec: Spec, run: int) -> Spec:
    """Without a branch; where one is left, its pieces and its tool follow the run from the unit. [-]"""
    made = copy.deepcopy(spec)
    branches = made.get("branches", [])
    if not 1 <= run <= len(branches):
        raise NoSuchPlaceError
    del branches[run - 1]
    if len(branches) == 1:
        last = made.pop("branches")[0]
        names = [*made.get("hose_run", []), *last.get("hose_run", [])]
        made |= {"hose_run": names} if names else {}
        made |= {key: last[key] for key in ("tool", "rise") if key in last}
        if isinstance(made.get("target"), dict):
            made["target"].pop("at", None)
    elif isinstance(made.get("target"), dict) and made["target"].get("at", 1) > len(branches):
        made["target"].pop("at")
    return made


def _run(spec: Spec, run: int) -> Spec:
    if run == 0:
        return spec
    branches = spec.get("branches", [])
    if not 1 <= run <= len(branches):
        raise NoSuchPlaceError
    table: Spec = branches[run - 1]
    return table


def _with_run(spec: Spec, run: int, change: Callable[[list[str]], list[str] | None]) -> Spec:
    made = copy.deepcopy(spec)
    table = _run(made, run)
    names = change(list(table.get("hose_run", [])))
    if names is None:
        raise NoSuchPlaceError
    table.pop("hose_run", None)
    if names:
        table["hose_run"] = names
    return made


# ---- what is shown of a piece


def _free(spec: Mapping[str, Any], pieces: Iterable[Piece]) -> list[tuple[Piece, int]]:
    runs = list(runs_of(spec))
    used = Counter(name for run in runs for name in run.get("hose_run", []))
    tools = Counter(run["tool"] for run in runs if run.get("tool"))
    left = [
        (piece, piece.count - (tools if piece.kind == "tool" else used)[piece.name])
        for piece in pieces
        if piece.kind in (*IN_A_RUN, "tool")
    ]
    return [(piece, number) for piece, number in left if number > 0]


def _si(spec: Mapping[str, Any], key: str, kind: str) -> float | None:
    try:
        return read(spec[key], kind) if isinstance(spec.get(key), str) else None
    except UnitError:
        return None


def _shown(length: float, system: str) -> str:
    return show(length, unit_for("length", length, system), 4)


def _stand(
    at: int,
    name: str,
    piece: Piece | None,
    system: str,
    by: Judged,
    gone: Mapping[tuple[str, str], str],
    kinds: tuple[str, ...] = IN_A_RUN,
) -> Stand:
    if piece is None:
        retired = next((gone[kind, name] for kind in kinds if (kind, name) in gone), "")
        return Stand(at, name, None, retired or _("not in use in the yard"), "", "")
    out = out_of_test(piece, by.day, [by.rules])
    return Stand(at, name, piece, _facts(piece, system), _rating(piece, system), _tested(piece), out)


def _offer(piece: Piece, left: int, asked: float, system: str, by: Judged) -> Offer:
    rating = _si(piece.spec, "rating", "pressure")
    reaches = rating is None or rating >= asked
    facts, out = _facts(piece, system), out_of_test(piece, by.day, [by.rules])
    return Offer(piece.name, piece.kind, facts, _rating(piece, system), _tested(piece), left, reaches, out)


def _facts(piece: Piece, system: str) -> str:
    bore, length = _si(piece.spec, "bore", "length"), _si(piece.spec, "length", "length")
    bore_words = "" if bore is None else _shown(bore, system)
    if piece.kind == "tool":
        kind = str(piece.spec.get("kind", ""))
        return _(WORDS.get(kind, kind))
    if length is not None and bore is not None:
        return _("{length} long, {bore} bore").format(length=_shown(length, system), bore=bore_words)
    return _("{bore} bore").format(bore=bore_words) if bore is not None else ""


def _rating(piece: Piece, system: str) -> str:
    rating = _si(piece.spec, "rating", "pressure")
    return _("no rating known") if rating is None else _("rated {rating}").format(rating=rated(rating, system))


def _tested(piece: Piece) -> str:
    tested = piece.spec.get("tested")
    if piece.kind != "hose":
        return ""
    return _("tested {day}").format(day=tested) if tested else _("no test known")


def _sums(stands: Iterable[Stand], system: str) -> tuple[str, ...]:
    """Metres, smallest rating, oldest test of a run."""
    pieces = [stand.piece for stand in stands if stand.piece is not None]
    lengths = [_si(piece.spec, "length", "length") for piece in pieces if piece.kind == "hose"]
    ratings = [(rating, p.name) for p in pieces if (rating := _si(p.spec, "rating", "pressure")) is not None]
    tests = [(str(p.spec["tested"]), p.name) for p in pieces if p.kind == "hose" and p.spec.get("tested")]
    unrated = [p.name for p in pieces if _si(p.spec, "rating", "pressure") is None]
    said = []
    if lengths:
        total = sum(length for length in lengths if length is not None)
        said.append(_("{length} of hose").format(length=_shown(total, system)))
    if ratings:
        rating, name = min(ratings)
        said.append(_("smallest rating {rating} ({name})").format(rating=rated(rating, system), name=name))
    if unrated:
        said.append(_("no rating known of {names}").format(names=", ".join(dict.fromkeys(unrated))))
    if tests:
        day, name = min(tests)
        said.append(_("oldest test {day} ({name})").format(day=day, name=name))
    return tuple(said)
