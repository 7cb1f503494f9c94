"""How well a setting is known: the spreads of what nobody measured, carried through the solver to first order."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from jetwright.errors import NotServedError
from jetwright.parts.nozzle import DISCHARGE, UNKNOWN_INLET
from jetwright.parts.pump import delivered_per_turn
from jetwright.plan.answer import ProvingPoint, Tolerance
from jetwright.plan.setting import Machine, target_of
from jetwright.plan.taken import TAILS_ADD
from jetwright.plan.unknown import unknown_tips
from jetwright.rig.check import CheckedRig, Item, check
from jetwright.rig.condition import SOUND, Condition
from jetwright.rig.description import Spread
from jetwright.solve.balance import reach_nozzle, settle
from jetwright.solve.network import network_of
from jetwright.solve.push import push_of
from jetwright.solve.steady import SERVED_TO, nozzle_for_flow

COMMON = Spread(
    cd=0.03, tip_bore=0.015, hose_bore=0.015, roughness=2.0, pump_flow=0.015, speed=0.01, supply_temperature=3.0
)
"""One standard deviation of each input that no job file overrides (common practice)."""

MEASURED = 1.0 / 3.0
"""Share of its spread that is left to a value that was measured (our own convention)."""

P95 = 1.645
"""Standard deviations from the middle to the end that 5 % lie beyond."""

COLDEST, WARMEST = 273.15, 333.15
"""Supply temperatures that are served. [K]"""

AREA_STEP, BORE_STEP, LENGTH_STEP, DELIVERY_STEP, HELD_STEP = 0.07, 0.025, 0.07, 0.03, 0.02
"""Steps of the differences, as shares: near the ends of the common spreads, and the same whatever the spread."""
ROUGHNESS_STEP = 3.0
"""The same, as a factor. [-]"""
TEMPERATURE_STEP = 5.0
"""The same. [K]"""

_BRACKET = tuple(end / DISCHARGE["unknown"] for end in UNKNOWN_INLET)


@dataclass(frozen=True, slots=True)
class Spreads:
    """One standard deviation of each input of a rig.

    area: Cd × area by tip name; hose_bore, tails (loss of the hoses that give none), pump_flow, speed: shares [-];
    roughness: of its logarithm [-]; temperature [K]; gauge [Pa].
    """

    area: Mapping[str, float]
    hose_bore: float
    roughness: float
    tails: float
    pump_flow: float
    speed: float
    temperature: float
    gauge: float


def error_of(rig: CheckedRig) -> float | None:
    """Most that the gauge may be wrong by, from its class; None when gauge or class is not described. [Pa]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.description import Gauge
    >>> from jetwright.rig.example import JOB
    >>> unit = replace(JOB.unit, gauge=Gauge(full_scale=1600e5, accuracy=1.6))
    >>> f"{error_of(check(replace(JOB, unit=unit))) / 1e5:.1f} bar"
    '25.6 bar'

    References
    ----------
    Definition of a gauge's class: the error it may have in percent of its full scale.
    """
    gauge = rig.job.unit.gauge
    return None if gauge is None or gauge.accuracy is None else 0.01 * gauge.accuracy * gauge.full_scale


def spreads_of(rig: CheckedRig) -> Spreads:
    """Spread of every input of a rig: the common ones, what the job says instead, a third where it was measured. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> f"{spreads_of(check(JOB)).area['R12']:.4f}"  # 3 % of Cd, twice 1.5 % of the bore
    '0.0424'

    References
    ----------
    Our own convention: docs/tolerance.md.
    """
    job = rig.job
    said = job.spread or COMMON

    def of(name: str) -> float:
        given, common = getattr(said, name), getattr(COMMON, name)
        return float(common if given is None else given)

    area = {}
    for name in dict.fromkeys(row.tip for branch in rig.branches for row in branch.rows):
        cd = of("cd") * (MEASURED if job.tips[name].cd is not None else 1.0)
        area[name] = math.hypot(cd, 2.0 * of("tip_bore"))
    bare = any(item.name in job.hoses and job.hoses[item.name].tails is None for item in _items(rig))
    return Spreads(
        area=area,
        hose_bore=of("hose_bore"),
        roughness=math.log(of("roughness")),
        tails=TAILS_ADD / math.sqrt(12.0) if bare else 0.0,
        pump_flow=of("pump_flow") * (MEASURED if job.unit.pump.measured else 1.0),
        speed=of("speed"),
        temperature=of("supply_temperature"),
        gauge=(error_of(rig) or 0.0) / math.sqrt(3.0),
    )


def tolerance_of(rig: CheckedRig, machine: Machine, proving: ProvingPoint) -> Tolerance:
    """How well a setting is known, P5 to P95. [Pa, rev/s, N]

    Each input is moved by itself, the rig solved again, and what the answers move by is added up as independent
    spreads; tips of different names are independent, all hoses have one bore and one roughness. What an unknown inlet
    may do is added whole, at the end that is worse.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    machine : Machine
        Its setting. [-]
    proving : ProvingPoint
        Where it is proven. [-]

    Examples
    --------
    >>> from jetwright.plan.proving import proving_point
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> known = tolerance_of(rig, machine, proving_point(rig, machine.state.pump_pressure))
    >>> " ".join(f"{end / 1e5:.0f}" for end in known.pump_pressure), f"{known.recoil[0]:.0f} N"
    ('884 906', '181 N')

    References
    ----------
    Taylor's series to first order; docs/tolerance.md.
    """
    spreads, error = spreads_of(rig), error_of(rig) or 0.0
    asked = _Asked(*target_of(rig), proving, machine.state.pump_pressure)
    middle = _answers(rig, SOUND, asked)
    moves = _moves(rig, asked, spreads, middle)
    ends = [[_answers(rig, Condition(tip_area={tip: share}), asked) for share in _BRACKET] for tip in unknown_tips(rig)]
    count = len(rig.branches)

    def below(index: int) -> float:
        spread = math.sqrt(sum(min(0.0, up[index], down[index]) ** 2 for up, down in moves))
        return P95 * spread + sum(max(0.0, *(middle[index] - end[index] for end in pair)) for pair in ends)

    def above(index: int) -> float:
        spread = math.sqrt(sum(max(0.0, up[index], down[index]) ** 2 for up, down in moves))
        return P95 * spread + sum(max(0.0, *(end[index] - middle[index] for end in pair)) for pair in ends)

    def gauge_band(index: int, centre: float) -> tuple[float, float]:
        low, high = centre - max(below(index), error), centre + max(above(index), error)
        return max(low, min(centre, 0.0)), high

    def longest(branch: int) -> float:
        along, across = 3 + count + branch, 3 + 2 * count + branch
        length = math.hypot(middle[along], middle[across])
        spread = math.sqrt(sum(max(math.hypot(one[along], one[across]) for one in pair) ** 2 for pair in moves))
        grown = sum(max(0.0, *(math.hypot(end[along], end[across]) - length for end in pair)) for pair in ends)
        return length + P95 * spread + grown

    turns = (middle[1] - below(1), middle[1] + above(1))
    return Tolerance(
        pump_pressure=gauge_band(0, machine.state.pump_pressure),
        pump_speed=None if machine.speed is None else _speeds(rig, turns, spreads.speed),
        proving=gauge_band(2, proving.gauge),
        recoil=tuple(longest(branch) for branch in range(count)),
        nozzle=tuple(middle[3 + branch] + above(3 + branch) for branch in range(count)),
        gauge_error=error_of(rig),
    )


@dataclass(frozen=True, slots=True)
class _Asked:
    """Target (kind, value [Pa or m³/s], branch), proving point, and the pump pressure held for the pushes [Pa]."""

    kind: str
    value: float
    at: int
    proving: ProvingPoint
    held: float


def _items(rig: CheckedRig) -> list[Item]:
    return [item for run in (rig.main, *(branch.items for branch in rig.branches)) for item in run]


def _answers(rig: CheckedRig, condition: Condition, asked: _Asked) -> list[float]:
    """What the spreads are carried to.

    Gauge at which the target is met, speed with the bypass shut at which it is, gauge at the proving point; then, with
    the pump pressure held, each branch's nozzle pressure, push along and push across. [Pa, rev/s, Pa, Pa, N, N]
    """
    network = network_of(rig, condition)
    water, pieces, main, lines = network.water, network.pieces, network.main, network.lines

    def settled(speed: float, area: float, held: float) -> list[float]:
        out = [0.0] * (3 + 2 * len(lines))
        settle(water, network.pump, network.bypass, (), pieces, main, lines, speed, area, held, out)
        return out

    if asked.kind == "pump_pressure":
        met = settled(0.0, 0.0, asked.value)
    else:
        met = [0.0] * (3 + 2 * len(lines))
        nozzle = asked.value
        if asked.kind == "flow":
            try:
                nozzle = nozzle_for_flow(network, lines[asked.at - 1], asked.value)
            except NotServedError:
                nozzle = SERVED_TO  # a target at the very end of what is served
        reach_nozzle(water, pieces, main, lines, asked.at - 1, nozzle, met)
    per_turn = delivered_per_turn(water, network.pump, met[0])
    proven = settled(asked.proving.pump_speed, asked.proving.bypass_area, 0.0)
    still = met if asked.held <= 0.0 else settled(0.0, 0.0, asked.held)  # below zero a tool draws by itself
    nozzles = [u * u for u in still[3 : 3 + len(lines)]]
    pushes = [push_of(rig, number, nozzle, condition) for number, nozzle in enumerate(nozzles, start=1)]
    turns = met[2] / max(per_turn, 1e-9)
    return [met[0], turns, proven[0], *nozzles, *(along for along, _ in pushes), *(across for _, across in pushes)]


def _moves(
    rig: CheckedRig, asked: _Asked, spreads: Spreads, middle: list[float]
) -> list[tuple[list[float], list[float]]]:
    """What each input's spread moves the answers by, a pair an input: moved up, and moved down."""
    rows = []

    def moved(spread: float, step: float, answers: list[float]) -> list[float]:
        return [spread / step * (one - other) for one, other in zip(answers, middle, strict=True)]

    def move(spread: float, step: float, up: Condition, down: Condition) -> None:
        if spread > 0.0:
            higher, lower = (moved(spread, step, _answers(rig, one, asked)) for one in (up, down))
            rows.append((higher, lower))

    for tip, spread in spreads.area.items():
        worn, tight = (Condition(tip_area={tip: 1.0 + step}) for step in (AREA_STEP, -AREA_STEP))
        move(spread, AREA_STEP, worn, tight)
    if _items(rig):
        move(spreads.hose_bore, BORE_STEP, Condition(hose_bore=1.0 + BORE_STEP), Condition(hose_bore=1.0 - BORE_STEP))
        rough, smooth = Condition(roughness=ROUGHNESS_STEP), Condition(roughness=1.0 / ROUGHNESS_STEP)
        move(spreads.roughness, math.log(ROUGHNESS_STEP), rough, smooth)
    strong, weak = Condition(pump_strength=1.0 + DELIVERY_STEP), Condition(pump_strength=1.0 - DELIVERY_STEP)
    move(math.hypot(spreads.pump_flow, spreads.speed), DELIVERY_STEP, strong, weak)
    if spreads.tails > 0.0:
        longer, shorter = (
            moved(spreads.tails, LENGTH_STEP, _answers(_with_loss(rig, step), SOUND, asked))
            for step in (LENGTH_STEP, -LENGTH_STEP)
        )
        rows.append((longer, shorter))
    if spreads.temperature > 0.0:
        supply, both = rig.job.supply.temperature, []
        for other in (min(supply + TEMPERATURE_STEP, WARMEST), max(supply - TEMPERATURE_STEP, COLDEST)):
            if other != supply:
                both.append(moved(spreads.temperature, abs(other - supply), _answers(_at(rig, other), SOUND, asked)))
        rows.append((both[0], both[-1]))
    if spreads.gauge > 0.0:
        step = HELD_STEP * abs(asked.held)
        for_held = [_answers(rig, SOUND, replace(asked, held=asked.held + one)) for one in (step, -step)]
        higher, lower = (moved(spreads.gauge, max(step, 1.0), one) for one in for_held)
        read = spreads.gauge  # what the gauge is wrong by is read off it, at the target as at the proving point
        rows.append(([read, higher[1], read, *higher[3:]], [-read, lower[1], -read, *lower[3:]]))
    return rows


def _with_loss(rig: CheckedRig, share: float) -> CheckedRig:
    """The rig with so much more loss in every hose that gives no tails: as much longer, for loss goes with length."""
    hoses = {
        name: replace(hose, length=(1.0 + share) * hose.length) if hose.tails is None else hose
        for name, hose in rig.job.hoses.items()
    }
    return check(replace(rig.job, hoses=hoses, task=(rig.task,)))


def _at(rig: CheckedRig, temperature: float) -> CheckedRig:
    """The rig on warmer or colder supply water."""
    return check(replace(rig.job, supply=replace(rig.job.supply, temperature=temperature), task=(rig.task,)))


def _speeds(rig: CheckedRig, turns: tuple[float, float], spread: float) -> tuple[float, float]:
    """From the speeds that meet the target with the bypass shut to those of the setting: start speed is the least."""
    bypass = rig.job.unit.bypass
    if bypass.kind == "unloader":
        return max(turns[0], 0.0), turns[1]
    share = 1.0 - bypass.spill if bypass.kind == "regulating" else 1.0
    least = (rig.start_speed * (1.0 - P95 * spread), rig.start_speed * (1.0 + P95 * spread))
    return max(turns[0] / share, least[0]), max(turns[1] / share, least[1])
