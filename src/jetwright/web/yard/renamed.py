"""A piece's new name where others name it: nothing of that happens by itself, and nothing that is signed is touched."""

import copy
from collections.abc import Iterable
from typing import Any

from jetwright.web.jobs.models import Task
from jetwright.web.yard.models import IN_A_RUN, Piece
from jetwright.web.yard.used import Use, rows_of, used_by

NAMED = (*IN_A_RUN, "tool", "tip", "kit")
"""Kinds that others name; what sits on a unit, and the unit itself, is held by the row."""


def named_by(piece: Piece) -> list[Use]:
    """What would name no piece any more if its name were another; nothing names one that is retired. [-]"""
    uses = used_by(piece) if piece.kind in NAMED and piece.retired_at is None else []
    return [] if piece.kind == "kit" and all(use.piece is None for use in uses) else uses


def tasks_of(piece: Piece, uses: Iterable[Use]) -> list[Task]:
    """The tasks that write the name themselves: a tip stands in its tool, a kit in its unit. [-]"""
    return [] if piece.kind in ("tip", "kit") else [task for use in uses for task in use.tasks]


def rename_in(uses: Iterable[Use], piece: Piece, before: str) -> bool:
    """Write the piece's new name wherever these use the old one; False where somebody saved one of them meanwhile. [-]

    The caller holds the transaction, and gives it up at a False.
    """
    uses = list(uses)
    rows: list[Task | Piece] = [*tasks_of(piece, uses), *(use.piece for use in uses if use.piece is not None)]
    for row in rows:
        row.spec = _renamed(row.spec, piece.kind, before, piece.name)
        if not row.change(row.version, ["spec"]):
            return False
    return True


def _renamed(spec: dict[str, Any], kind: str, before: str, after: str) -> dict[str, Any]:
    made = copy.deepcopy(spec)
    for run in (made, *rows_of(made.get("branches"))):
        if kind == "tool" and run.get("tool") == before:
            run["tool"] = after
        if kind in IN_A_RUN and isinstance(run.get("hose_run"), list):
            run["hose_run"] = [after if name == before else name for name in run["hose_run"]]
    for port in rows_of(made.get("ports")):
        if kind == "tip" and port.get("tip") == before:
            port["tip"] = after
    if kind == "kit":
        made["pump"]["kit"] = after
    return made
