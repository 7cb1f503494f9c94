"""The order of a task, solved: from dry hoses to the target and back, with what the gauge must show at each step."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from jetwright.errors import NotServedError
from jetwright.limits.rules import Bound, RuleSet
from jetwright.parts.nozzle import HOLE_DISCHARGE, jet_flow
from jetwright.parts.pump import delivered_per_turn
from jetwright.plan.answer import ProvingPoint, StepAt, Tolerance
from jetwright.plan.basis import Basis
from jetwright.plan.flush import flush_of, flush_opening, flush_time
from jetwright.plan.proving import banded
from jetwright.plan.setting import SHUT_BELOW, Machine
from jetwright.plan.tolerance import tolerance_of
from jetwright.rig.check import CheckedRig
from jetwright.rig.order import Orders, Step
from jetwright.solve.network import full_flow_of
from jetwright.solve.states import NOTHING_HOLDS, TriggerState, starts_of, state_row, triggers_of
from jetwright.solve.steady import Levers, reach, solve

HOLD = (0.10, 0.20)
"""Of the target's pump pressure: the low-pressure hold, and the middle of it is what is set (common practice)."""
VALVE_PROOF = 0.20
"""Of the target's pump pressure: where a valve that opens by itself is proven (common practice)."""
SKIN = 7e5
"""Gauge above which nothing is called free of pressure: skin is broken from about here (common practice). [Pa]"""
OPENINGS = 6
"""Openings that are printed against the gauge between fully open and the proving point."""
LEAST = 1e4
"""Gauge from which they are spread. [Pa]"""
STEPS = (3, 4)
"""Steps in which the speed is raised: for up to half of the target, and for more."""
SMALL = 0.05
"""A rise by less than this share of the target is one step."""
AGAIN = 0.10
"""Of its reading: the most that a gauge may be wrong by where the rig is proven a second time (common practice)."""


@dataclass(frozen=True, slots=True)
class _Task:
    """What every step is solved from."""

    rig: CheckedRig
    machine: Machine
    proving: ProvingPoint
    tolerance: Tolerance
    states: tuple[TriggerState, ...]
    rules: RuleSet

    @property
    def target(self) -> float:
        return self.machine.state.pump_pressure

    def seen(self, pressure: float) -> tuple[float, float]:
        """What the gauge may show of a pressure: wider by the error of its class."""
        error = self.tolerance.gauge_error or 0.0
        return max(0.0, pressure - error), max(0.0, pressure + error)

    def carried(self, pressure: float) -> tuple[float, float]:
        """The same where the proving point was passed: whoever was let through there is let through here."""
        (low, high), gauge = self.seen(pressure), self.proving.gauge
        if self.proving.band is None or gauge <= 0.0 or abs(pressure - self.target) <= SHUT_BELOW * self.target:
            return low, high
        lowest, highest = (end * pressure / gauge for end in self.proving.band)
        return max(0.0, min(low, lowest)), max(high, min(highest, self.target))


def run_up_name(rig: CheckedRig, orders: Orders) -> str:
    """Which run-up a rig has; "" where one of its tools must not be let go on this bypass. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    orders : Orders
        With the row of every bypass, drive and release. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> run_up_name(check(JOB), Orders("1", {}, {("hand-set", "hydrostatic", "dump"): "run-up A"}))
    'run-up A'

    References
    ----------
    Common practice; a task with several tools has each tool's row, and one that is not allowed refuses it.
    """
    unit = rig.job.unit
    names = [orders.rows[unit.bypass.kind, unit.drive.kind, branch.tool.release] for branch in rig.branches]
    return "" if "" in names else names[0]


def steps_of(
    rig: CheckedRig,
    machine: Machine,
    proving: ProvingPoint,
    basis: Basis,
    tolerance: Tolerance,
    states: tuple[TriggerState, ...],
) -> tuple[StepAt, ...]:
    """The whole order of a task: before water, run-up, letting go, planned and emergency stop, each step solved. [-]

    Empty where the order is not allowed, or the setting: there is nothing to run up to.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    machine : Machine
        The setting it is run up to. [-]
    proving : ProvingPoint
        On the way there. [-]
    basis : Basis
        With the orders of steps. [-]
    tolerance : Tolerance
        With the band of the proving point and the gauge's error. [-]
    states : tuple of TriggerState
        At the setting; the last with every trigger let go. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.proving import proving_point
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, "nozzle_pressure", 850e5, 1)
    >>> point = proving_point(rig, machine.state.pump_pressure)
    >>> tolerance = Tolerance((0.0, 0.0), None, (470e5, 530e5), (), (), gauge_error=10e5)
    >>> for step in steps_of(rig, machine, point, basis_for(JOB), tolerance, ()):
    ...     if step.order == "run-up A":
    ...         print(step.id, step.bypass, f"{step.gauge[0] / 1e5:.0f} to {step.gauge[1] / 1e5:.0f} bar")
    a.first_press open 0 to 13 bar
    a.close closed 0 to 530 bar
    a.prove closed 470 to 530 bar
    a.raise closed 883 to 903 bar
    a.baseline closed 883 to 903 bar

    References
    ----------
    Common practice; docs/proving-point.md.
    """
    name = run_up_name(rig, basis.orders)
    if not name or machine.speed is None or not machine.allowed:
        return ()
    point = banded(proving, tolerance.proving, machine.state.pump_pressure) if proving.band is None else proving
    task = _Task(rig, machine, point, tolerance, states, basis.rules)
    words = _words(task)
    return tuple(
        _solved(task, order, step)
        for order in ("before water", name, "letting go", "planned stop", "emergency stop")
        for step in basis.orders.steps[order]
        if step.applies(words)
    )


def _words(task: _Task) -> Mapping[str, frozenset[str]]:
    """What a step's `when` is asked of."""
    unit = task.rig.job.unit
    part_open = task.proving.bypass_area > 0.0 and unit.bypass.kind != "unloader"  # an unloader has no part opening
    return {
        "bypass": frozenset((unit.bypass.kind,)),
        "drive": frozenset((unit.drive.kind,)),
        "release": frozenset(branch.tool.release for branch in task.rig.branches),
        "setting": frozenset((task.machine.bypass,)),
        "proving": frozenset(("part open" if part_open else "shut",)),
    }


# ---- one step


SHUT_FIRST = ("water.hold", "b.unloader_shut_off", "b.unloader_held")
"""Steps before which an unloader that a hand had opened is shut again."""


def _solved(task: _Task, order: str, step: Step) -> StepAt:
    described = task.rig.job.unit.bypass
    step = _after_hold(task, step)
    facts: dict[str, object] = {"trigger": step.trigger, "valve": described.kind}
    if all(branch.tool.release == "none" for branch in task.rig.branches):
        facts["no_trigger"] = True
    elif any(branch.tool.release == "none" for branch in task.rig.branches):
        facts["some_without"] = True
    facts["triggers"] = _triggers(task.rig)
    if task.rig.job.unit.drive.kind == "direct":
        facts["direct"] = True
    if described.kind == "unloader" and described.full_open_area is not None and step.id in SHUT_FIRST:
        facts["shut_first"] = True
    push = None
    levers = _levers(task, step)
    speed = levers.speed if levers is not None and step.trigger != "off" else _speed(task, step)
    area = described.full_open_area if step.bypass == "open" else None
    if levers is not None and described.kind != "regulating":
        area = levers.area
    if step.bypass == "in" and step.trigger == "off":
        gauge, push, area = _flushed(task, speed, facts)
    else:
        gauge = _gauge(task, step, levers, facts)
    if levers is not None and step.bypass in ("closing", "closing on") and step.gauge:
        gauge = _openings(task, step, levers, gauge, facts)
    if step.speed == "raise":
        _raised(task, facts)
    if step.gauge == "hold" and speed and _faster(task, speed):
        facts["faster"] = True
    ratio = task.rig.job.unit.drive.ratio
    if speed and ratio is not None:
        facts["engine_speed"] = speed * ratio
    if gauge is None and step.gauge and step.bypass == "open" and step.trigger == "held" and levers is None:
        facts["backed_off"] = facts["may_break_skin"] = True
    return StepAt(
        order=order,
        id=step.id,
        who=step.who,
        why=step.why,
        pump_speed=speed,
        bypass=_opening_word(task, step, area),
        bypass_area=area,
        turns=stem_turns(task.rig, area),
        gauge=gauge,
        push=push,
        facts=facts,
    )


def _triggers(rig: CheckedRig) -> int:
    """How many hands or feet let go: a dump in the main run is one for every tool behind it."""
    let_go = [branch for branch in rig.branches if branch.tool.release != "none"]
    shared = [one for one in let_go if one.tool.release == "dump" and 0 <= one.dump_item < len(rig.main)]
    return len(let_go) - max(0, len(shared) - 1)


def _faster(task: _Task, speed: float) -> bool:
    return speed > task.rig.start_speed * (1.0 + SHUT_BELOW)


def _after_hold(task: _Task, step: Step) -> Step:
    """What follows a hold that needs more than start speed is done at start speed again, with the bypass open."""
    if step.bypass != "in" or step.trigger not in ("held", "released") or step.gauge not in ("", "solved"):
        return step
    faster = _faster(task, brought_in(task.rig, 0.5 * (HOLD[0] + HOLD[1]) * task.target).speed)
    return replace(step, bypass="open") if faster else step


def _speed(task: _Task, step: Step) -> float | None:
    """Of the pump; 0 with its drive at zero."""
    if step.speed == "start":
        return task.rig.start_speed
    if step.speed in ("raise", "planned"):
        return task.machine.speed
    return None if step.speed == "" else 0.0


def _levers(task: _Task, step: Step) -> Levers | None:
    """Where the hands stand in a step; None while nothing turns or where that is not described."""
    speed, described = _speed(task, step), task.rig.job.unit.bypass
    if not speed or not step.bypass:
        return None
    if step.bypass == "open":
        if described.full_open_area is None:
            return Levers(speed) if described.kind == "unloader" else None
        return Levers(speed, described.full_open_area)
    if step.bypass in ("planned", "closing on"):
        return Levers(speed, task.machine.area, task.machine.opening)
    if step.bypass in ("closing", "proving"):
        return replace(_proving_levers(task), speed=speed)
    share = VALVE_PROOF if step.gauge == "valve" else 0.5 * (HOLD[0] + HOLD[1])
    return brought_in(task.rig, share * task.target, speed)


def _proving_levers(task: _Task) -> Levers:
    """The proving point's; a regulating valve is screwed in until it just spills nothing, or what is left over."""
    speed, area, kind = task.proving.pump_speed, task.proving.bypass_area, task.rig.job.unit.bypass.kind
    if kind == "hand-set":
        return Levers(speed, area)
    if kind == "unloader":
        return Levers(speed)
    return brought_in(task.rig, task.proving.gauge) if area > 0.0 else Levers(speed, 0.0, task.proving.gauge)


def _opening_word(task: _Task, step: Step, area: float | None) -> str:
    described = task.rig.job.unit.bypass
    if step.bypass == "":
        return ""
    if step.bypass == "open":
        return "open" if described.kind != "unloader" or described.full_open_area is not None else "closed"
    if described.kind == "regulating":
        return "regulating"
    if step.trigger == "off":
        return "part open" if described.full_open_area is not None else "closed"
    if area is not None and area > 0.0:
        return "open" if area == described.full_open_area else "part open"
    return "closed"


def stem_turns(rig: CheckedRig, area: float | None) -> float | None:
    """Turns of the bypass stem from shut to an opening, as if its hole grew evenly; None where nobody gave them. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    area : float | None
        Of the hole. [m²]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> bypass = replace(JOB.unit.bypass, full_open_area=20e-6, turns=6.0)
    >>> f"{stem_turns(check(replace(JOB, unit=replace(JOB.unit, bypass=bypass))), 2e-6):.2f}"
    '0.60'

    References
    ----------
    Our own convention.
    """
    described = rig.job.unit.bypass
    if area is None or described.turns is None or described.full_open_area is None:
        return None
    return described.turns * area / described.full_open_area


def brought_in(rig: CheckedRig, pump_pressure: float, speed: float | None = None) -> Levers:
    """Where the hands stand when the bypass is brought in, trigger held, until the gauge shows a pressure. [-]

    At start speed, or another; where that gives too little with the bypass shut, faster. A regulating valve is set so
    that it opens no higher. An unloader cannot be brought in, nor a hole opened further than it goes: the gauge then
    stands higher.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    pump_pressure : float
        That the gauge is to show. [Pa]
    speed : float | None
        Of the pump to begin with; start speed when not given. [rev/s]

    Raises
    ------
    NotServedError
        When that lies above 4000 bar.

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> low, high = brought_in(rig, 134e5), brought_in(rig, 893e5)
    >>> f"{1e6 * low.area:.2f} mm² at {60 * low.speed:.0f} rpm, {1e6 * high.area:.2f} mm² at {60 * high.speed:.0f} rpm"
    '1.37 mm² at 130 rpm, 0.00 mm² at 177 rpm'

    References
    ----------
    `solve.steady.reach`.
    """
    described, turns = rig.job.unit.bypass, rig.start_speed if speed is None else speed
    demand = reach(rig, "pump_pressure", pump_pressure).mass_flow
    per_turn = delivered_per_turn(rig.water, rig.pump, pump_pressure)
    surplus = turns * per_turn - demand
    if surplus <= SHUT_BELOW * demand:
        return Levers(demand / per_turn, 0.0, pump_pressure if described.kind == "regulating" else 0.0)
    if described.kind == "regulating":
        full = full_flow_of(rig, described.full_flow, pump_pressure)
        return Levers(turns, 0.0, pump_pressure / (1.0 + described.accumulation * surplus / full))
    if described.full_open_area is None:
        return Levers(turns)
    area = surplus / jet_flow(rig.water, HOLE_DISCHARGE, pump_pressure)[0]
    return Levers(turns, min(area, described.full_open_area))


def hold_gauge(rig: CheckedRig, pump_pressure: float) -> float | None:
    """Where the gauge stands at the low-pressure hold before a target, trigger held; None: above what is served. [Pa]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    pump_pressure : float
        Gauge of the target's setting; nothing is held below one that is not above zero. [Pa]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> f"{hold_gauge(check(JOB), 893e5) / 893e5:.2f}"
    '0.15'

    References
    ----------
    Common practice: leaks are looked for at 10 to 20 % of the target.
    """
    if pump_pressure <= 0.0:
        return None
    try:
        return _stand(rig, brought_in(rig, 0.5 * (HOLD[0] + HOLD[1]) * pump_pressure), "held")
    except NotServedError:
        return None


def prove_again(
    rig: CheckedRig, machine: Machine, proving: ProvingPoint, tolerance: Tolerance, bound: Bound | None
) -> ProvingPoint | None:
    """The first speed, bypass shut, at which a rig is proven that its gauge cannot prove at the proving point. [-]

    There the gauge is wrong by a tenth of its reading at most. None where the proving point tells enough, where it is
    not the gauge that makes its band so wide, or where no speed on the way to the target tells more.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    machine : Machine
        The setting. [-]
    proving : ProvingPoint
        On the way there. [-]
    tolerance : Tolerance
        With the gauge's error. [-]
    bound : Bound | None
        On half of the band, as a share of the gauge at the proving point. [-]

    Examples
    --------
    >>> from jetwright.plan.proving import proving_point
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, "nozzle_pressure", 850e5, 1)
    >>> bound = Bound(0.10, "ratio", "most", "common practice", "common practice", False)
    >>> known = Tolerance((0.0, 0.0), None, (0.0, 0.0), (), (), gauge_error=60e5)
    >>> point = prove_again(rig, machine, proving_point(rig, machine.state.pump_pressure), known, bound)
    >>> f"{60 * point.pump_speed:.0f} rpm, {point.gauge / 1e5:.0f} bar"
    '143 rpm, 600 bar'

    References
    ----------
    Common practice; docs/proving-point.md.
    """
    target, error = machine.state.pump_pressure, tolerance.gauge_error
    if bound is None or error is None or error <= bound.value * proving.gauge or machine.bypass != "closed":
        return None
    if not AGAIN * proving.gauge < error < AGAIN * target:
        return None
    point = _shut_at(rig, error / AGAIN)
    if point.pump_speed <= rig.start_speed:
        return None
    return banded(point, tolerance_of(rig, machine, point).proving, target)


def _shut_at(rig: CheckedRig, pump_pressure: float) -> ProvingPoint:
    """The speed that gives a pressure with the bypass shut."""
    demand = reach(rig, "pump_pressure", pump_pressure).mass_flow
    return ProvingPoint(demand / delivered_per_turn(rig.water, rig.pump, pump_pressure), 0.0, pump_pressure)


# ---- what the gauge shows


def _gauge(task: _Task, step: Step, levers: Levers | None, facts: dict[str, object]) -> tuple[float, float] | None:
    if step.gauge == "zero":
        return None if step.speed == "idle" and task.rig.job.unit.drive.kind == "direct" else (0.0, 0.0)
    if step.gauge == "target":
        return task.seen(task.target)
    if step.gauge == "release":
        released = task.states[-1].pump_pressure if task.states else None
        return None if released is None else task.seen(released)
    if step.gauge == "" or levers is None:
        return None
    stands = _stand(task.rig, levers, step.trigger)
    if step.trigger == "released":
        facts["held"] = _stand(task.rig, levers, "held")
    if step.gauge == "proving":
        return _proved(task, levers, stands, facts)
    if step.gauge == "hold" and stands is not None:
        low, high = HOLD[0] * task.target, HOLD[1] * task.target
        if low <= stands <= high:
            return low, high
        facts["outside"] = True
    if step.id == "water.release" and _high(task):
        facts["outside"] = True
    if step.bypass == "open" and step.trigger == "held":
        _open(task, levers, stands, facts)
    elif step.bypass == "open" and stands is not None and stands > SKIN:
        facts["skin"] = True
    if stands is None:
        return None
    left = step.bypass in ("proving", "closing on", "planned") and step.trigger == "held"
    return task.carried(stands) if left else task.seen(stands)


def _high(task: _Task) -> bool:
    """Whether the low-pressure hold of this rig is none."""
    stands = hold_gauge(task.rig, task.target)
    return stands is None or stands > HOLD[1] * task.target


def _stand(rig: CheckedRig, levers: Levers, trigger: str) -> float | None:
    """The gauge with every trigger held or let go; None where nothing described carries the flow."""
    triggers = triggers_of(rig, levers)
    held = tuple(trigger != "released" or not can for can in triggers.can)
    row = state_row(triggers, held, starts_of(triggers))
    return None if row[3] == NOTHING_HOLDS else row[0]


def _proved(task: _Task, levers: Levers, stands: float | None, facts: dict[str, object]) -> tuple[float, float] | None:
    """The proving point's band; what a regulating valve spills there. An unloader has no part opening to prove at."""
    rig, proving = task.rig, task.proving
    if task.target < proving.gauge:
        facts["above_target"] = True
    if rig.job.unit.bypass.kind == "unloader" and proving.bypass_area > 0.0:
        return None if stands is None else task.seen(stands)
    if rig.job.unit.bypass.kind == "regulating":
        given = levers.speed * delivered_per_turn(rig.water, rig.pump, proving.gauge)
        spilt = given - reach(rig, "pump_pressure", proving.gauge).mass_flow
        facts["spill"] = max(0.0, spilt) / given
    return proving.band


def _open(task: _Task, levers: Levers, stands: float | None, facts: dict[str, object]) -> None:
    """Fully open is not "no pressure": the gauge let go, with every tip blocked and at top speed; what breaks skin."""
    rig = task.rig
    if "no_trigger" not in facts:
        facts["released"] = _stand(rig, levers, "released")
    if levers.area > 0.0:
        facts["top"] = _stand(rig, replace(levers, speed=rig.top_speed), "held")
        try:
            every = tuple(range(1, len(rig.branches) + 1))
            facts["blocked"] = solve(rig, replace(levers, shut=every)).pump_pressure
        except NotServedError:
            pass
    if stands is not None and stands > SKIN:
        facts["skin"] = True


# ---- the ways there


def _openings(
    task: _Task, step: Step, levers: Levers, gauge: tuple[float, float] | None, facts: dict[str, object]
) -> tuple[float, float] | None:
    """Openings against the gauge on the way: from fully open to the proving point, or from there on."""
    rig = task.rig
    if step.bypass == "closing":
        begin, count = rig.job.unit.bypass.full_open_area or 0.0, OPENINGS
    else:
        begin, count = task.proving.bypass_area, OPENINGS // 2
    spread = spread_openings(rig, (begin, levers.area), count)
    facts["openings"] = tuple((area, stem_turns(rig, area), pressure) for area, pressure in spread)
    if step.gauge == "target" or gauge is None:
        return gauge
    ends = [task.carried(pressure) for _area, pressure in spread]
    return min(low for low, _high in ends), max(high for _low, high in ends)


def spread_openings(rig: CheckedRig, ends: tuple[float, float], count: int) -> tuple[tuple[float, float], ...]:
    """Openings of a hand-set bypass at start speed, and the gauge at each, trigger held. [m², Pa]

    Spread so that the gauge grows by about the same factor from one to the next; each is solved, none interpolated.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    ends : tuple of float
        First and last opening; 0: shut. [m²]
    count : int
        How many at most, both ends among them. [-]

    Raises
    ------
    NotServedError
        When the gauge at an end lies above 4000 bar.

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> spread = spread_openings(check(JOB), (16e-6, 0.0), 4)
    >>> ", ".join(f"{1e6 * area:.2g} mm² {pressure / 1e5:.0f} bar" for area, pressure in spread)
    '16 mm² 3 bar, 6.2 mm² 18 bar, 1.9 mm² 95 bar, 0 mm² 501 bar'

    References
    ----------
    Our own convention: almost all of a stem's travel does nothing, so the steps are even on the gauge.
    """
    begin, end = ends
    first, last = (solve(rig, Levers(rig.start_speed, area)).pump_pressure for area in ends)
    areas = [begin]
    low, ratio = max(first, LEAST), max(last, LEAST) / max(first, LEAST)
    for index in range(1, count - 1):
        wanted = low * ratio ** (index / (count - 1))
        surplus = rig.start_speed * delivered_per_turn(rig.water, rig.pump, wanted)
        surplus -= reach(rig, "pump_pressure", wanted).mass_flow
        area = float(f"{surplus / jet_flow(rig.water, HOLE_DISCHARGE, wanted)[0]:.1e}")
        if end < area < areas[-1]:
            areas.append(area)
    between = [(area, solve(rig, Levers(rig.start_speed, area)).pump_pressure) for area in areas[1:]]
    return ((begin, first), *between, *(((end, last),) if end != begin else ()))


def _raised(task: _Task, facts: dict[str, object]) -> None:
    """Speeds with the bypass shut, in steps of equal gauge from start speed to the target.

    Where the proving point proves nothing, the first of them is where the gauge begins to tell.
    """
    rig, target = task.rig, task.target
    begin = solve(rig, Levers(rig.start_speed)).pump_pressure
    rise = target - begin
    count = 1 if rise <= SMALL * target else STEPS[0] if rise <= 0.5 * target else STEPS[1]
    bound = task.rules.bound("gauge.proving")
    again = prove_again(rig, task.machine, task.proving, task.tolerance, bound)
    points = [] if again is None else [again]
    if again is not None:
        assert again.band is not None
        facts["prove_again"] = (again.pump_speed, *again.band)
        begin, rise, count = again.gauge, target - again.gauge, max(1, count - 1)
    points += [_shut_at(rig, begin + rise * index / count) for index in range(1, count + 1)]
    ratio = rig.job.unit.drive.ratio
    facts["speeds"] = tuple(
        (one.pump_speed, None if ratio is None else one.pump_speed * ratio, one.gauge) for one in points
    )


# ---- the open hose end


def _flushed(
    task: _Task, speed: float | None, facts: dict[str, object]
) -> tuple[tuple[float, float] | None, float | None, float | None]:
    """Gauge, push with the bypass shut, and the opening that keeps the gauge down where shut is too much."""
    rig, bound, area = task.rig, task.rules.bound("gauge.flush"), None
    flush = flush_of(rig, speed)
    facts.update(volume=flush.volume, time=flush.time, open=flush.open, shut=flush.shut)
    low = 0.0 if flush.open is None else task.seen(flush.open)[0]
    high = None if flush.shut is None else task.seen(flush.shut)[1]
    if bound is not None and (flush.shut is None or flush.shut > bound.value):
        area = flush_opening(rig, bound.value)
        if area is not None or rig.job.unit.bypass.kind == "regulating":
            facts.update(most=bound.value, time=flush_time(rig, bound.value))
            high = bound.value
    elif bound is not None and high is not None and flush.open != flush.shut:
        high = min(high, bound.value)
    return (None if high is None else (min(low, high), high)), flush.push, area
