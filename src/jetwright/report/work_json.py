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
        "pressure_bar": kept(inlet.pressure, "bar"),
        "speed_m_s": kept(inlet.speed, "m/s"),
        "npsh_available_m": kept(inlet.npsh, "m"),
        "npsh_needed_m": kept(inlet.needed, "m"),
        "acceleration_head_m": kept(inlet.acceleration_head, "m"),
        "acceleration_constant": inlet.constant,
        "cover_mm": kept(inlet.cover, "mm"),
        "cover_needed_mm": kept(inlet.cover_needed, "mm"),
        "hydrant_l_min": kept(inlet.hydrant, "L/min"),
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
        "trigger_h": kept(usage.trigger, "h"),
        "total_h": kept(usage.total, "h"),
        "crew_h": kept(usage.crew, "h"),
        "water_l": kept(usage.water, "L"),
        "waste_l": kept(usage.waste, "L"),
        "waste_fills": kept(usage.waste_fills),
        "fuel_l": kept(usage.fuel, "L"),
        "def_l": kept(usage.def_fluid, "L"),
        "co2_kg": kept(usage.co2),
        "fuel_lasts_h": kept(usage.fuel_lasts, "h"),
        "def_lasts_h": kept(usage.def_lasts, "h"),
        "water_lasts_min": kept(usage.water_lasts, "min"),
        "worn": [{"tip": tip, "count": kept(count)} for tip, count in usage.worn],
        "by_extent_h": kept(usage.by_extent, "h"),
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


def kept(value: float | None, unit: str = "") -> float | None:
    """A number as JSON keeps it; None stays None. [the unit]

    Parameters
    ----------
    value : float | None
        The quantity. [SI]
    unit : str
        The unit it is kept in; "" for a number as it stands. [-]

    Examples
    --------
    >>> kept(12345678.9e5 / 3.0, "bar"), kept(1.0 / 3.0), kept(None, "N")
    (4115226.3, 0.33333333, None)

    References
    ----------
    Our own contract.
    """
    return None if value is None else float(f"{units.to(value, unit) if unit else value:.{DIGITS}g}")


def _times(factor: float, value: float | None) -> float | None:
    return None if value is None else kept(factor * value)


def _jet_facts(jet: JetAtTarget) -> dict[str, Any]:
    return {
        "branch": jet.branch,
        "tip": jet.tip,
        "count": jet.count,
        "standoff_mm": kept(jet.standoff, "mm"),
        "power_kw": kept(jet.power, "kW"),
        "force_n": kept(jet.force, "N"),
        "pressure_bar": None if jet.pressure is None else [kept(end, "bar") for end in jet.pressure],
        "width_mm": None if jet.width is None else [kept(end, "mm") for end in jet.width],
        "width_estimated": jet.estimated,
    }


def _coverage_facts(cover: Coverage) -> dict[str, Any]:
    facts = {
        "branch": cover.branch,
        "tracks": cover.tracks,
        "width_mm": kept(cover.width, "mm"),
        "travel_m_min": _times(60.0, cover.travel),
        "turns_rpm": kept(cover.turns, "rpm"),
        "advance_mm": kept(cover.advance, "mm"),
        "least_turns_rpm": kept(cover.least_turns, "rpm"),
        "fastest_m_min": _times(60.0, cover.fastest),
        "surface_speed_m_s": kept(cover.surface_speed, "m/s"),
        "torque_n_m": kept(cover.torque, "N m"),
        "free_turns_rpm": kept(cover.free_turns, "rpm"),
        "energy_mj_m2": _times(1e-6, cover.energy),
    }
    return facts | {"rate_m_h" if cover.along else "rate_m2_h": _times(3600.0, cover.rate)}


def _pull_facts(one: Pull) -> dict[str, Any]:
    return {
        "branch": one.branch,
        "pull_n": kept(one.pull, "N"),
        "pull_ends_n": None if one.ends is None else [kept(end, "N") for end in one.ends],
        "wall_n": kept(one.wall, "N"),
        "friction": list(one.friction),
        "hose_m": kept(one.hose, "m"),
        "reach_m": None if one.reach is None else [kept(end, "m") for end in one.reach],
        "needed_m": kept(one.needed, "m"),
        "enough": one.enough,
        "piston_n": kept(one.piston, "N"),
        "piston_most_n": kept(one.most, "N"),
        "blocked_bar": kept(one.blocked, "bar"),
    }


def _line_facts(line: CostLine) -> dict[str, Any]:
    return {
        "what": line.what,
        "about": line.about,
        "amount": kept(line.amount),
        "unit": AMOUNTS[line.what],
        "price": line.price,
        "money": line.money,
    }
