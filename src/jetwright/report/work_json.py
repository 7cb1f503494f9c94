"""What the inlet, the jets, use and cost of a task are to other programs: JSON's keys and values."""

from collections.abc import Iterable
from typing import Any

from jetwright import units
from jetwright.plan.answer import CostLine, Coverage, JetAtTarget, Pull, TaskPlan
from jetwright.report.goal_words import grade_words

DIGITS = 8
"""Significant digits kept."""

AMOUNTS = {"water": "m3", "waste": "m3", "fuel": "L", "def": "L", "crew": "h", "unit": "h", "tip": ""}
"""What the amount of a cost's line is counted in: as its price is given."""


def inlet_facts(task: TaskPlan) -> dict[str, Any]:
    """The inlet side as the JSON's keys and values; empty where a task has no setting. [-]

    Parameters
    ----------
    task : TaskPlan
        The plan of a task. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.answer import InletSide
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.example import JOB
    >>> task = replace(plan_job(JOB, basis_for(JOB)).tasks[0], inlet=InletSide(3e5, hydrant=4e-3))
    >>> facts = inlet_facts(task)
    >>> facts["pressure_bar"], facts["hydrant_l_min"], facts["npsh_available_m"]
    (3.0, 240.0, None)

    References
    ----------
    Our own contract.
    """
    inlet = task.inlet
    if inlet is None:
        return {}
    return {
        "pressure_bar": _in("bar", inlet.pressure),
        "speed_m_s": _in("m/s", inlet.speed),
        "npsh_available_m": _in("m", inlet.npsh),
        "npsh_needed_m": _in("m", inlet.needed),
        "acceleration_head_m": _in("m", inlet.acceleration_head),
        "acceleration_constant": inlet.constant,
        "cover_mm": _in("mm", inlet.cover),
        "cover_needed_mm": _in("mm", inlet.cover_needed),
        "hydrant_l_min": _in("L/min", inlet.hydrant),
    }


def work_facts(task: TaskPlan) -> dict[str, Any]:
    """What the jets do, as JSON's keys and values; what is not known has no key. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> cover = (Coverage(1, 2, width=0.3, travel=0.1, rate=0.0162),)
    >>> proving = ProvingPoint(2.0, 0.0, 1e7)
    >>> task = TaskPlan("Bund", "look", setting, proving, (), (), None, None, (), (), coverage=cover)
    >>> work_facts(task)["coverage"][0]["rate_m2_h"]
    58.32

    References
    ----------
    Our own contract.
    """
    facts: dict[str, Any] = {}
    if task.jets:
        facts["jets_at_target"] = [_jet_facts(jet) for jet in task.jets]
    if task.coverage:
        facts["coverage"] = [_coverage_facts(cover) for cover in task.coverage]
    if task.pulls:
        facts["pulls"] = [_pull_facts(one) for one in task.pulls]
    if task.goal is not None:
        facts["goal"] = {
            "grade": task.goal.grade,
            "edition": task.goal.edition,
            "says": grade_words(task.goal.says) if task.goal.says else None,
            "nearest": task.goal.nearest or None,
            "source": task.goal.source or None,
            "verified": task.goal.verified,
            "called": called_facts(task.goal.classes),
        }
    return facts


def usage_facts(task: TaskPlan) -> dict[str, Any]:
    """What a task uses and costs as JSON's keys and values; a price's unit stands in its line; {} where not known. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting, Usage
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> usage = Usage(5400.0, water=2.25)
    >>> task = TaskPlan("Plates", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), (), usage=usage)
    >>> facts = usage_facts(task)
    >>> facts["trigger_h"], facts["water_l"], facts["fuel_l"]
    (1.5, 2250.0, None)

    References
    ----------
    Our own contract.
    """
    usage, cost = task.usage, task.cost
    if usage is None:
        return {}
    return {
        "trigger_h": _in("h", usage.trigger),
        "total_h": _in("h", usage.total),
        "crew_h": _in("h", usage.crew),
        "water_l": _in("L", usage.water),
        "waste_l": _in("L", usage.waste),
        "waste_fills": _kept(usage.waste_fills),
        "fuel_l": _in("L", usage.fuel),
        "def_l": _in("L", usage.def_fluid),
        "co2_kg": _kept(usage.co2),
        "fuel_lasts_h": _in("h", usage.fuel_lasts),
        "def_lasts_h": _in("h", usage.def_lasts),
        "water_lasts_min": _in("min", usage.water_lasts),
        "worn": [{"tip": tip, "count": _kept(count)} for tip, count in usage.worn],
        "by_extent_h": _in("h", usage.by_extent),
        "missing": list(usage.missing),
        "cost": None
        if cost is None
        else {
            "currency": cost.currency,
            "lines": [_line_facts(line) for line in cost.lines],
            "total": cost.total if cost.lines else None,
            "missing": list(cost.missing),
        },
    }


def called_facts(terms: Iterable[tuple[str, str, bool]]) -> list[dict[str, object]]:
    """What each edition calls a pressure, as JSON's keys and values. [-]

    Parameters
    ----------
    terms : Iterable
        Edition, term, whether its borders were read. [-]

    Examples
    --------
    >>> called_facts([("ISO 8504-5:2024", "", False)])
    [{'edition': 'ISO 8504-5:2024', 'term': None, 'verified': False}]

    References
    ----------
    Our own contract.
    """
    return [{"edition": edition, "term": term or None, "verified": read} for edition, term, read in terms]


def _kept(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.{DIGITS}g}")


def _in(unit: str, value: float | None) -> float | None:
    return None if value is None else _kept(units.to(value, unit))


def _times(factor: float, value: float | None) -> float | None:
    return None if value is None else _kept(factor * value)


def _jet_facts(jet: JetAtTarget) -> dict[str, Any]:
    return {
        "branch": jet.branch,
        "tip": jet.tip,
        "count": jet.count,
        "standoff_mm": _in("mm", jet.standoff),
        "power_kw": _in("kW", jet.power),
        "force_n": _in("N", jet.force),
        "pressure_bar": None if jet.pressure is None else [_in("bar", end) for end in jet.pressure],
        "width_mm": None if jet.width is None else [_in("mm", end) for end in jet.width],
        "width_estimated": jet.estimated,
    }


def _coverage_facts(cover: Coverage) -> dict[str, Any]:
    facts = {
        "branch": cover.branch,
        "tracks": cover.tracks,
        "width_mm": _in("mm", cover.width),
        "travel_m_min": _times(60.0, cover.travel),
        "turns_rpm": _in("rpm", cover.turns),
        "advance_mm": _in("mm", cover.advance),
        "least_turns_rpm": _in("rpm", cover.least_turns),
        "fastest_m_min": _times(60.0, cover.fastest),
        "surface_speed_m_s": _in("m/s", cover.surface_speed),
        "torque_n_m": _in("N m", cover.torque),
        "free_turns_rpm": _in("rpm", cover.free_turns),
        "energy_mj_m2": _times(1e-6, cover.energy),
    }
    return facts | {"rate_m_h" if cover.along else "rate_m2_h": _times(3600.0, cover.rate)}


def _pull_facts(one: Pull) -> dict[str, Any]:
    return {
        "branch": one.branch,
        "pull_n": _in("N", one.pull),
        "pull_ends_n": None if one.ends is None else [_in("N", end) for end in one.ends],
        "wall_n": _in("N", one.wall),
        "friction": list(one.friction),
        "hose_m": _in("m", one.hose),
        "reach_m": None if one.reach is None else [_in("m", end) for end in one.reach],
        "needed_m": _in("m", one.needed),
        "enough": one.enough,
        "piston_n": _in("N", one.piston),
        "piston_most_n": _in("N", one.most),
        "blocked_bar": _in("bar", one.blocked),
    }


def _line_facts(line: CostLine) -> dict[str, Any]:
    return {
        "what": line.what,
        "about": line.about,
        "amount": _kept(line.amount),
        "unit": AMOUNTS[line.what],
        "price": line.price,
        "money": line.money,
    }
