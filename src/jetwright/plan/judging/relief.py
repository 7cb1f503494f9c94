"""A task's relief devices against its planned pump pressure."""

from jetwright.limits.limit import WORST_LAST, Limit
from jetwright.limits.relief import relief_clear, relief_full_flow, relief_opens, relief_reseats, relief_test_age
from jetwright.parts.relief import ACCUMULATION, RESEAT, full_lift
from jetwright.plan.case import Case
from jetwright.plan.setting import relief_set
from jetwright.rig.check import CheckedRig
from jetwright.rig.description import Relief
from jetwright.solve.network import full_flow_of
from jetwright.solve.steady import SERVED_TO

DAY = 86400.0  # s


def limits(case: Case) -> list[Limit]:
    """Every limit on the relief; one that is not judged where none is described. [-]

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
    >>> [(limit.id, limit.missing) for limit in limits(assess(check(JOB), 0, basis_for(JOB)).case)]
    [('relief.set', 'unit.relief')]

    References
    ----------
    docs/rules.md.
    """
    rig, rules, pressure = case.rig, case.basis.rules, case.machine.state.pump_pressure
    devices = rig.job.unit.relief
    if not devices:
        return [relief_opens(pressure, None)]
    opening = relief_set(rig)
    judged = [
        relief_opens(pressure, opening),
        relief_clear(pressure, opening, rules.bound("relief.clear"), rules.bound("relief.clear_least")),
    ]
    valves = [device for device in devices if device.kind == "valve"]
    if valves:
        judged.append(_reseats(pressure, valves))
    judged.append(full_flow(rig, devices))
    return [*judged, _test_age(case, devices)]


def _test_age(case: Case, devices: tuple[Relief, ...]) -> Limit:
    """Of all devices the worst."""
    bound, day = case.basis.rules.bound("hose.test_age"), case.basis.day
    judged = [
        relief_test_age(None, bound)
        if device.tested is None
        else relief_test_age(
            (day - device.tested).days * DAY, bound, {"tested": device.tested.isoformat(), "day": day.isoformat()}
        )
        for device in devices
    ]
    return max(judged, key=lambda limit: (WORST_LAST.index(limit.verdict), limit.value or 0.0))


def _reseats(pressure: float, valves: list[Relief]) -> Limit:
    """The valve that shuts at the lowest pressure; a share that a certificate gives counts before one only taken."""
    certified = [valve.reseat * valve.set for valve in valves if valve.reseat is not None]
    taken = [RESEAT * valve.set for valve in valves if valve.reseat is None]
    if certified and (not taken or pressure >= min(certified)):
        return relief_reseats(pressure, min(certified))
    return relief_reseats(pressure, min(taken), given=False)


def full_flow(rig: CheckedRig, devices: tuple[Relief, ...]) -> Limit:
    """Limit "relief.full_flow" of a unit's devices; one that takes the whole flow is enough. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    devices : tuple of Relief
        At least one; the largest certified flow counts. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> full_flow(check(JOB), (Relief(1150e5, full_flow=5e-3),)).verdict
    'within'

    References
    ----------
    `limits.relief.relief_full_flow`.
    """
    largest = max(devices, key=lambda device: device.full_flow or 0.0)
    rise = largest.accumulation or ACCUMULATION
    lifted = full_lift(largest.kind, largest.set, rise, largest.tolerance, 1.0, 1.0)
    flow = full_flow_of(rig, None, min(lifted, SERVED_TO)) / rig.water.reference_density
    return relief_full_flow(largest.full_flow, flow)
