"""The best tips out of a box as JSON for other programs: keys end in their unit."""

import json
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from jetwright import units
from jetwright.limits.limit import Limit
from jetwright.plan.tip_answer import Edge, Nothing, Refusal, TipChoice, TipsPlan, Way
from jetwright.report.plan_json import DIGITS
from jetwright.report.remedies import remedy_words
from jetwright.report.terminal import GLUE
from jetwright.report.tips_table import against_words, ports_lines, refusal_words, table_words
from jetwright.report.wording import _

TARGETS = {
    "nozzle_pressure": ("nozzle_pressure_bar", "bar"),
    "pump_pressure": ("pump_pressure_bar", "bar"),
    "flow": ("flow_l_min", "L/min"),
}
"""By kind of target its key and unit."""


def tips_json(plan: TipsPlan, written: Mapping[str, Any], files: Mapping[str, str] = MappingProxyType({})) -> str:
    """The best tips as JSON text. [-]

    Parameters
    ----------
    plan : TipsPlan
        The answer. [-]
    written : Mapping
        The job file's tables as written. [-]
    files : Mapping
        By tool the file in which it stands. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.plan.tips import tips_for_job
    >>> from jetwright.rig.example import JOB
    >>> told = json.loads(tips_json(tips_for_job(JOB, basis_for(JOB), Wish()), {}))
    >>> told["tasks"][0]["best"][0]["tips"], told["tasks"][0]["proven"]
    ([['R12']], True)

    References
    ----------
    Our own contract; JSON is RFC 8259, in ASCII.
    """
    facts = {
        "title": plan.title,
        "rule_set": {"name": plan.rules.name, "version": plan.rules.version},
        "day": plan.basis.day.isoformat(),
        "tasks": [_task(choice, written, files) for choice in plan.tasks],
    }
    return json.dumps(facts, allow_nan=False)


def _in(unit: str, value: float | None) -> float | None:
    return None if value is None else float(f"{units.to(value, unit):.{DIGITS}g}")


def _task(choice: TipChoice, written: Mapping[str, Any], files: Mapping[str, str]) -> dict[str, Any]:
    kind, value, at = choice.target
    best = choice.best[0] if choice.best else None
    facts: dict[str, Any] = {
        "name": choice.name,
        "verdict": choice.verdict,
        "tool": choice.tool,
        "branch": choice.branch,
        "branches": list(choice.branches),
        "target": {**_target(kind, value), "at": at},
        "least_pull_n": _in("N", choice.wish.least_pull),
        "least_torque_n_m": _in("N m", choice.wish.least_torque),
        "places": [
            {
                "where": places.where,
                "angle_deg": _in("deg", places.angle),
                "radius_mm": _in("mm", places.radius),
                "skew_deg": _in("deg", places.skew),
                "count": places.count,
                "tips_each": places.jets,
            }
            for places in choice.places
        ],
        "on_offer": [
            {
                "tip": offer.name,
                "count": offer.pieces,
                "carried_beyond_count": offer.carried,
                "bore_mm": _in("mm", offer.bore),
                "cd_area_mm2": _in("mm2", offer.area),
            }
            for offer in choice.offers
        ],
        "left_out": [{"tip": one.name, "why": one.why} for one in choice.left_out],
        "ways": choice.ways,
        "judged": choice.judged,
        "proven": choice.proven,
        "best": [_way(way, against_words(way, choice.best[0])) for way in choice.best],
        "refused": [_refusal(refusal) for refusal in choice.refused],
        "refused_between": choice.between,
        "not_looked_at": {
            "smaller": _edge(choice.small),
            "larger": _edge(choice.large),
            "push_above_n": _in("N", choice.cap),
        },
        "ports": "" if best is None else "\n".join(ports_lines(choice, best, written)),
        "ports_in": {"file": files.get(choice.tool), "table": table_words(choice.tool)},
        "also_in": list(choice.also_in),
    }
    if choice.nothing is not None:
        facts["nothing"] = _nothing(choice.nothing, kind)
    return facts


def _way(way: Way, against: str) -> dict[str, Any]:
    return {
        "tips": [list(chosen) for chosen in way.tips],
        "verdict": way.verdict,
        "jet_power_kw": _in("kW", way.jet_power),
        "flow_l_min": _in("L/min", way.flow),
        "nozzle_bar": _in("bar", way.nozzle),
        "jet_speed_m_s": _in("m/s", way.jet_speed),
        "pump_pressure_bar": _in("bar", way.pump_pressure),
        "pump_speed_rpm": _in("rpm", way.pump_speed),
        "recoil_n": _in("N", way.recoil),
        "recoil_side_n": _in("N", way.recoil_side),
        "torque_n_m": _in("N m", way.torque),
        "ports": [
            {
                "tip": port.tip,
                "count": port.count,
                "angle_deg": _in("deg", port.angle),
                "radius_mm": _in("mm", port.radius),
                "skew_deg": _in("deg", port.skew),
            }
            for port in way.ports
        ],
        "look": [limit.id for limit in way.limits if limit.verdict == "look"],
        "not_judged": [limit.id for limit in way.limits if limit.verdict == "not_judged"],
        "against": against.replace(GLUE, " "),
        "as_now": way.as_now,
    }


def _refusal(refusal: Refusal) -> dict[str, Any]:
    return {"id": refusal.id, "ways": refusal.ways, "says": refusal_words(refusal)}


def _edge(edge: Edge | None) -> dict[str, Any] | None:
    if edge is None:
        return None
    return {"ids": list(edge.ids), "flow_l_min": _in("L/min", edge.flow), "nozzle_bar": _in("bar", edge.nozzle)}


def _target(kind: str, value: float) -> dict[str, Any]:
    key, unit = TARGETS[kind]
    return {key: _in(unit, value)}


def _nothing(nothing: Nothing, kind: str) -> dict[str, Any]:
    return {
        "nearest": None if nothing.way is None else _way(nothing.way, _refused(nothing)),
        "refused": [_refusal(refusal) for refusal in nothing.refusals],
        "limits": [_limit(limit) for limit in nothing.limits],
        "cures_cut": nothing.cut,
        "always": list(nothing.always),
        "bore_mm": _in("mm", nothing.bore),
        "most_pull_n": _in("N", nothing.pull),
        "most_torque_n_m": _in("N m", nothing.torque),
        "instead": [
            {
                "what": one.what,
                "times": float(f"{one.by:.{DIGITS}g}"),
                "tips": [list(chosen) for chosen in one.tips],
                "target": _target(kind, one.target),
            }
            for one in nothing.instead
        ],
    }


def _refused(nothing: Nothing) -> str:
    """What refuses the nearest way, in words."""
    names = dict.fromkeys(refusal_words(refusal) for refusal in nothing.refusals)
    return _("Not allowed: {limits}.").format(limits="; ".join(names))


def _limit(limit: Limit) -> dict[str, Any]:
    return {"id": limit.id, "about": limit.about, "remedy": remedy_words(limit)}
