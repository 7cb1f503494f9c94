"""A plan as JSON for other programs: keys end in their unit, always in bar, L/min, mm, N, kW, rpm."""

import json
import math
from typing import Any

from jetwright import units
from jetwright.limits.limit import Cure, Limit
from jetwright.plan.answer import Plan, RunItem, TakenAs, TaskPlan, ToolState
from jetwright.report.figures import USUAL
from jetwright.report.wording import remedy_words, taken_words

DIGITS = 8
"""Significant digits kept; a number finer than any gauge, without a float's tail."""

NOTHING = 1e-9
"""Smaller than this in the unit printed is zero."""


def plan_json(plan: Plan) -> str:
    """The plan as JSON text. [-]

    Parameters
    ----------
    plan : Plan
        The answer. [-]

    Raises
    ------
    ValueError
        Where a number of the plan is not finite: JSON has no such number.

    Examples
    --------
    >>> plan_json(Plan("Bund", "eu-generic", "0.1", ()))[:17]
    '{"title": "Bund",'

    References
    ----------
    Our own contract; JSON is RFC 8259. The text is ASCII, so that no terminal's encoding can spoil it.
    """
    return json.dumps(plan_facts(plan), allow_nan=False)


def plan_facts(plan: Plan) -> dict[str, Any]:
    """The plan as the JSON's keys and values, in order. [-]

    Parameters
    ----------
    plan : Plan
        The answer. [-]

    Examples
    --------
    >>> list(plan_facts(Plan("Bund", "eu-generic", "0.1", ())))
    ['title', 'rule_set', 'tasks']

    References
    ----------
    Our own contract.
    """
    return {
        "title": plan.title,
        "rule_set": {"name": plan.rule_set, "version": plan.rule_set_version},
        "tasks": [_task(task) for task in plan.tasks],
    }


def _number(value: float) -> float:
    if value == 0.0 or not math.isfinite(value):
        return value + 0.0
    if abs(value) < NOTHING:
        return 0.0
    return round(value, DIGITS - 1 - math.floor(math.log10(abs(value))))


def _in(unit: str, value: float | None) -> float | None:
    return None if value is None else _number(units.to(value, unit))


def _bare(value: float | None) -> float | None:
    return None if value is None else _number(value)


def _task(task: TaskPlan) -> dict[str, Any]:
    setting, proving, power, use = task.setting, task.proving_point, task.power, task.use
    facts: dict[str, Any] = {
        "name": task.name,
        "verdict": task.verdict,
        "setting": {
            "pump_speed_rpm": _in("rpm", setting.pump_speed),
            "engine_speed_rpm": _in("rpm", setting.engine_speed),
            "pump_pressure_bar": _in("bar", setting.pump_pressure),
            "pump_flow_l_min": _in("L/min", setting.pump_flow),
            "bypass": setting.bypass,
            "bypass_flow_l_min": _in("L/min", setting.bypass_flow),
            "bypass_area_mm2": _in("mm2", setting.bypass_area),
            "bypass_open_share": _bare(setting.bypass_open_share),
        },
        "proving_point": {
            "pump_speed_rpm": _in("rpm", proving.pump_speed),
            "bypass_area_mm2": _in("mm2", proving.bypass_area),
            "gauge_bar": _in("bar", proving.gauge),
        },
        "tools": [_tool(tool) for tool in task.tools],
        "hose_run": [_item(item) for item in task.hose_run],
        "power": None
        if power is None
        else {
            "hydraulic_kw": _in("kW", power.hydraulic),
            "shaft_kw": _in("kW", power.shaft),
            "engine_kw": _in("kW", power.engine),
            "engine_load": _bare(power.engine_load),
        },
        "use": None
        if use is None
        else {
            "water_l_min": _in("L/min", use.water),
            "fuel_l_h": _in("L/h", use.fuel),
            "def_l_h": _in("L/h", use.def_fluid),
            "bypass_return_deg_c": _in("degC", use.bypass_temperature),
        },
        "limits": [_limit(limit) for limit in task.limits],
        "taken_as": [_taken(taken) for taken in task.taken_as],
    }
    if setting.opening_pressure is not None:
        facts["setting"]["opening_pressure_bar"] = _in("bar", setting.opening_pressure)
    if task.reach is not None:
        facts["reaches"] = {
            "pump_speed_rpm": _in("rpm", task.reach.pump_speed),
            "pump_pressure_bar": _in("bar", task.reach.pump_pressure),
            "nozzle_bar": _in("bar", task.reach.nozzle),
            "flow_l_min": _in("L/min", task.reach.flow),
        }
    return facts


def _tool(tool: ToolState) -> dict[str, Any]:
    return {
        "branch": tool.branch,
        "tool": tool.tool,
        "inlet_bar": _in("bar", tool.inlet),
        "nozzle_bar": _in("bar", tool.nozzle),
        "flow_l_min": _in("L/min", tool.flow),
        "leak_l_min": _in("L/min", tool.leak),
        "recoil_n": _in("N", tool.recoil),
        "recoil_side_n": _in("N", tool.recoil_side),
        "jet_power_kw": _in("kW", tool.jet_power),
        "jets": [
            {
                "tip": jet.tip,
                "count": jet.count,
                "bore_mm": _in("mm", jet.bore),
                "flow_l_min": _in("L/min", jet.flow),
                "speed_m_s": _in("m/s", jet.speed),
            }
            for jet in tool.jets
        ],
    }


def _item(item: RunItem) -> dict[str, Any]:
    return {
        "branch": item.branch,
        "item": item.item,
        "in_bar": _in("bar", item.inlet),
        "out_bar": _in("bar", item.outlet),
        "loss_bar": _in("bar", item.inlet - item.outlet),
        "speed_m_s": _in("m/s", item.speed),
    }


def _taken(taken: TakenAs) -> dict[str, str]:
    value, why = taken_words(taken)
    return {"key": taken.key, "value": value, "why": why}


def _limit(limit: Limit) -> dict[str, Any]:
    unit = USUAL.get(limit.quantity, "")
    facts: dict[str, Any] = {
        "id": limit.id,
        "verdict": limit.verdict,
        "value": _in(unit, limit.value) if unit else _bare(limit.value),
        "bound": _in(unit, limit.bound) if unit else _bare(limit.bound),
        "unit": unit,
        "margin": _bare(limit.margin),
        "source": limit.source,
        "verified": limit.verified,
        "remedy": remedy_words(limit),
    }
    if limit.cures:
        facts["cures"] = [_cure(cure) for cure in limit.cures]
    if limit.missing:
        facts["missing"] = limit.missing
    return facts


_RESULTS = {
    "pump_speed": ("pump_speed_rpm", "rpm"),
    "pump_pressure": ("pump_pressure_bar", "bar"),
    "nozzle": ("nozzle_bar", "bar"),
    "flow": ("flow_l_min", "L/min"),
}


def _cure(cure: Cure) -> dict[str, Any]:
    unit = USUAL.get(cure.quantity, "")
    facts: dict[str, Any] = {
        "kind": cure.kind,
        "key": cure.key,
        "from": _in(unit, cure.before) if unit else _bare(cure.before),
        "to": _in(unit, cure.after) if unit else _bare(cure.after),
        "unit": unit,
    }
    for name, value in cure.result.items():
        key, result_unit = _RESULTS.get(name, (name, ""))
        facts[key] = _in(result_unit, value) if result_unit else _bare(value)
    return facts
