"""A plan as JSON for other programs: keys end in their unit, always in bar, L/min, mm, N, kW, rpm."""

import json
import math
from typing import Any

from jetwright import units
from jetwright.limits.limit import Cure, Limit
from jetwright.limits.rules import RuleSet
from jetwright.plan.answer import Plan, RunItem, StepAt, TakenAs, TaskPlan, ToolState
from jetwright.report.figures import USUAL
from jetwright.report.fit import fit_facts
from jetwright.report.remedies import change_words, remedy_words
from jetwright.report.steps import step_words
from jetwright.report.wording import release_words, taken_words
from jetwright.report.work_json import inlet_facts, usage_facts, work_facts
from jetwright.solve.states import TriggerState

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
    >>> import datetime
    >>> plan_json(Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2)))[:17]
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
    >>> import datetime
    >>> list(plan_facts(Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2))))
    ['title', 'rule_set', 'day', 'tasks']

    References
    ----------
    Our own contract.
    """
    return head_facts(plan) | {"tasks": [_task(task) for task in plan.tasks]}


def limits_facts(plan: Plan) -> dict[str, Any]:
    """The limits alone, task by task. [-]

    Parameters
    ----------
    plan : Plan
        The answer. [-]

    Examples
    --------
    >>> import datetime
    >>> list(limits_facts(Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2))))
    ['title', 'rule_set', 'day', 'tasks']

    References
    ----------
    Our own contract.
    """
    tasks = [
        {
            "name": task.name,
            "verdict": task.verdict,
            "limits": [limit_facts(limit) for limit in task.limits],
            "cures_cut": task.cures_cut,
        }
        for task in plan.tasks
    ]
    return head_facts(plan) | {"tasks": tasks}


def limits_json(plan: Plan) -> str:
    """The limits alone as JSON text. [-]

    Parameters
    ----------
    plan : Plan
        The answer. [-]

    Raises
    ------
    ValueError
        Where a number is not finite.

    Examples
    --------
    >>> import datetime
    >>> limits_json(Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2)))[:17]
    '{"title": "Bund",'

    References
    ----------
    As `plan_json`.
    """
    return json.dumps(limits_facts(plan), allow_nan=False)


def head_facts(plan: Plan) -> dict[str, Any]:
    """What the JSON of a plan and of its readings begins with. [-]

    Parameters
    ----------
    plan : Plan
        Title, rules and day. [-]

    Examples
    --------
    >>> import datetime
    >>> list(head_facts(Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2))))
    ['title', 'rule_set', 'day']

    References
    ----------
    Our own contract.
    """
    return {"title": plan.title, "rule_set": _rules(plan.rules), "day": plan.day.isoformat()}


def _rules(rules: RuleSet) -> dict[str, Any]:
    looser = []
    for one in rules.looser:
        unit = USUAL.get(one.kept.quantity, "")
        asked, kept = (_in(unit, value) if unit else _bare(value) for value in (one.asked, one.kept.value))
        looser.append(
            {"id": one.id, "asked": asked, "kept": kept, "unit": unit, "source": one.kept.source, "by": one.by}
        )
    return {
        "name": rules.name,
        "version": rules.version,
        "says": rules.says,
        "verified_share": _number(rules.verified_share),
        "looser": looser,
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


def _pair(unit: str, pair: tuple[float, float] | None) -> list[float | None] | None:
    return None if pair is None else [_in(unit, value) for value in pair]


def _task(task: TaskPlan) -> dict[str, Any]:
    tolerance = task.tolerance
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
            "tolerance": None
            if tolerance is None
            else {
                "pump_pressure_bar": _pair("bar", tolerance.pump_pressure),
                "pump_speed_rpm": _pair("rpm", tolerance.pump_speed),
                "gauge_error_bar": _in("bar", tolerance.gauge_error),
                "recoil_n": [_in("N", push) for push in tolerance.recoil],
                "nozzle_bar": [_in("bar", pressure) for pressure in tolerance.nozzle],
            },
        },
        "proving_point": {
            "pump_speed_rpm": _in("rpm", proving.pump_speed),
            "bypass_area_mm2": _in("mm2", proving.bypass_area),
            "gauge_bar": _in("bar", proving.gauge),
            "band_bar": _pair("bar", proving.band),
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
        "run_up": [_step(step) for step in task.run_up],
        "release": None
        if task.release is None
        else {
            "gauge_bar": _in("bar", task.release.gauge),
            "gun_flow_l_min": _in("L/min", task.release.gun_flow),
            "what": release_words(task.release),
            "code": task.release.what,
        },
        "states": [_state(state, task.density) for state in task.states],
        "limits": [limit_facts(limit) for limit in task.limits],
        "cures_cut": task.cures_cut,
        "taken_as": [_taken(taken) for taken in task.taken_as],
    }
    if setting.opening_pressure is not None:
        facts["setting"]["opening_pressure_bar"] = _in("bar", setting.opening_pressure)
    if task.left is not None:
        facts["left"] = {
            "task": task.left.task,
            "pump_speed_rpm": _in("rpm", task.left.pump_speed),
            "bypass_area_mm2": _in("mm2", task.left.bypass_area),
            "gauge_bar": _in("bar", task.left.gauge),
            "relief_opens": task.left.relief_opens,
            "recoil_n": [_in("N", push) for push in task.left.recoil],
        }
    if task.restraints is not None:
        facts["restraints"] = {"whip_checks": task.restraints.whip_checks, "shrouds": task.restraints.shrouds}
    if task.water is not None:
        facts["water"] = {"lasts_min": _in("min", task.water.lasts), "short_l_min": _in("L/min", task.water.short)}
    if task.reach is not None:
        facts["reaches"] = {
            "pump_speed_rpm": _in("rpm", task.reach.pump_speed),
            "pump_pressure_bar": _in("bar", task.reach.pump_pressure),
            "nozzle_bar": _in("bar", task.reach.nozzle),
            "flow_l_min": _in("L/min", task.reach.flow),
        }
    facts["inlet"] = inlet_facts(task) or None
    facts |= work_facts(task)
    facts["whole_task"] = usage_facts(task) or None
    facts["fit"] = None if task.fit is None else fit_facts(task.fit)
    return facts


def _step(step: StepAt) -> dict[str, Any]:
    act, why = step_words(step)
    facts: dict[str, Any] = {
        "step": act,
        "why": why,
        "pump_speed_rpm": _in("rpm", step.pump_speed),
        "bypass": step.bypass,
        "gauge_bar": _pair("bar", step.gauge),
        "id": step.id,
        "order": step.order,
        "who": step.who,
        "bypass_area_mm2": _in("mm2", step.bypass_area),
        "turns": _bare(step.turns),
        "push_n": _in("N", step.push),
    }
    openings = step.facts.get("openings")
    if isinstance(openings, tuple):
        facts["openings"] = [
            {"bypass_area_mm2": _in("mm2", area), "turns": _bare(turns), "gauge_bar": _in("bar", gauge)}
            for area, turns, gauge in openings
        ]
    return facts


def _state(state: TriggerState, density: float | None) -> dict[str, Any]:
    def flow(mass: float) -> float | None:
        return None if density is None else _in("L/min", mass / density)

    return {
        "held": list(state.held),
        "pump_pressure_bar": _in("bar", state.pump_pressure),
        "relief_opens": state.pump_pressure is None or state.relief_flow > 0.0,
        "bypass_flow_l_min": flow(state.bypass_flow),
        "unloaded": state.unloaded,
        "tools": [
            {
                "branch": number,
                "inlet_bar": _in("bar", tool.inlet),
                "nozzle_bar": _in("bar", tool.nozzle),
                "flow_l_min": flow(tool.jets),
                "recoil_n": _in("N", math.hypot(tool.along, tool.across)),
            }
            for number, tool in enumerate(state.tools, start=1)
        ],
    }


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


def limit_facts(limit: Limit) -> dict[str, Any]:
    """A limit as the JSON's keys and values, in order; value and bound are in the unit beside them. [-]

    Parameters
    ----------
    limit : Limit
        As judged. [-]

    Examples
    --------
    >>> from jetwright.limits.limit import judge
    >>> facts = limit_facts(judge("pump.speed", 9.0, 8.0, "speed", "plate"))
    >>> facts["value"], facts["bound"], facts["unit"]
    (540.0, 480.0, 'rpm')

    References
    ----------
    Our own contract.
    """
    unit = USUAL.get(limit.quantity, "")
    facts: dict[str, Any] = {
        "id": limit.id,
        "verdict": limit.verdict,
        "value": _in(unit, limit.value) if unit else _bare(limit.value),
        "bound": _in(unit, limit.bound) if unit else _bare(limit.bound),
        "unit": unit,
        "quantity": limit.quantity,
        "margin": _bare(limit.margin),
        "source": limit.source,
        "verified": limit.verified,
        "remedy": remedy_words(limit),
    }
    if limit.about:
        facts["about"] = limit.about
    if limit.least:
        facts["least"] = True
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
        "from": _end(cure.before, unit),
        "to": _end(cure.after, unit),
        "unit": unit,
        "says": change_words(cure),
    }
    for name, value in cure.result.items():
        key, result_unit = _RESULTS.get(name, (name, ""))
        facts[key] = _in(result_unit, value) if result_unit else _bare(value)
    if cure.also:
        facts["also"] = [_cure(also) for also in cure.also]
    return facts


def _end(value: float | str, unit: str) -> float | str | None:
    if isinstance(value, str):
        return value
    return _in(unit, value) if unit else _bare(value)
