"""Readings with what they say as JSON for other programs, each limit as a plan's JSON has it."""

import json
from collections.abc import Sequence

from jetwright.plan.answer import Plan
from jetwright.plan.fit import Fitted
from jetwright.report.fit import deciding, fit_facts
from jetwright.report.plan_json import head_facts, limit_facts


def fits_json(plan: Plan, found: Sequence[Fitted], kept: bool = True) -> str:
    """Readings with what they say as JSON text. [-]

    Parameters
    ----------
    plan : Plan
        Title, rules and day. [-]
    found : Sequence of Fitted
        The readings. [-]
    kept : bool
        They stand in the job file. [-]

    Raises
    ------
    ValueError
        Where a number is not finite.

    Examples
    --------
    >>> import datetime
    >>> from jetwright.limits.rules import RuleSet
    >>> text = fits_json(Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2)), ())
    >>> list(json.loads(text))
    ['title', 'rule_set', 'day', 'kept', 'readings']

    References
    ----------
    Our own contract; JSON is RFC 8259.
    """
    readings = [
        {
            "task": one.reading.task,
            "verdict": one.verdict,
            "holds": one.holds,
            "fit": fit_facts(one.fit),
            "limits": [limit_facts(limit) for limit in deciding(one)],
        }
        for one in found
    ]
    return json.dumps(head_facts(plan) | {"kept": kept, "readings": readings}, allow_nan=False)
