"""The best tips of the box for a tool of a task, as its plan's page shows them."""

import json
from dataclasses import dataclass, replace

from jetwright.actions.tips import tips_tables
from jetwright.files.tables import as_json
from jetwright.report.screen import TipRow, tip_notes, tip_reasons, tip_rows, tips_refused
from jetwright.web.held import BusyError
from jetwright.web.jobs.question import Line, Question, with_line
from jetwright.web.jobs.what_if import Asked
from jetwright.web.worker import WorkerLostError, WorkerTimeoutError, in_worker


@dataclass(frozen=True, slots=True)
class WayShown:
    """One way to fill the tool; question: what to ask to try it; None where its tips stand in other rows."""

    row: TipRow
    question: Question | None


@dataclass(frozen=True, slots=True)
class Ways:
    """The best ways, the most jet power first; notes: what of the best is to be known; refused: why there is none.

    tool: whose tips they are; missed: why other sizes of the box are not listed; judged: what was looked at.
    """

    tool: str
    ways: tuple[WayShown, ...]
    notes: tuple[str, ...]
    refused: tuple[str, ...]
    missed: tuple[str, ...]
    judged: tuple[str, ...]


def ways_of(asked: Asked, system: str, number: int = 0) -> Ways:
    """The best tips for what is asked, looked for beside the server; FileError where the rig is not physical. [-]

    number: of the branch whose tool is filled; 0: that of the target.
    """
    job = asked.read.job
    text, name = json.dumps(as_json(asked.read.written)), job.task[asked.place].name
    try:
        choice = in_worker(tips_tables, text, name, number or None).tasks[0]
    except (WorkerTimeoutError, WorkerLostError) as error:
        raise BusyError from error
    line = next((line for line in asked.question.tools if line.tool == choice.tool), None)
    shown = [WayShown(row, _question(asked, line, row)) for row in tip_rows(choice, job, system)]
    missed, judged = map(tuple, tip_reasons(choice, system))
    refused = tuple(tips_refused(choice))
    return Ways(choice.tool, tuple(shown), tuple(tip_notes(choice, system)), refused, missed, judged)


def _question(asked: Asked, line: Line | None, row: TipRow) -> Question | None:
    return None if row.tips is None or line is None else with_line(asked.question, replace(line, tips=row.tips))
