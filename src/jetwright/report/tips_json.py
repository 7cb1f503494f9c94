"""The best tips out of a box as JSON for other programs: keys end in their unit."""

import json
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from jetwright.limits.limit import Limit
from jetwright.plan.tip_answer import Edge, Nothing, Refusal, TipChoice, TipsPlan, Way
from jetwright.report.remedies import remedy_words
from jetwright.report.terminal import GLUE
from jetwright.report.tips_table import against_words, ports_lines, refusal_words, table_words
from jetwright.report.wording import _
from jetwright.report.work_json import kept

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
        "least_pull_n": kept(choice.wish.least_pull, "N"),
        "least_torque_n_m": kept(choice.wish.least_torque, "N m"),
        "places": [
            {
                "where": places.where,
                "angle_deg": kept(places.angle, "deg"),
                "radius_mm": kept(places.radius, "mm"),
                "skew_deg": kept(places.skew, "deg"),
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
                "bore_mm": kept(offer.bore, "mm"),
                "cd_area_mm2": kept(offer.area, "mm2"),
            }
            for offer in choice.offers
        ],
        "left_out": [{"tip": one.name, "why": one.why} for one in choice.left_out],
        "not_listed": [{"tip": one.name, "why": one.why, "ids": list(one.ids)} for one in choice.missed],
        "ways": choice.ways,
        "judged": choice.judged,
        "proven": choice.proven,
        "best": [_way(way, against_words(way, choice.best[0])) for way in choice.best],
        "refused": [_refusal(refusal) for refusal in choice.refused],
        "refused_between": choice.between,
        "not_looked_at": {
            "smaller": _edge(choice.small),
            "larger": _edge(choice.large),
            "push_above_n": kept(choice.cap, "N"),
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
        "jet_power_kw": kept(way.jet_power, "kW"),
        "flow_l_min": kept(way.flow, "L/min"),
        "nozzle_bar": kept(way.nozzle, "bar"),
        "jet_speed_m_s": kept(way.jet_speed, "m/s"),
        "pump_pressure_bar": kept(way.pump_pressure, "bar"),
        "pump_speed_rpm": kept(way.pump_speed, "rpm"),
        "recoil_n": kept(way.recoil, "N"),
        "recoil_side_n": kept(way.recoil_side, "N"),
        "torque_n_m": kept(way.torque, "N m"),
        "ports": [
            {
                "tip": port.tip,
                "count": port.count,
                "angle_deg": kept(port.angle, "deg"),
                "radius_mm": kept(port.radius, "mm"),
                "skew_deg": kept(port.skew, "deg"),
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
    return {"ids": list(edge.ids), "flow_l_min": kept(edge.flow, "L/min"), "nozzle_bar": kept(edge.nozzle, "bar")}


def _target(kind: str, value: float) -> dict[str, Any]:
    key, unit = TARGETS[kind]
    return {key: kept(value, unit)}


def _nothing(nothing: Nothing, kind: str) -> dict[str, Any]:
    return {
        "nearest": None if nothing.way is None else _way(nothing.way, _refused(nothing)),
        "refused": [_refusal(refusal) for refusal in nothing.refusals],
        "limits": [_limit(limit) for limit in nothing.limits],
        "cures_cut": nothing.cut,
        "always": list(nothing.always),
        "bore_mm": kept(nothing.bore, "mm"),
        "most_pull_n": kept(nothing.pull, "N"),
        "most_torque_n_m": kept(nothing.torque, "N m"),
        "instead": [
            {
                "what": one.what,
                "times": kept(one.by),
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
