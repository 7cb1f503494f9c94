"""A change card as JSON for other programs: keys end in their unit, always in bar, mm², N, rpm, m."""

import json
from dataclasses import replace
from typing import Any

from jetwright.plan.change import ChangeCard, Side
from jetwright.report.plan_json import plan_facts
from jetwright.report.steps import first_facts, step_words
from jetwright.report.work_json import kept


def change_json(card: ChangeCard) -> str:
    """The card as JSON text. [-]

    Parameters
    ----------
    card : ChangeCard
        The answer. [-]

    Raises
    ------
    ValueError
        Where a number is not finite: JSON has no such number.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.change import change_card
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, task=(*JOB.task, replace(JOB.task[0], name="Wall", rise=12.0)))
    >>> list(json.loads(change_json(change_card(job, 0, 1, basis_for(job)))))[3:]
    ['first', 'left', 'before', 'after', 'differs', 'touched', 'steps', 'expired', 'task']

    References
    ----------
    Our own contract; JSON is RFC 8259, in ASCII.
    """
    return json.dumps(change_facts(card), allow_nan=False)


def change_facts(card: ChangeCard) -> dict[str, Any]:
    """The card as the JSON's keys and values, in order; `task` and `steps` are as in a plan's JSON. [-]

    Parameters
    ----------
    card : ChangeCard
        The answer. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.change import change_card
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, task=(*JOB.task, replace(JOB.task[0], name="Wall", rise=12.0)))
    >>> change_facts(change_card(job, 0, 1, basis_for(job)))["first"]["pump_speed_rpm"]
    130.0

    References
    ----------
    Our own contract.
    """
    steps = replace(card.task, run_up=(card.first, *card.steps), left=card.left)
    facts = plan_facts(replace(card.plan, tasks=(steps,)))
    [task] = facts.pop("tasks")
    first, *others = task.pop("run_up")
    task.pop("left", None)
    first["step"] = step_words(replace(card.first, facts=first_facts(card.first)))[0]
    return facts | {
        "first": first,
        "left": None if card.left is None else _left(card),
        "before": _side(card.before),
        "after": _side(card.after),
        "differs": list(card.differs),
        "touched": card.touched,
        "steps": others,
        "expired": list(card.expired) if card.readings else [],
        "task": task,
    }


def _left(card: ChangeCard) -> dict[str, Any]:
    left = card.left
    assert left is not None
    return {
        "task": left.task,
        "pump_speed_rpm": kept(left.pump_speed, "rpm"),
        "bypass_area_mm2": kept(left.bypass_area, "mm2"),
        "fastest_rpm": kept(left.fastest, "rpm"),
        "gauge_bar": kept(left.gauge, "bar"),
        "held": left.held,
        "relief_opens": left.relief_opens,
        "relief_bar": kept(card.relief, "bar"),
        "tools": [
            {
                "branch": hold.branch,
                "tool": hold.tool,
                "held_by": hold.by,
                "recoil_n": kept(hold.push, "N"),
                "when": left.when[hold.branch - 1],
                "may_hold": [
                    {"id": limit.id, "bound_n": kept(limit.bound, "N"), "source": limit.source} for limit in hold.limits
                ],
            }
            for hold in card.holds
        ],
        "rated_below": [{"part": key, "rating_bar": kept(rating, "bar")} for key, rating in card.below],
        "unrated": list(card.unrated),
        "object": None
        if card.bears is None
        else {"withstands_bar": kept(card.bears[0], "bar"), "nozzle_bar": kept(card.bears[1], "bar")},
    }


def _side(side: Side) -> dict[str, Any]:
    setting, proving = side.setting, side.proving
    return {
        "name": side.name,
        "place": side.place + 1,
        "verdict": side.verdict,
        "tools": list(side.tools),
        "tips": [
            {"branch": tip.branch, "tip": tip.tip, "count": tip.count, "bore_mm": kept(tip.bore, "mm")}
            for tip in side.tips
        ],
        "hoses": list(side.hoses),
        "fittings": list(side.fittings),
        "run": [list(part) for part in side.run],
        "rise_m": [kept(rise, "m") for rise in side.rise],
        "setting": None
        if setting is None
        else {
            "pump_speed_rpm": kept(setting.pump_speed, "rpm"),
            "bypass": setting.bypass,
            "bypass_area_mm2": kept(setting.bypass_area, "mm2"),
            "opening_pressure_bar": kept(setting.opening_pressure, "bar"),
            "pump_pressure_bar": kept(setting.pump_pressure, "bar"),
        },
        "nozzle_bar": None if side.nozzle is None else [kept(pressure, "bar") for pressure in side.nozzle],
        "proving_point": None
        if proving is None
        else {
            "pump_speed_rpm": kept(proving.pump_speed, "rpm"),
            "bypass_area_mm2": kept(proving.bypass_area, "mm2"),
            "gauge_bar": kept(proving.gauge, "bar"),
            "band_bar": None if proving.band is None else [kept(end, "bar") for end in proving.band],
        },
        "recoil_n": None if side.recoil is None else [kept(along, "N") for along, _across in side.recoil],
        "recoil_side_n": None if side.recoil is None else [kept(across, "N") for _along, across in side.recoil],
        "held_by": [{"by": holder.by, "holder": holder.name, "support": holder.support} for holder in side.holders],
        "operator": None
        if side.person is None
        else {
            "lightest_kg": side.person.lightest,
            "place": side.person.place,
            "guard_rail": side.person.guard_rail,
        },
        "stops": list(side.stops),
        "restraints": {"whip_checks": side.restraints.whip_checks, "shrouds": side.restraints.shrouds},
        "object": None
        if side.object is None
        else {
            "what": side.object.what,
            "withstands_bar": kept(side.object.withstands, "bar"),
            "source": side.object.source,
        },
        "hazards": None
        if side.hazards is None
        else {
            "ignition": side.hazards.ignition,
            "confined_space": side.hazards.confined_space,
            "live_electrical": side.hazards.live_electrical,
            "product": side.hazards.product,
        },
    }
