"""The best tips of the box for a task, as its plan's page shows them."""

from dataclasses import dataclass, replace

from jetwright.actions.tips import tips_read
from jetwright.report.screen import TipRow, tip_notes, tip_rows, tips_refused
from jetwright.web.jobs.what_if import Asked, Question


@dataclass(frozen=True, slots=True)
class WayShown:
    """One way to fill the tool; question: what to ask to try it; None where its tips stand in other rows."""

    row: TipRow
    question: Question | None


@dataclass(frozen=True, slots=True)
class Ways:
    """The best ways, the most jet power first; notes: what of the best is to be known; refused: why there is none.

    tool: whose tips they are.
    """

    tool: str
    ways: tuple[WayShown, ...]
    notes: tuple[str, ...]
    refused: tuple[str, ...]


def ways_of(asked: Asked, system: str) -> Ways:
    """The best tips for what is asked; FileError where the rig is not physical. [-]"""
    job = asked.read.job
    choice = tips_read(asked.read, job.task[asked.place].name).tasks[0]
    shown = [
        WayShown(row, _question(asked, row) if choice.tool == asked.question.tool else None)
        for row in tip_rows(choice, job, system)
    ]
    return Ways(choice.tool, tuple(shown), tuple(tip_notes(choice, system)), tuple(tips_refused(choice)))


def _question(asked: Asked, row: TipRow) -> Question | None:
    return None if row.tips is None else replace(asked.question, tips=row.tips)
