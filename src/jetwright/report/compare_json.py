"""Two ways as JSON for other programs: keys end in their unit, always in bar, L, N, kW, rpm, h."""

import json
from collections.abc import Mapping
from typing import Any

from jetwright import units
from jetwright.plan.compare import Comparison, Figures, Way
from jetwright.report.plan_json import limits_facts
from jetwright.report.work_json import kept

HOUR = 3600.0
KEYS: Mapping[str, tuple[str, float]] = {
    "pump_pressure": ("pump_pressure_bar", units.to(1.0, "bar")),
    "pump_speed": ("pump_speed_rpm", units.to(1.0, "rpm")),
    "engine_speed": ("engine_speed_rpm", units.to(1.0, "rpm")),
    "bypass_open": ("bypass_open_share", 1.0),
    "spill": ("spill_share", 1.0),
    "nozzle": ("nozzle_bar", units.to(1.0, "bar")),
    "flow": ("flow_l_min", units.to(1.0, "L/min")),
    "jet_power": ("jet_power_kw", units.to(1.0, "kW")),
    "jet_share": ("jet_share", 1.0),
    "hose_loss": ("hose_loss_bar", units.to(1.0, "bar")),
    "recoil": ("recoil_n", 1.0),
    "engine_load": ("engine_load", 1.0),
    "water_rate": ("water_l_min", units.to(1.0, "L/min")),
    "waste_rate": ("waste_l_h", units.to(1.0, "L/h")),
    "fuel_rate": ("fuel_l_h", units.to(1.0, "L/h")),
    "def_rate": ("def_l_h", units.to(1.0, "L/h")),
    "co2_rate": ("co2_kg_h", HOUR),
    "trigger": ("trigger_h", 1.0 / HOUR),
    "total": ("total_h", 1.0 / HOUR),
    "crew": ("crew_h", 1.0 / HOUR),
    "water": ("water_l", units.to(1.0, "L")),
    "waste": ("waste_l", units.to(1.0, "L")),
    "waste_fills": ("waste_fills", 1.0),
    "fuel": ("fuel_l", units.to(1.0, "L")),
    "def": ("def_l", units.to(1.0, "L")),
    "co2": ("co2_kg", 1.0),
    "cost": ("cost_total", 1.0),
    "area_rate": ("cleaned_m2_h", HOUR),
    "length_rate": ("cleaned_m_h", HOUR),
    "area_cost": ("cost_a_m2", 1.0),
    "length_cost": ("cost_a_m", 1.0),
}
"""Key of each figure, and how many of its unit are in one of SI."""


def compare_json(told: Comparison) -> str:
    """Two ways as JSON text. [-]

    Parameters
    ----------
    told : Comparison
        The two ways. [-]

    Raises
    ------
    ValueError
        Where a number is not finite: JSON has no such number.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.compare import compare
    >>> from jetwright.rig.description import Target
    >>> from jetwright.rig.example import JOB
    >>> softer = replace(JOB.task[0], name="Softer", target=Target(nozzle_pressure=600e5))
    >>> job = replace(JOB, task=(JOB.task[0], softer))
    >>> json.loads(compare_json(compare(job, basis_for(job), 0, 1)))["difference"]["nozzle_bar"]
    -250.0

    References
    ----------
    Our own contract; JSON is RFC 8259.
    """
    facts = limits_facts(told.plan)
    limits = {
        id(limit): said
        for task, told_task in zip(told.plan.tasks, facts["tasks"], strict=True)
        for limit, said in zip(task.limits, told_task["limits"], strict=True)
    }
    text = {
        "title": facts["title"],
        "rule_set": facts["rule_set"],
        "day": facts["day"],
        "a": _way(told.one),
        "b": _way(told.other),
        "difference": _figures(told.difference),
        "limits": [
            {
                "a": None if pair.one is None else limits[id(pair.one)],
                "b": None if pair.other is None else limits[id(pair.other)],
            }
            for pair in told.limits
        ],
    }
    return json.dumps(text, allow_nan=False)


def _way(way: Way) -> dict[str, Any]:
    cost = way.task.cost
    return {
        "place": way.place,
        "name": way.task.name,
        "verdict": way.task.verdict,
        "bypass": way.task.setting.bypass,
        "held_by": way.holder,
        "forward": way.forward,
        **_figures(way.figures),
        "currency": None if cost is None else cost.currency,
        "cost_missing": [] if cost is None else list(cost.missing),
        "worn": [{"tip": tip, "count": kept(count)} for tip, count in way.worn.items()],
    }


def _figures(figures: Figures) -> dict[str, float | None]:
    return {
        key: None if (value := figures[name]) is None else kept(value * factor) for name, (key, factor) in KEYS.items()
    }
