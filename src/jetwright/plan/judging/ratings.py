"""What every part of a task's rig sees, against its plate or tag."""

from collections.abc import Iterator
from dataclasses import replace

from jetwright.limits.limit import Limit
from jetwright.limits.ratings import rating_relief_full, rating_relief_set, rating_working
from jetwright.limits.rules import Bound
from jetwright.plan.case import Case
from jetwright.plan.judging.relief import full_flow
from jetwright.plan.setting import full_flow_pressure, highest_opening
from jetwright.rig.check import CheckedRig, check


def over_bound(case: Case) -> Bound | None:
    """The share by which a rating may be passed while the relief blows: with or without a damper. [-]

    Parameters
    ----------
    case : Case
        The task. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.assess import assess
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> over_bound(assess(check(JOB), 0, basis_for(JOB)).case).value
    0.15

    References
    ----------
    EN 1829-1:2010 5.2.2.
    """
    return case.basis.rules.bound("relief.over_damper" if case.rig.job.unit.damper else "relief.over")


def limits(case: Case) -> list[Limit]:
    """Every limit on ratings, once for each part that is not the same piece of stock. [-]

    Parameters
    ----------
    case : Case
        The task. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.assess import assess
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> for limit in limits(assess(check(JOB), 0, basis_for(JOB)).case):
    ...     print(limit.id, limit.verdict, limit.about, limit.missing)
    rating.working within unit.pump
    rating.working not_judged hoses.S8-20 hoses.S8-20.rating
    rating.working not_judged tools.gun tools.gun.rating
    rating.relief_set not_judged unit.relief
    rating.relief_full not_judged unit.relief

    References
    ----------
    docs/rules.md.
    """
    rig, over = case.rig, over_bound(case)
    seen: dict[str, tuple[float, float | None, str]] = {}
    for about, inlet, rating, source in _parts(case):
        seen[about] = (max(inlet, seen[about][0] if about in seen else inlet), rating, source)
    judged = [rating_working(inlet, rating, source, about) for about, (inlet, rating, source) in seen.items()]
    opening, full = highest_opening(rig), full_flow_pressure(rig)
    if opening is None or full is None:
        return [
            *judged,
            rating_relief_set(None, None, "plate", ""),
            rating_relief_full(None, None, "plate", "", over),
        ]
    share, sized = 0.0 if over is None else over.value, _sized(case)
    at_full = []
    for about, (_inlet, rating, source) in seen.items():  # the pump's own allowance begins as the relief opens
        begun = over if about.startswith("unit.") else None
        needs = max(opening / (1.0 + share) if begun is not None else opening, full / (1.0 + share))
        judged.append(rating_relief_set(opening, rating, source, about, begun, needs))
        at_full.append(rating_relief_full(full, rating, source, about, over, needs, sized))
    return judged + at_full


def _sized(case: Case) -> float | None:
    """Where a relief too small for the pump's flow would stand if it passed all of it; None: it is not too small."""
    devices = case.rig.job.unit.relief
    if full_flow(case.rig, devices).verdict != "not_allowed":
        return None
    passing = tuple(replace(device, full_flow=None) for device in devices)
    unit = replace(case.rig.job.unit, relief=passing)
    return full_flow_pressure(check(replace(case.rig.job, unit=unit), case.index))


def _parts(case: Case) -> Iterator[tuple[str, float, float | None, str]]:
    """Key, inlet pressure, rating and what bears it, of every part from the pump outward."""
    rig, state, unit = case.rig, case.machine.state, case.rig.job.unit
    yield "unit.pump", state.pump_pressure, unit.pump.rating, "plate"
    if unit.pump.kit is not None:
        yield f"unit.kits.{unit.pump.kit}", state.pump_pressure, unit.kits[unit.pump.kit].rating, "plate"
    for item, ends in zip(rig.main, state.main, strict=True):
        yield _piece(rig, item.name, ends[0])
    for branch, line in zip(rig.branches, state.lines, strict=True):
        for item, ends in zip(branch.items, line.items, strict=True):
            yield _piece(rig, item.name, ends[0])
        yield f"tools.{branch.tool_name}", line.inlet, branch.tool.rating, "plate"


def _piece(rig: CheckedRig, name: str, inlet: float) -> tuple[str, float, float | None, str]:
    if name in rig.job.hoses:
        return f"hoses.{name}", inlet, rig.job.hoses[name].rating, "tag"
    return f"fittings.{name}", inlet, rig.job.fittings[name].rating, "plate"
