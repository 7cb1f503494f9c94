"""Draws as JSON for other programs: keys end in their unit, always in bar, N, rpm."""

import json
from collections.abc import Sequence
from typing import Any

from jetwright.plan.answer import Plan, TaskPlan
from jetwright.plan.draws import Draws, Percentiles, apart
from jetwright.report.draws_table import measure_words
from jetwright.report.plan_json import limits_facts
from jetwright.report.work_json import kept

SHARE_DIGITS = 4
"""Decimals of a share."""


def draws_json(plan: Plan, draws: Sequence[Draws | None]) -> str:
    """Draws as JSON text. [-]

    Parameters
    ----------
    plan : Plan
        The plan that they were drawn around. [-]
    draws : Sequence
        One a task; None where its target is not to be had. [-]

    Raises
    ------
    ValueError
        Where a number is not finite: JSON has no such number.

    Examples
    --------
    >>> import datetime
    >>> from jetwright.limits.rules import RuleSet
    >>> draws_json(Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2)), ())[:17]
    '{"title": "Bund",'

    References
    ----------
    Our own contract; JSON is RFC 8259, in ASCII.
    """
    facts = limits_facts(plan)
    facts["tasks"] = [_task(task, found) for task, found in zip(plan.tasks, draws, strict=True)]
    return json.dumps(facts, allow_nan=False)


def _task(task: TaskPlan, found: Draws | None) -> dict[str, Any]:
    facts: dict[str, Any] = {"name": task.name, "verdict": task.verdict, "draws": None}
    known = task.tolerance
    if found is None or known is None:
        return facts
    count = len(found.nozzle)
    facts["draws"] = {
        "count": found.count,
        "seed": found.seed,
        "gauge": _band(found.gauge, "bar", *known.pump_pressure),
        "speed": None if known.pump_speed is None else _band(found.speed, "rpm", *known.pump_speed),
        "proving": _band(found.proving, "bar", *known.proving),
        "tools": [
            {
                "branch": tool.branch,
                "tool": tool.tool,
                "nozzle": _band(nozzle, "bar", None, most_nozzle),
                "recoil": _band(recoil, "N", None, most_recoil),
            }
            for tool, nozzle, recoil, most_nozzle, most_recoil in zip(
                task.tools, found.nozzle, found.recoil, known.nozzle, known.recoil, strict=True
            )
        ],
        "inputs": [
            {
                "input": one.what,
                "tip": one.tip or None,
                "measured": one.measured,
                "measure": measure_words(one),
                "shares": _shares(one.shares, count),
            }
            for one in found.inputs
        ],
        "together": _shares(found.rest, count),
    }
    return facts


def _band(found: Percentiles, unit: str, low: float | None, high: float) -> dict[str, Any]:
    key = unit.lower()
    facts: dict[str, Any] = {
        f"{name}_{key}": kept(value, unit)
        for name, value in (("p5", found.low), ("p50", found.middle), ("p95", found.high))
    }
    if low is not None:
        facts[f"plan_low_{key}"] = kept(low, unit)
    return facts | {f"plan_high_{key}": kept(high, unit), "apart": apart(found, low, high)}


def _shares(shares: Sequence[float], count: int) -> dict[str, Any]:
    gauge, speed, proving, *tools = (round(share, SHARE_DIGITS) for share in shares)
    return {"gauge": gauge, "speed": speed, "proving": proving, "nozzle": tools[:count], "recoil": tools[count:]}
