"""Each single explanation of a reading: how far it must go, alone, for the model to show what was seen."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType

from jetwright.errors import NotServedError
from jetwright.limits.limit import EDGE
from jetwright.parts.hose import piece_inlet
from jetwright.parts.nozzle import HOLE_DISCHARGE, jet_flow
from jetwright.parts.pump import delivered_per_turn
from jetwright.plan.answer import Span
from jetwright.plan.tolerance import error_of, spreads_of
from jetwright.rig.check import CheckedRig, Item
from jetwright.rig.condition import SOUND, Condition
from jetwright.rig.description import Gauge, Reading
from jetwright.solve.balance import settle
from jetwright.solve.network import network_of
from jetwright.solve.steady import SERVED_TO, Levers, State, reach, solve

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
PIN_ERROR, PIN_SHARE = 0.02e-3, 0.01
"""Of a bore by pin gauges: the step of a set [m], or a hundredth where that is more (common practice)."""
DIVIDED = 50.0
"""Divisions of a scale whose divisions nobody gave (common practice)."""
UNDESCRIBED = 10e5
"""Division of a gauge that nobody described (common practice). [Pa]"""
OPENING_ERROR = 0.05
"""How well a part opening is set, by turns of the stem (common practice)."""
ROOM = 1.1
"""How far beyond what is plausible an explanation is looked for, as a factor."""
WIDEST, FAR = 20.0, 10.0
"""How far to see by how much one is implausible: times the plausible change of a hose; factor on the tips' area."""
CLOSE = 1e-11
"""Share of the flow to which it is found."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What speed [rev/s], hole of the bypass [m²] and gauge [Pa] may have been as the reading was taken."""

    gauge: float
    speed: float
    area: float


@dataclass(frozen=True, slots=True)
class Cause:
    """One explanation: its share, and at each end of it and in the middle the condition and what was then shown."""

    what: str
    share: Span
    conditions: tuple[Condition, Condition, Condition]
    shown: tuple[Shown, Shown, Shown]
    against: str = ""


def causes_of(rig: CheckedRig, reading: Reading, pump_pressure: float) -> list[Cause]:
    """Pump, tips, hoses where there are any, and gauge: each as it must be to explain a reading alone. [-]

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]
    reading : Reading
        As it was read. [-]
    pump_pressure : float
        What the gauge should have shown. [Pa]

    Examples
    --------
    >>> import datetime
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> reading = Reading(JOB.task[0].name, datetime.date(2026, 5, 4), rig.start_speed, 470e5)
    >>> [f"{cause.what} {cause.share[1]:.3f} {cause.against}" for cause in causes_of(rig, reading, 483e5)]
    ['pump 0.967 ', 'tip 1.036 ', 'hose 0.093 range', 'gauge 0.973 range']

    References
    ----------
    Our own convention: docs/fit.md.
    """
    causes = [cause for cause in (_pump(rig, reading), _tip(rig, reading), _hose(rig, reading)) if cause is not None]
    return [*causes, _gauge(rig, reading, pump_pressure)]


def _shown(rig: CheckedRig, reading: Reading) -> tuple[Shown, Shown, Shown]:
    """The reading at the end that speaks for the weakest rig, as read, and at the other end."""
    gauge, speed = own_error(rig), spreads_of(rig).speed

    def at(side: float) -> Shown:
        return Shown(
            max(1.0, min(reading.gauge + side * gauge, SERVED_TO)),
            reading.pump_speed * (1.0 - side * speed),
            reading.bypass_area * (1.0 + side * OPENING_ERROR),
        )

    return at(-1.0), at(0.0), at(1.0)


def own_error(rig: CheckedRig) -> float:
    """What a reading of the gauge may be wrong by: its class, as far as it is known, and half a division. [Pa]

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> own_error(check(JOB)) / 1e5
    5.0

    References
    ----------
    Our own convention: docs/fit.md.
    """
    return (error_of(rig) or 0.0) + half_division(rig.job.unit.gauge)


def half_division(gauge: Gauge | None) -> float:
    """How well a gauge's scale can be read, where nobody gave its divisions as is usual. [Pa]

    Parameters
    ----------
    gauge : Gauge | None
        As described. [-]

    Examples
    --------
    >>> half_division(Gauge(1600e5, division=20e5)) / 1e5, half_division(None) / 1e5
    (10.0, 5.0)

    References
    ----------
    Our own convention: docs/fit.md.
    """
    if gauge is None:
        return 0.5 * UNDESCRIBED
    return 0.5 * (gauge.full_scale / DIVIDED if gauge.division is None else gauge.division)


def given_at(rig: CheckedRig, shown: Shown) -> float:
    """Mass flow that a sound pump would send into the hose run. [kg/s]

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]
    shown : Shown
        What was shown. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> f"{given_at(check(JOB), Shown(500e5, 2.0, 0.0)):.3f} kg/s"
    '0.288 kg/s'

    References
    ----------
    Our own convention: docs/fit.md.
    """
    return shown.speed * delivered_per_turn(rig.water, rig.pump, shown.gauge) - _spilt(rig, shown)


def _spilt(rig: CheckedRig, shown: Shown) -> float:
    return jet_flow(rig.water, HOLE_DISCHARGE * shown.area, shown.gauge)[0]


def _cut(ends: Span, plausible: tuple[float, float]) -> Span | None:
    """What of an interval is plausible; None: nothing."""
    low, high = plausible
    if ends[2] < low - EDGE * abs(low) or ends[0] > high + EDGE * abs(high):
        return None
    first, middle, last = (min(max(end, low), high) for end in ends)
    return first, middle, last


def _pump(rig: CheckedRig, reading: Reading) -> Cause:
    """The pump gives more or less than it should: the flow is what the rig takes at that gauge."""

    def strength(shown: Shown) -> float:
        taken = reach(rig, "pump_pressure", shown.gauge).mass_flow + _spilt(rig, shown)
        return taken / max(1e-9, shown.speed * delivered_per_turn(rig.water, rig.pump, shown.gauge))

    shown = _shown(rig, reading)
    ends = strength(shown[0]), strength(shown[1]), strength(shown[2])
    share = _cut(ends, PUMP_GIVES)
    conditions = [Condition(pump_strength=end) for end in share or ends]
    return Cause("pump", share or ends, _three(conditions), shown, "" if share else "range")


def _tip(rig: CheckedRig, reading: Reading) -> Cause:
    """All tips are larger or smaller by one factor: the flow is what the pump gives at that gauge."""

    def area(shown: Shown, plausible: tuple[float, float]) -> float:
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
    return Cause("tip", share, _three(conditions), (strong, middle, weak), against)


def _tips_may_be(rig: CheckedRig, reading: Reading) -> list[tuple[tuple[float, float], str]]:
    """Each interval that the area of the tips lies in, and what says so."""
    if reading.tips == "new" or (reading.tips == "pinned" and reading.pin is None):
        found = [((1.0 - NOMINAL, 1.0 + NOMINAL), "new" if reading.tips == "new" else "pin")]
    else:
        found = [(TIP_AREA, "range")]
    bore = bore_of(rig)
    if reading.pin is not None and bore is not None:
        error, area = pin_error(reading.pin), (reading.pin / bore) ** 2
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


def pin_error(bore: float) -> float:
    """What a bore by pin gauges may be wrong by. [m]

    Parameters
    ----------
    bore : float
        As it was gauged. [m]

    Examples
    --------
    >>> pin_error(1.2e-3), pin_error(3e-3)
    (2e-05, 3e-05)

    References
    ----------
    Our own convention: docs/fit.md.
    """
    return max(PIN_ERROR, PIN_SHARE * bore)


def _with_tips(rig: CheckedRig, factor: float) -> Condition:
    tips = {jets.tip: factor for branch in rig.branches for jets in branch.rows}
    return Condition(tip_area=MappingProxyType(tips))


def _hose(rig: CheckedRig, reading: Reading) -> Cause | None:
    """All hoses lose more or less than they should; share: of what they lose as planned at the same flow.

    None: there is no hose.

    Roughness and bore go together from the smoothest and widest (−1) over as planned (0) to the roughest and narrowest
    (1) that are plausible; what lies beyond changes the bore alone.
    """
    if not any(item.piece.length > 0.0 for run in _runs(rig) for item in run):
        return None

    def worse(shown: Shown, most: float) -> float:
        return -_taking(rig, shown, lambda step: _with_hoses(-step), -most, most)

    shown = _shown(rig, reading)
    middle = worse(shown[1], ROOM)
    steps = _cut((worse(shown[0], ROOM), middle, worse(shown[2], ROOM)), (-1.0, 1.0))
    if steps is None:
        middle = worse(shown[1], WIDEST)
    conditions = [_with_hoses(step) for step in steps or (middle,) * 3]
    state = reach(rig, "pump_pressure", shown[1].gauge, condition=conditions[1])
    share = _loss(rig, state, conditions[0]), _loss(rig, state, conditions[1]), _loss(rig, state, conditions[2])
    return Cause("hose", share, _three(conditions), shown, "" if steps else "range")


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


def _gauge(rig: CheckedRig, reading: Reading, expected: float) -> Cause:
    """The rig is as planned and the gauge is wrong, by its class at most; share: shown of what truly stands there.

    Of a gauge whose class nobody gave only half a division is believed, and nothing else that may be off.
    """
    half, known = half_division(rig.job.unit.gauge), error_of(rig)
    error = half if known is None else known
    shown = _shown(rig, reading)

    def share(of: Shown, side: float) -> float:
        return max(0.0, reading.gauge + side * half) / max(1.0, standing_at(rig, of).pump_pressure)

    ends = share(shown[0], -1.0), reading.gauge / expected, share(shown[2], 1.0)
    within = _cut(ends, (1.0 - error / expected, 1.0 + error / expected))
    if known is None and abs(reading.gauge - expected) > half + EDGE * expected:
        within = None
    return Cause("gauge", within or ends, (SOUND, SOUND, SOUND), shown, "" if within else "range")


def _three(conditions: list[Condition]) -> tuple[Condition, Condition, Condition]:
    low, middle, high = conditions
    return low, middle, high


def _taking(rig: CheckedRig, shown: Shown, worn: Callable[[float], Condition], low: float, high: float) -> float:
    """How far a rig must be worn to take what a sound pump gives at that gauge; it takes more the further it is. [-]

    Where that lies beyond the ends it is the end that is nearer.
    """
    given, out = given_at(rig, shown), [0.0] * (3 + 2 * len(rig.branches))

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


def standing_at(rig: CheckedRig, shown: Shown) -> State:
    """As planned at that speed and opening, whatever the gauge shows; at 4000 bar where it would be above. [-]

    Parameters
    ----------
    rig : CheckedRig
        Of the task. [-]
    shown : Shown
        What was shown. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> f"{standing_at(check(JOB), Shown(500e5, 2.0, 0.0)).pump_pressure / 1e5:.0f} bar"
    '430 bar'

    References
    ----------
    Our own convention: docs/fit.md.
    """
    try:
        return solve(rig, Levers(shown.speed, shown.area))
    except NotServedError:
        return reach(rig, "pump_pressure", SERVED_TO)
