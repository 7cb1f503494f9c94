"""Hoses: their tests and tags, the speed and the dirt of the water in them, and what holds them at their joints."""

import math
from collections import Counter

from jetwright.limits.hose import (
    age_of_test,
    filter_of,
    hose_count,
    mixed,
    ratings_told_apart,
    tip_count,
    traceable,
    water_speed_in,
)
from jetwright.limits.limit import Facts, Limit
from jetwright.limits.restraint import shrouds, whip_checks
from jetwright.parts.nozzle import round_area
from jetwright.plan.case import Case
from jetwright.plan.restraints import restraints_of
from jetwright.rig.description import Restraints
from jetwright.water.state import volume_of

DAY = 86400.0  # s


def limits(case: Case) -> list[Limit]:
    """Every limit on this task's hoses, on the water's filter and on restraints. [-]

    Parameters
    ----------
    case : Case
        The task, solved. [-]

    Examples
    --------
    >>> import datetime
    >>> from jetwright.files.rules import rule_set
    >>> from jetwright.plan.answer import Tolerance
    >>> from jetwright.plan.basis import Basis
    >>> from jetwright.plan.proving import proving_point
    >>> from jetwright.plan.setting import machine_for, target_of
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.rig.order import Orders
    >>> basis = Basis(rule_set("eu-generic"), Orders("", {}, {}), datetime.date(2026, 5, 12))
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> known = Tolerance((850e5, 940e5), None, (480e5, 520e5), (180.0,), (900e5,))
    >>> case = Case(rig, 0, basis, machine, proving_point(rig, 893e5), known, (), (), None)
    >>> [f"{limit.id} {limit.value:.1f} m/s" for limit in limits(case) if limit.id == "hose.speed"]
    ['hose.speed 8.0 m/s']

    References
    ----------
    `limits.hose`, `limits.restraint`; docs/rules.md.
    """
    job, rules = case.rig.job, case.basis.rules
    found: list[Limit] = []
    names = _pieces(case)
    if names:
        found += [_age(case, name) for name in dict.fromkeys(names)]
        found += [_traceable(case, names), _mixed(case), _speed(case)]
    found += _counts(case, names)
    tip, bore = min(_tips(case).items(), key=lambda tip: tip[1])
    needed, at_hand = restraints_of(case.rig), job.restraints or Restraints()
    return [
        *found,
        filter_of(job.supply.filter, bore, tip, rules.bound("supply.filter")),
        whip_checks(at_hand.whip_checks, needed.whip_checks),
        shrouds(at_hand.shrouds, needed.shrouds),
    ]


def _runs(case: Case) -> list[list[str]]:
    """Hoses of each branch's run, from the pump outward."""
    rig = case.rig
    runs = [[item.name for item in (*rig.main, *branch.items)] for branch in rig.branches]
    return [[name for name in run if name in rig.job.hoses] for run in runs]


def _pieces(case: Case) -> list[str]:
    """The hose of every piece of the rig, the main run once."""
    rig = case.rig
    items = [*rig.main, *(item for branch in rig.branches for item in branch.items)]
    return [item.name for item in items if item.name in rig.job.hoses]


def _age(case: Case, name: str) -> Limit:
    tested, day = case.rig.job.hoses[name].tested, case.basis.day
    age = None if tested is None else (day - tested).days * DAY
    facts = {"hose": name, "tested": "" if tested is None else tested.isoformat(), "day": day.isoformat()}
    return age_of_test(name, age, case.basis.rules.bound("hose.test_age"), facts)


def _counts(case: Case, names: list[str]) -> list[Limit]:
    """Pieces and tips in use against those owned; of tips, one alone is what nobody counted, and is not judged."""
    job, tips = case.rig.job, Counter[str]()
    for branch in case.rig.branches:
        for row in branch.rows:
            tips[row.tip] += row.count
    return [
        *(
            hose_count(used, job.hoses[name].count, f"hoses.{name}")
            for name, used in Counter(names).items()
            if used > 1 or job.hoses[name].count > 1
        ),
        *(
            tip_count(used, job.tips[name].count, f"tips.{name}")
            for name, used in tips.items()
            if job.tips[name].count > 1
        ),
    ]


def _traceable(case: Case, names: list[str]) -> Limit:
    told = {name: case.rig.job.hoses[name].traceable for name in names}
    hoses = [name for name, traced in told.items() if traced is False]
    without = sum(name in hoses for name in names)
    unsaid = next((name for name, traced in told.items() if traced is None), "")
    about = f"hoses.{hoses[0]}" if len(hoses) == 1 else "hoses"
    return traceable(without, about, {"hoses": hoses}, unsaid)


def _mixed(case: Case) -> Limit:
    """The run, and the bore in it, with most ratings; bores are alike to a tenth of a millimetre."""
    hoses = case.rig.job.hoses
    found = []
    for number, run in enumerate(_runs(case), start=1):
        about = "hoses" if len(case.rig.branches) == 1 else f"branch.{number}"
        alike: dict[float, list[str]] = {}
        for name in dict.fromkeys(run):
            alike.setdefault(round(hoses[name].bore, 4), []).append(name)
        for bore, names in alike.items():
            known = [rating for name in names if (rating := hoses[name].rating) is not None]
            unknown = [name for name in names if hoses[name].rating is None] if len(names) > 1 else []
            missing = f"hoses.{unknown[0]}.rating" if unknown else ""
            facts: Facts = {"bore": bore, "hoses": names, "ratings": known}
            found.append(mixed(max(1, ratings_told_apart(known)), about, missing, facts))
    return max(found, key=lambda limit: (limit.verdict == "look", bool(limit.missing), limit.value))


def _speed(case: Case) -> Limit:
    rig, state = case.rig, case.machine.state
    runs = [(rig.main, state.main, state.mass_flow)]
    for branch, line in zip(rig.branches, state.lines, strict=True):
        runs.append((branch.items, line.items, line.jets + line.leak))
    fastest, where = 0.0, ""
    for items, ends, mass_flow in runs:
        for item, (above, below) in zip(items, ends, strict=True):
            if item.name in rig.job.hoses:
                volume = volume_of(rig.water, 0.5 * (above + below) + rig.water.ambient)
                speed = mass_flow * volume / round_area(item.piece.bore)
                if speed >= fastest:
                    fastest, where = speed, item.name
    return water_speed_in(where, fastest, case.basis.rules.bound("hose.speed"))


def _tips(case: Case) -> dict[str, float]:
    """Bore of each tip in use; that of a rated one as if it lost nothing, which is the least it can be."""
    rows = [row for branch in case.rig.branches for row in branch.rows]
    return {row.tip: math.sqrt(4.0 * row.area / math.pi) if row.bore is None else row.bore for row in rows}
