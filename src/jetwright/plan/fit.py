"""What one reading says about a rig: each single explanation of it, alive until something measured is against it."""

import datetime
import hashlib
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from types import MappingProxyType

from jetwright.errors import NotServedError, Problem
from jetwright.limits.limit import EDGE, Limit, Verdict, worst
from jetwright.parts.hose import piece_inlet
from jetwright.parts.nozzle import HOLE_DISCHARGE, jet_flow
from jetwright.parts.pump import delivered_per_turn
from jetwright.plan.answer import Explanation, Fit, ProvingPoint, Span
from jetwright.plan.flush import open_end
from jetwright.plan.setting import Machine, relief_set, target_of
from jetwright.plan.tolerance import error_of, spreads_of
from jetwright.rig.check import CheckedRig, Item
from jetwright.rig.condition import SOUND, Condition
from jetwright.rig.description import Gauge, Job, Reading
from jetwright.solve.balance import settle
from jetwright.solve.network import network_of
from jetwright.solve.push import length_of, push_of
from jetwright.solve.steady import SERVED_TO, Levers, State, reach, solve

BORDER = 0.10
"""A reading further than this from what is expected is explained before it is used (common practice)."""
PUMP_GIVES = (0.85, 1.03)
"""Share of its flow that a pump in use still gives: below it knocks or sprays, above it is another pump (common
practice)."""
TIP_AREA = (0.90, 1.30)
"""Cd × area of a tip in use over what is written: fouled to worn out (common practice)."""
NOMINAL = 0.03
"""How far Cd × area of a new or a gauged tip may lie from what its bore says (common practice)."""
SMOOTHER, ROUGHER = 5.0, 10.0
"""How much smoother or rougher a hose may be than it was taken for, as factors (common practice)."""
HOSE_BORE = 0.03
"""How far the bore of a hose may lie from its tag (common practice)."""
FLOW_ERROR = 0.02
"""Of a flow by a meter at the inlet or by the fall of a tank in a timed minute (common practice)."""
PIN_ERROR, PIN_SHARE = 0.02e-3, 0.01
"""Of a bore by pin gauges: the step of a set [m], or a hundredth where that is more (common practice)."""
DIVIDED = 50.0
"""Divisions of a scale whose divisions nobody gave (common practice)."""
UNDESCRIBED = 10e5
"""Division of a gauge that nobody described (common practice). [Pa]"""
OPENING_ERROR = 0.05
"""How well a part opening is set, by turns of the stem (common practice)."""
ABOVE = 0.05
"""How far above the task's own gauge a reading may lie: as exactly as a setting is met (our own convention)."""
DIGITS = 4
"""Of a digest."""
ROOM = 1.1
"""How far beyond what is plausible an explanation is looked for, as a factor."""
WIDEST, FAR = 20.0, 10.0
"""How far to see by how much one is implausible: times the plausible change of a hose; factor on the tips' area."""
CLOSE = 1e-11
"""Share of the flow to which it is found."""
BY_READING = "recoil.fitted"
"""The limit that a reading brings with it."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """A reading and what it says, with every limit of its task as a plan then judges it, where it is taken, and the
    setting as planned.
    """

    reading: Reading
    fit: Fit
    limits: tuple[Limit, ...]
    proving: ProvingPoint
    machine: Machine

    @property
    def verdict(self) -> Verdict:
        """Of its task with this reading. [-]"""
        return worst(self.limits)

    @property
    def refused(self) -> bool:
        """Whether its task is not allowed with this reading. [-]"""
        return self.verdict == "not_allowed"

    @property
    def refused_without(self) -> bool:
        """Whether its task is not allowed whatever was read. [-]"""
        return any(limit.verdict == "not_allowed" and limit.id != BY_READING for limit in self.limits)

    @property
    def holds(self) -> bool:
        """Whether it is adopted and its task is not refused. [-]"""
        return self.fit.adopted and not self.refused


def fit_of(rig: CheckedRig, machine: Machine, reading: Reading, day: datetime.date) -> Fit:
    """What a reading says about a rig: the explanations alive, the speed in their middle, the recoil judged. [-]

    Each explanation alone makes the model show what was seen. What the gauge, the speed and a part opening may be off
    makes its share an interval; what is not plausible of it is cut off, and with nothing left it is dead. So it is
    where a further reading lies beyond its own error of what it would then have to be. Nothing else is put to use of a
    reading that has expired or lies further off than `BORDER`.

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]
    machine : Machine
        Its setting as planned. [-]
    reading : Reading
        As it was read. [-]
    day : date
        Of the job. [-]

    Raises
    ------
    NotServedError
        When the rig as planned would stand above 4000 bar there.

    Examples
    --------
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig, day = check(JOB), datetime.date(2026, 5, 4)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> fit = fit_of(rig, machine, Reading(JOB.task[0].name, day, rig.start_speed, 470e5), day)
    >>> [f"{one.what} {one.share[1]:.3f}" for one in fit.explanations if one.alive], fit.next
    (['pump 0.967', 'tip 1.037'], 'flow')

    References
    ----------
    Our own convention: docs/fit.md.
    """
    expected = max(1.0, solve(rig, Levers(reading.pump_speed, reading.bypass_area)).pump_pressure)
    ratio = reading.gauge / expected
    expired = changed_since(rig, reading, day)
    fit = Fit(
        day=reading.day,
        pump_speed_read=reading.pump_speed,
        bypass_area=reading.bypass_area,
        expected=expected,
        seen=reading.gauge,
        ratio=ratio,
        explanations=(),
        adopted=False,
        expired=expired,
    )
    if expired:
        return fit
    causes = [cause for cause in (_pump(rig, reading), _tip(rig, reading), _hose(rig, reading)) if cause is not None]
    causes.append(_gauge(rig, reading, expected))
    causes = [_held_against(rig, reading, cause) for cause in causes]
    alive = [cause for cause in causes if not cause.against]
    adopted = bool(alive) and abs(ratio - 1.0) <= BORDER + EDGE
    told = tuple(_told(rig, machine, cause, adopted) for cause in causes)
    fit = replace(fit, explanations=told, adopted=adopted, next=_next(rig, reading, told))
    return _fitted(rig, machine, fit, alive) if adopted else fit


def reading_for(job: Job, task: str, day: datetime.date) -> Reading | None:
    """The reading of a task that a plan for a day looks at: that day's, else the latest; None where there is none. [-]

    Parameters
    ----------
    job : Job
        As described. [-]
    task : str
        Name of the task. [-]
    day : date
        Of the job. [-]

    Examples
    --------
    >>> from jetwright.rig.example import JOB
    >>> rows = tuple(Reading("A", datetime.date(2026, 5, at), 2.0, 470e5) for at in (4, 6))
    >>> reading_for(replace(JOB, reading=rows), "A", datetime.date(2026, 5, 4)).day.day
    4

    References
    ----------
    Our own convention.
    """
    rows = [reading for reading in job.reading if reading.task == task]
    return max(rows, key=lambda reading: (reading.day == day, reading.day), default=None)


def taken_with(rig: CheckedRig) -> str:
    """A short text by which tips, hose run, pump and gauge of a task are known again. [-]

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> taken_with(check(JOB)).split()[::2]
    ['tip', 'hose', 'kit', 'gauge']

    References
    ----------
    Our own convention: the first digits of a SHA-256 of what bears on the hydraulics, and of the names.
    """
    return " ".join(f"{name} {digest}" for name, digest in _digests(rig).items())


def changed_since(rig: CheckedRig, reading: Reading, day: datetime.date) -> tuple[str, ...]:
    """What is no longer as it was when a reading was taken: "tip", "hose", "kit", "gauge", "shift". [-]

    Of a reading that does not say what it was taken with only the day is compared.

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]
    reading : Reading
        Of that task. [-]
    day : date
        Of the job. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig, day = check(JOB), datetime.date(2026, 5, 4)
    >>> other = taken_with(rig).replace("kit ", "kit 0")
    >>> changed_since(rig, Reading("A", day, 2.0, 470e5, taken_with=other), datetime.date(2026, 5, 5))
    ('kit', 'shift')

    References
    ----------
    Our own convention.
    """
    changed: list[str] = []
    if reading.taken_with is not None:
        words = reading.taken_with.split()
        told = dict(zip(words[::2], words[1::2], strict=False))
        changed = [name for name, digest in _digests(rig).items() if told.get(name) != digest]
    return (*changed, "shift") if reading.day != day else tuple(changed)


def reading_problems(rig: CheckedRig, machine: Machine, reading: Reading) -> list[Problem]:
    """What makes a new reading one that tells nothing, by key of the reading. [-]

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]
    machine : Machine
        Its setting as planned. [-]
    reading : Reading
        That is to be used. [-]

    Raises
    ------
    NotServedError
        When the rig as planned would stand above 4000 bar there.

    Examples
    --------
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> fast = Reading(JOB.task[0].name, datetime.date(2026, 5, 4), 4.0, 470e5)
    >>> [problem.code for problem in reading_problems(rig, machine, fast)]
    ['reading_above_target']

    References
    ----------
    Our own convention.
    """
    found = []
    expected = solve(rig, Levers(reading.pump_speed, reading.bypass_area)).pump_pressure
    planned = machine.state.pump_pressure
    if expected > (1.0 + ABOVE) * planned:
        facts: dict[str, object] = {"expected": expected, "planned": planned, "start": rig.start_speed}
        found.append(Problem(("pump_speed",), "reading_above_target", facts=facts))
    bypass = rig.job.unit.bypass
    if bypass.kind == "unloader" and bypass.set is not None and reading.gauge >= bypass.set:
        found.append(Problem(("gauge",), "reading_unloader_open", facts={"opening": bypass.set}))
    elif rig.job.unit.relief and reading.gauge >= relief_set(rig):
        found.append(Problem(("gauge",), "reading_relief_open", facts={"opening": relief_set(rig)}))
    most = PUMP_GIVES[1] * reading.pump_speed * rig.pump.swept_volume
    if reading.flow is not None and reading.flow * (1.0 - FLOW_ERROR) > most:
        found.append(Problem(("flow",), "reading_flow_high", facts={"most": most}))
    return found


# ---- what a rig is known by ------------------------------------------------------------------------------------------


def _digests(rig: CheckedRig) -> dict[str, str]:
    job = rig.job
    pump, gauge = job.unit.pump, job.unit.gauge
    kit = None if pump.kit is None else job.unit.kits[pump.kit]
    tips = [
        (jets.tip, jets.count, tip.bore, tip.inlet, tip.cd, _pair(tip.rated))
        for branch in rig.branches
        for jets in branch.rows
        for tip in [job.tips[jets.tip]]
    ]
    runs = [
        (
            one.tool_name,
            one.tool.bore,
            one.tool.loss_k,
            _pair(one.tool.leak),
            one.rise,
            [_piece(at) for at in one.items],
        )
        for one in rig.branches
    ]
    measured = [(at.speed, at.pressure, at.flow) for at in pump.measured]
    at_rating = None if pump.flow_per_turn is None else (pump.flow_per_turn, pump.rating)
    size = (pump.plungers, pump.plunger_diameter, pump.stroke, at_rating, pump.slip)
    fitted = (pump.kit, None if kit is None else kit.plunger_diameter, pump.clearance, measured)
    return {
        "tip": _digest(tips),
        "hose": _digest([[_piece(item) for item in rig.main], runs]),
        "kit": _digest([job.unit.name, size, fitted]),
        "gauge": _digest(None if gauge is None else (gauge.full_scale, gauge.accuracy, gauge.division)),
    }


def _pair(rated: object) -> object:
    return None if rated is None else (getattr(rated, "flow", None), getattr(rated, "pressure", None))


def _piece(item: Item) -> object:
    piece = item.piece
    return (item.name, piece.bore, piece.length, piece.roughness, piece.loss_k, piece.tail_bore, piece.tail_length)


def _digest(facts: object) -> str:
    """First digits of a digest; numbers as far as two ways of writing one agree."""

    def told(fact: object) -> str:
        if isinstance(fact, float):
            return f"{fact:.9g}"
        return f"({','.join(map(told, fact))})" if isinstance(fact, list | tuple) else repr(fact)

    return hashlib.sha256(told(facts).encode()).hexdigest()[:DIGITS]


# ---- one explanation after the other ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Shown:
    """What speed [rev/s], hole of the bypass [m²] and gauge [Pa] may have been as the reading was taken."""

    gauge: float
    speed: float
    area: float


@dataclass(frozen=True, slots=True)
class _Cause:
    """One explanation: its share, and at each end of it and in the middle the condition and what was then shown."""

    what: str
    share: Span
    conditions: tuple[Condition, Condition, Condition]
    shown: tuple[_Shown, _Shown, _Shown]
    against: str = ""


def _shown(rig: CheckedRig, reading: Reading) -> tuple[_Shown, _Shown, _Shown]:
    """The reading at the end that speaks for the weakest rig, as read, and at the other end."""
    gauge, speed = _own_error(rig), spreads_of(rig).speed

    def at(side: float) -> _Shown:
        return _Shown(
            max(1.0, min(reading.gauge + side * gauge, SERVED_TO)),
            reading.pump_speed * (1.0 - side * speed),
            reading.bypass_area * (1.0 + side * OPENING_ERROR),
        )

    return at(-1.0), at(0.0), at(1.0)


def _own_error(rig: CheckedRig) -> float:
    """What a reading of the gauge may be wrong by: its class, as far as it is known, and half a division. [Pa]"""
    return (error_of(rig) or 0.0) + _half_division(rig.job.unit.gauge)


def _half_division(gauge: Gauge | None) -> float:
    if gauge is None:
        return 0.5 * UNDESCRIBED
    return 0.5 * (gauge.full_scale / DIVIDED if gauge.division is None else gauge.division)


def _given(rig: CheckedRig, shown: _Shown) -> float:
    """Mass flow that a sound pump would send into the hose run. [kg/s]"""
    return shown.speed * delivered_per_turn(rig.water, rig.pump, shown.gauge) - _spilt(rig, shown)


def _spilt(rig: CheckedRig, shown: _Shown) -> float:
    return jet_flow(rig.water, HOLE_DISCHARGE * shown.area, shown.gauge)[0]


def _cut(ends: Span, plausible: tuple[float, float]) -> Span | None:
    """What of an interval is plausible; None: nothing."""
    low, high = plausible
    if ends[2] < low - EDGE * abs(low) or ends[0] > high + EDGE * abs(high):
        return None
    first, middle, last = (min(max(end, low), high) for end in ends)
    return first, middle, last


def _pump(rig: CheckedRig, reading: Reading) -> _Cause:
    """The pump gives more or less than it should: the flow is what the rig takes at that gauge."""

    def strength(shown: _Shown) -> float:
        taken = reach(rig, "pump_pressure", shown.gauge).mass_flow + _spilt(rig, shown)
        return taken / max(1e-9, shown.speed * delivered_per_turn(rig.water, rig.pump, shown.gauge))

    shown = _shown(rig, reading)
    ends = strength(shown[0]), strength(shown[1]), strength(shown[2])
    share = _cut(ends, PUMP_GIVES)
    conditions = [Condition(pump_strength=end) for end in share or ends]
    return _Cause("pump", share or ends, _three(conditions), shown, "" if share else "range")


def _tip(rig: CheckedRig, reading: Reading) -> _Cause:
    """All tips are larger or smaller by one factor: the flow is what the pump gives at that gauge."""

    def area(shown: _Shown, plausible: tuple[float, float]) -> float:
        low, high = plausible
        return math.exp(
            _taking(rig, shown, lambda power: _with_tips(rig, math.exp(power)), math.log(low), math.log(high))
        )

    strong, middle, weak = reversed(_shown(rig, reading))
    near = TIP_AREA[0] / ROOM, TIP_AREA[1] * ROOM
    share, against = (area(strong, near), area(middle, near), area(weak, near)), ""
    for plausible, said in _tips_may_be(rig, reading):
        cut = _cut(share, plausible)
        if cut is None:
            against = said
            share = (area(middle, (1.0 / FAR, FAR)),) * 3
            break
        share = cut
    conditions = [_with_tips(rig, end) for end in share]
    return _Cause("tip", share, _three(conditions), (strong, middle, weak), against)


def _tips_may_be(rig: CheckedRig, reading: Reading) -> list[tuple[tuple[float, float], str]]:
    """Each interval that the area of the tips lies in, and what says so."""
    if reading.tips == "new" or (reading.tips == "pinned" and reading.pin is None):
        found = [((1.0 - NOMINAL, 1.0 + NOMINAL), "new" if reading.tips == "new" else "pin")]
    else:
        found = [(TIP_AREA, "range")]
    bore = bore_of(rig)
    if reading.pin is not None and bore is not None:
        error, area = _pin_error(reading.pin), (reading.pin / bore) ** 2
        low, high = ((reading.pin - error) / bore) ** 2, ((reading.pin + error) / bore) ** 2
        found.append(((min(low, (1.0 - NOMINAL) * area), max(high, (1.0 + NOMINAL) * area)), "pin"))
    return found


def bore_of(rig: CheckedRig) -> float | None:
    """The one bore of all tips of a task; None where they have several, or a rated tip has none. [m]

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> bore_of(check(JOB))
    0.0012

    References
    ----------
    Our own convention.
    """
    bores = {jets.bore for branch in rig.branches for jets in branch.rows}
    return bores.pop() if len(bores) == 1 else None


def _pin_error(bore: float) -> float:
    return max(PIN_ERROR, PIN_SHARE * bore)


def _with_tips(rig: CheckedRig, factor: float) -> Condition:
    tips = {jets.tip: factor for branch in rig.branches for jets in branch.rows}
    return Condition(tip_area=MappingProxyType(tips))


def _hose(rig: CheckedRig, reading: Reading) -> _Cause | None:
    """All hoses lose more or less than they should; share: of what they lose as planned at the same flow.

    None: there is no hose.

    Roughness and bore go together from the smoothest and widest (−1) over as planned (0) to the roughest and narrowest
    (1) that are plausible; what lies beyond changes the bore alone.
    """
    if not any(item.piece.length > 0.0 for run in _runs(rig) for item in run):
        return None

    def worse(shown: _Shown, most: float) -> float:
        return -_taking(rig, shown, lambda step: _with_hoses(-step), -most, most)

    shown = _shown(rig, reading)
    middle = worse(shown[1], ROOM)
    steps = _cut((worse(shown[0], ROOM), middle, worse(shown[2], ROOM)), (-1.0, 1.0))
    if steps is None:
        middle = worse(shown[1], WIDEST)
    conditions = [_with_hoses(step) for step in steps or (middle,) * 3]
    state = reach(rig, "pump_pressure", shown[1].gauge, condition=conditions[1])
    share = _loss(rig, state, conditions[0]), _loss(rig, state, conditions[1]), _loss(rig, state, conditions[2])
    return _Cause("hose", share, _three(conditions), shown, "" if steps else "range")


def _runs(rig: CheckedRig) -> list[tuple[Item, ...]]:
    return [rig.main, *(branch.items for branch in rig.branches)]


def _with_hoses(step: float) -> Condition:
    bounded = min(max(step, -1.0), 1.0)
    roughness = ROUGHER**bounded if step > 0.0 else SMOOTHER**bounded
    return Condition(roughness=roughness, hose_bore=1.0 - HOSE_BORE * step)


def _loss(rig: CheckedRig, state: State, condition: Condition) -> float:
    """What all hoses lose in a condition over what they would lose as planned, with the water of one state. [-]"""
    items, pieces = [item for run in _runs(rig) for item in run], network_of(rig, condition).pieces
    below = [ends[1] for run in (state.main, *(line.items for line in state.lines)) for ends in run]
    flows = [state.mass_flow] * len(rig.main)
    for branch, line in zip(rig.branches, state.lines, strict=True):
        flows += [line.jets + line.leak] * len(branch.items)
    lost = planned = 0.0
    for item, piece, end, flow in zip(items, pieces, below, flows, strict=True):
        if item.piece.length > 0.0:
            lost += piece_inlet(rig.water, piece, end, flow)[0] - end
            planned += piece_inlet(rig.water, item.piece, end, flow)[0] - end
    return lost / planned if planned > 0.0 else 1.0


def _gauge(rig: CheckedRig, reading: Reading, expected: float) -> _Cause:
    """The rig is as planned and the gauge is wrong, by its class at most; share: shown of what truly stands there.

    Of a gauge whose class nobody gave only half a division is believed, and nothing else that may be off.
    """
    half, known = _half_division(rig.job.unit.gauge), error_of(rig)
    error = half if known is None else known
    shown = _shown(rig, reading)

    def share(of: _Shown, side: float) -> float:
        return max(0.0, reading.gauge + side * half) / max(1.0, _standing(rig, of).pump_pressure)

    ends = share(shown[0], -1.0), reading.gauge / expected, share(shown[2], 1.0)
    within = _cut(ends, (1.0 - error / expected, 1.0 + error / expected))
    if known is None and abs(reading.gauge - expected) > half + EDGE * expected:
        within = None
    return _Cause("gauge", within or ends, (SOUND, SOUND, SOUND), shown, "" if within else "range")


def _three(conditions: list[Condition]) -> tuple[Condition, Condition, Condition]:
    low, middle, high = conditions
    return low, middle, high


def _taking(rig: CheckedRig, shown: _Shown, worn: Callable[[float], Condition], low: float, high: float) -> float:
    """How far a rig must be worn to take what a sound pump gives at that gauge; it takes more the further it is. [-]

    Where that lies beyond the ends it is the end that is nearer.
    """
    given, out = _given(rig, shown), [0.0] * (3 + 2 * len(rig.branches))

    def excess(at: float) -> float:
        network = network_of(rig, worn(at))
        runs = (network.pieces, network.main, network.lines)
        settle(network.water, network.pump, network.bypass, (), *runs, 0.0, 0.0, shown.gauge, out)
        return out[2] - given  # what was found last is where the next search starts

    below, above = excess(low), excess(high)
    if below >= 0.0 or above <= 0.0:
        return low if below >= 0.0 else high
    size, kept = abs(given), 0
    at = low
    for _step in range(80):  # false position; an end that stays is pulled in by halving its excess
        at = high - above * (high - low) / (above - below)
        now = excess(at)
        if abs(now) <= CLOSE * size or high - low <= CLOSE:
            break
        if now < 0.0:
            low, below = at, now
            above, kept = (0.5 * above, -1) if kept < 0 else (above, -1)
        else:
            high, above = at, now
            below, kept = (0.5 * below, 1) if kept > 0 else (below, 1)
    return at


# ---- further readings ------------------------------------------------------------------------------------------------


def _held_against(rig: CheckedRig, reading: Reading, cause: _Cause) -> _Cause:
    """An explanation with the further reading that contradicts it, if one does."""
    if cause.against:
        return cause
    if reading.flow is not None:
        flows = [_flow(rig, cause, place) for place in range(3)]
        if _apart(flows, (1.0 - FLOW_ERROR) * reading.flow, (1.0 + FLOW_ERROR) * reading.flow):
            return replace(cause, against="flow")
    bore = bore_of(rig)
    if reading.pin is not None and bore is not None and cause.what != "tip":
        error = _pin_error(reading.pin)
        if _apart([bore], reading.pin - error, reading.pin + error):
            return replace(cause, against="pin")
    if reading.flush is not None:
        error, ends = _own_error(rig), (0, 2)
        flushes = [_flush(rig, cause.conditions[one], cause.shown[other]) for one in ends for other in ends]
        if _apart(flushes, reading.flush - error, reading.flush + error):
            return replace(cause, against="flush")
    return cause


def _apart(told: list[float], low: float, high: float) -> bool:
    return max(told) < low - EDGE * abs(low) or min(told) > high + EDGE * abs(high)


def _flow(rig: CheckedRig, cause: _Cause, place: int = 1) -> float:
    """Through all jets, in the middle or at an end of an explanation. [m³/s]

    A weak pump gives what the rig takes at that gauge; behind a sound one tips and hoses take what it gives. Neither
    depends on how much of the explanation is plausible.
    """
    shown, condition = cause.shown[place], cause.conditions[place]
    density = rig.water.reference_density
    if cause.what == "gauge":
        return sum(line.jets for line in _standing(rig, shown).lines) / density
    if cause.what == "pump":
        return sum(line.jets for line in reach(rig, "pump_pressure", shown.gauge).lines) / density
    leaks = sum(line.leak for line in reach(rig, "pump_pressure", shown.gauge, condition=condition).lines)
    return max(0.0, _given(rig, shown) - leaks) / density


def _standing(rig: CheckedRig, shown: _Shown) -> State:
    """As planned at that speed and opening, whatever the gauge shows."""
    try:
        return solve(rig, Levers(shown.speed, shown.area))
    except NotServedError:
        return reach(rig, "pump_pressure", SERVED_TO)


def _flush(rig: CheckedRig, condition: Condition, shown: _Shown) -> float:
    """Gauge with the tips off, at that speed and opening. [Pa]"""
    network = open_end(rig, target_of(rig)[2], condition)
    runs, out = (network.pieces, network.main, network.lines), [0.0] * (3 + 2 * len(network.lines))
    settle(network.water, network.pump, network.bypass, (), *runs, shown.speed, shown.area, 0.0, out)
    return min(out[0], SERVED_TO)


def _next(rig: CheckedRig, reading: Reading, told: Iterable[Explanation]) -> str:
    """The further reading whose expectations lie furthest apart, over its own error; "" where none tells anything."""
    alive = [one for one in told if one.alive]
    if len(alive) < 2:
        return ""
    found: dict[str, float] = {}

    def spread(name: str, expected: list[float], error: float) -> None:
        apart = max(expected) - min(expected)
        if apart > error:
            found[name] = apart / error

    if reading.flow is None:
        flows = [one.flow or 0.0 for one in alive]
        spread("flow", flows, FLOW_ERROR * max(flows))
    bore = bore_of(rig)
    if reading.pin is None and bore is not None:
        bores = [bore * math.sqrt(one.share[1]) if one.what == "tip" else bore for one in alive]
        spread("pin", bores, _pin_error(bore))
    if reading.flush is None:
        spread("flush", [one.flush or 0.0 for one in alive], _own_error(rig))
    return max(found, key=lambda name: found[name], default="")


# ---- what is made of it ----------------------------------------------------------------------------------------------


def _told(rig: CheckedRig, machine: Machine, cause: _Cause, adopted: bool) -> Explanation:
    """An explanation with what a further reading would show, and, of a reading that is used, what would have to be set.

    A crew sets the gauge: each tool is told at the pressure of its target and at the planned gauge, the higher of both.
    """
    if cause.against:
        return Explanation(cause.what, cause.share, False, against=cause.against)
    flush = _flush(rig, cause.conditions[1], cause.shown[1])
    told = Explanation(cause.what, cause.share, True, flow=_flow(rig, cause), flush=flush)
    if not adopted:
        return told
    planned, known = machine.state.pump_pressure, error_of(rig)
    error = _half_division(rig.job.unit.gauge) if known is None else known
    speeds, pushes = [], []
    for share, condition in zip(cause.share, cause.conditions, strict=True):
        met = _met(rig, condition)
        speeds.append(_speed(rig, met, condition))
        hidden = min(planned / share - planned, error) if cause.what == "gauge" and 0.0 < share < 1.0 else 0.0
        put_on = reach(rig, "pump_pressure", min(planned + hidden, SERVED_TO), condition=condition)
        states = [_pushes(rig, state, condition) for state in (met, put_on)]
        pushes.append([max(both) for both in zip(*states, strict=True)])
    recoil = tuple((low, middle, high) for low, middle, high in zip(*pushes, strict=True))
    return replace(told, pump_speed=(speeds[0], speeds[1], speeds[2]), recoil=recoil)


def _met(rig: CheckedRig, condition: Condition) -> State:
    """The state in which the target is met, or as near to it as is served."""
    try:
        return reach(rig, *target_of(rig), condition)
    except NotServedError:
        return reach(rig, "pump_pressure", SERVED_TO, condition=condition)


def _speed(rig: CheckedRig, state: State, condition: Condition) -> float:
    """The pump's speed for a state, as `plan.setting` sets it. [rev/s]"""
    bypass = rig.job.unit.bypass
    pump = replace(rig.pump, strength=condition.pump_strength)
    speed = state.mass_flow / max(1e-9, delivered_per_turn(rig.water, pump, state.pump_pressure))
    if bypass.kind == "unloader":
        return speed
    return max(rig.start_speed, speed / (1.0 - bypass.spill) if bypass.kind == "regulating" else speed)


def _pushes(rig: CheckedRig, state: State, condition: Condition) -> list[float]:
    return [
        length_of(*push_of(rig, number, line.nozzle, condition)) for number, line in enumerate(state.lines, start=1)
    ]


def _fitted(rig: CheckedRig, machine: Machine, fit: Fit, alive: list[_Cause]) -> Fit:
    """The speed in the middle of what the explanations alive ask, and the most that a tool then pushes.

    With the bypass shut that speed is what is put on: what each explanation makes of it counts too.
    """
    asked = [one.pump_speed[1] for one in fit.explanations if one.pump_speed is not None]
    speed = 0.5 * (min(asked) + max(asked))
    told = fit.explanations
    if machine.bypass == "closed":
        causes = {cause.what: cause for cause in alive}
        told = tuple(_put_on(rig, speed, causes[one.what], one) if one.alive else one for one in told)
    pushes = [_pushes(rig, machine.state, SOUND), *([push[1] for push in one.recoil] for one in told if one.alive)]
    return replace(
        fit,
        explanations=told,
        pump_speed=(min(asked), speed, max(asked)),
        recoil=tuple(max(each) for each in zip(*pushes, strict=True)),
    )


def _put_on(rig: CheckedRig, speed: float, cause: _Cause, told: Explanation) -> Explanation:
    """An explanation with what a tool pushes when a speed is put on, where that is more."""
    pushes = []
    for condition in cause.conditions:
        try:
            state = solve(rig, Levers(speed), condition)
        except NotServedError:
            state = reach(rig, "pump_pressure", SERVED_TO, condition=condition)
        pushes.append(_pushes(rig, state, condition))
    most = [tuple(map(max, push, ends)) for push, ends in zip(told.recoil, zip(*pushes, strict=True), strict=True)]
    return replace(told, recoil=tuple((low, middle, high) for low, middle, high in most))
