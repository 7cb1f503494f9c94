"""Many draws of a rig's spreads in place of straight lines: where the gauge may stand, and which input decides."""

import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import NormalDist

from jetwright.parts.bypass import Bypass
from jetwright.parts.nozzle import DISCHARGE, UNKNOWN_INLET, recoil
from jetwright.plan.answer import ProvingPoint
from jetwright.plan.setting import Machine, target_of
from jetwright.plan.tolerance import COLDEST, WARMEST, error_of, spreads_of
from jetwright.plan.unknown import unknown_tips
from jetwright.rig.check import CheckedBranch, CheckedRig, check
from jetwright.rig.condition import SOUND
from jetwright.solve import many
from jetwright.solve.many import Asked, Batch, Drawn, TipSpread
from jetwright.solve.network import network_of

COUNT = 10_000
"""Draws that are taken where nobody says how many."""
TEMPERATURES = 64
"""Steps of the supply temperature: the water's fits are collapsed once for each."""
ALIKE = 0.10
"""Share of a band's width by which the ends of two bands may differ and still tell the same."""

NAMES = ("hose_bore", "roughness", "tails", "pump_flow", "speed", "temperature", "gauge")
"""Inputs in the order of `solve.many`, tips and inlets apart."""


@dataclass(frozen=True, slots=True)
class Percentiles:
    """Of a hundred such rigs five stand below `low`, half below `middle`, five above `high`."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class InputShare:
    """How much one input decides.

    what: "tip", "inlet", "hose_bore", "roughness", "tails", "pump_flow", "speed", "temperature" or "gauge"; tip: its
    name; measured: whether its spread is already that of a measured value. shares of the variance [-] of the gauge at
    the target, the speed, the gauge at the proving point, then of each tool's nozzle pressure, then of each recoil.
    """

    what: str
    tip: str
    measured: bool
    shares: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Draws:
    """What many draws of a rig's inputs do: percentiles of gauge [Pa] and speed [rev/s] at which the target is truly
    met, of the gauge at the proving point [Pa], and, with the gauge on the target, of each tool's nozzle pressure [Pa]
    and recoil [N]; the inputs, the one that decides most first; rest: of each answer, what no input explains alone [-].
    """

    count: int
    seed: int
    gauge: Percentiles
    speed: Percentiles
    proving: Percentiles
    nozzle: tuple[Percentiles, ...]
    recoil: tuple[Percentiles, ...]
    inputs: tuple[InputShare, ...]
    rest: tuple[float, ...]


def quantile(ordered: Sequence[float], portion: float) -> float:
    """Value below which a portion of ordered values lies, a straight line between neighbours. [the unit of ordered]

    Parameters
    ----------
    ordered : Sequence of float
        From the least up. [any]
    portion : float
        0 to 1. [-]

    Examples
    --------
    >>> quantile([1.0, 2.0, 4.0], 0.75)
    3.0

    References
    ----------
    Interpolation between order statistics, common practice.
    """
    place = portion * (len(ordered) - 1)
    below = min(int(place), len(ordered) - 2)
    return float(ordered[below] + (place - below) * (ordered[below + 1] - ordered[below]))


@lru_cache(maxsize=4)
def bell(count: int) -> tuple[float, ...]:
    """Scores of a bell-shaped input at so many levels of equal likelihood. [-]

    Parameters
    ----------
    count : int
        Levels. [-]

    Examples
    --------
    >>> [f"{score:.3f}" for score in bell(3)]
    ['-0.967', '0.000', '0.967']

    References
    ----------
    Definition of the standard normal distribution: its quantiles in the middle of each level.
    """
    inverse, half = NormalDist().inv_cdf, count // 2
    below = [inverse((level + 0.5) / count) for level in range(half)]
    return (*below, *([0.0] if count % 2 else []), *(-score for score in reversed(below)))


def batch_of(rig: CheckedRig, machine: Machine, proving: ProvingPoint, count: int = COUNT, seed: int = 1) -> Batch:
    """A rig with its spreads, lowered for many draws. [-]

    The sample is a Latin hypercube: each input takes each of its equally likely levels once, in an order shuffled by
    whole numbers that are the same on every machine. Where inputs add up, as they nearly do here, its percentiles
    scatter less from seed to seed than those of random draws, and nowhere more.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    machine : Machine
        Its setting. [-]
    proving : ProvingPoint
        Where it is proven. [-]
    count : int
        Draws. [-]
    seed : int
        Of the shifts. [-]

    Examples
    --------
    >>> from jetwright.plan.proving import proving_point
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> batch = batch_of(rig, machine, proving_point(rig, machine.state.pump_pressure))
    >>> len(batch.shapes), len(batch.waters), f"{batch.spreads[0]:.3f}"
    (8, 64, '0.015')

    References
    ----------
    McKay, Beckman and Conover.
    """
    spreads, network = spreads_of(rig), network_of(rig, SOUND)
    tips, unknown, cd = _tips(rig), unknown_tips(rig), DISCHARGE["unknown"]
    shapes = [many.NORMAL] * (many.TIPS + len(tips))
    shapes[many.TAILS] = shapes[many.GAUGE] = many.UNIFORM
    shapes[many.TEMPERATURE] = many.STEPPED
    spread_of = []
    for tip in tips:
        inlet = TipSpread(spreads.area[tip])
        if tip in unknown:
            low, high = (end / cd for end in UNKNOWN_INLET)
            inlet = TipSpread(spreads.area[tip], 0.5 * (low + high), 0.5 * (high - low), len(shapes))
            shapes.append(many.UNIFORM)
        spread_of.append(inlet)
    warm = _warm(spreads.temperature)
    rigs = [_at(rig, spreads.temperature * score) for score in warm]
    networks = [network_of(one, SOUND) for one in rigs]
    kind, value, at = target_of(rig)
    held, bypass = machine.state.pump_pressure, rig.job.unit.bypass
    return Batch(
        draws=count,
        first=random.Random(seed).randrange(1, many.MODULUS),
        shapes=tuple(shapes),
        spreads=(
            spreads.hose_bore,
            spreads.roughness,
            spreads.tails,
            spreads.pump_flow,
            spreads.speed,
            spreads.temperature,
            spreads.gauge,
        ),
        normal=bell(count),
        warm=warm,
        asked=Asked(
            kind=("nozzle_pressure", "pump_pressure", "flow").index(kind),
            value=float(value),
            at=at - 1,
            speed=proving.pump_speed,
            area=proving.bypass_area,
            held=held,
            least=0.0 if bypass.kind == "unloader" else rig.start_speed,
            share=1.0 - bypass.spill if bypass.kind == "regulating" else 1.0,
        ),
        waters=tuple(one.water for one in networks),
        pumps=tuple(one.pump for one in networks),
        bypass=(Bypass(),),
        reliefs=(),
        pieces=network.pieces,
        loose=_loose(rig),
        worn=network.pieces,
        main=network.main,
        lines=network.lines,
        tips=tuple(spread_of),
        areas=tuple(_areas(one, tips) for one in rigs),
    )


def draws_of(
    rig: CheckedRig,
    machine: Machine,
    proving: ProvingPoint,
    count: int = COUNT,
    seed: int = 1,
    *,
    plain: bool = False,
) -> Draws:
    """What many draws of a rig's inputs do, P5, P50 and P95, and which input decides. [-]

    Each draw moves every input at once and solves the rig three times: the target met, the gauge held on it, the
    proving point. Spreads and answers are those of `plan.tolerance`, without its straight lines; as there, no band of
    a gauge is narrower than what the gauge may be wrong by.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    machine : Machine
        Its setting. [-]
    proving : ProvingPoint
        Where it is proven. [-]
    count : int
        Draws, some hundreds or more. [-]
    seed : int
        Of the sample. [-]
    plain : bool
        Do without compiled code; so it is anyway where numba is not installed. The draws and the answers are the same.
        [-]

    Examples
    --------
    >>> from jetwright.plan.proving import proving_point
    >>> from jetwright.plan.setting import machine_for
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> draws = draws_of(rig, machine, proving_point(rig, machine.state.pump_pressure), 200, plain=True)
    >>> f"{draws.gauge.low / 1e5:.0f} to {draws.gauge.high / 1e5:.0f} bar; most by {draws.inputs[0].what}"
    '885 to 906 bar; most by tip'

    References
    ----------
    Random sampling of the inputs, common practice; shares after Sobol'.
    """
    fast = None if plain else _compiled()
    batch = batch_of(rig, machine, proving, count, seed)
    drawn = many.draw(batch) if fast is None else fast(batch)
    error, lines = error_of(rig) or 0.0, len(batch.lines)
    found = [Percentiles(*(quantile(column, share) for share in (0.05, 0.50, 0.95))) for column in drawn.ordered]
    inputs = _inputs(rig, batch, drawn)
    return Draws(
        count=count,
        seed=seed,
        gauge=_no_finer(found[many.AT_GAUGE], error),
        speed=found[many.AT_SPEED],
        proving=_no_finer(found[many.AT_PROVING], error),
        nozzle=tuple(found[many.AT_TOOLS : many.AT_TOOLS + lines]),
        recoil=tuple(found[many.AT_TOOLS + lines :]),
        inputs=inputs,
        rest=tuple(_rest([one.shares[column] for one in inputs]) for column in range(len(found))),
    )


def apart(found: Percentiles, low: float | None, high: float) -> bool:
    """Whether a band of straight lines tells something else than the draws: an end off by a tenth of their width. [-]

    Parameters
    ----------
    found : Percentiles
        Of the draws. [-]
    low : float | None
        Lower end of the band; None where it has none. [any]
    high : float
        Its upper end. [any]

    Examples
    --------
    >>> apart(Percentiles(900.0, 930.0, 960.0), 899.0, 962.0), apart(Percentiles(900.0, 930.0, 960.0), None, 970.0)
    (False, True)

    References
    ----------
    Our own convention: docs/tolerance.md.
    """
    ends = [(high, found.high)] if low is None else [(low, found.low), (high, found.high)]
    least = ALIKE * (found.high - found.low)
    return any(abs(one - other) > least + 1e-6 * abs(other) for one, other in ends)


def _compiled() -> Callable[[Batch], Drawn] | None:
    """The compiled draws; None where numba is not installed."""
    try:
        from jetwright.solve.fast import draw
    except ImportError:
        return None
    return draw


def _rest(shares: Sequence[float]) -> float:
    """What is left when no input explains it alone; nothing of an answer that never moves."""
    explained = sum(shares)
    return max(0.0, 1.0 - explained) if explained > 0.0 else 0.0


def _no_finer(found: Percentiles, error: float) -> Percentiles:
    """No narrower than what the gauge may be wrong by, and not below zero where the middle is above it."""
    middle = found.middle
    low = max(min(found.low, middle - error), min(middle, 0.0))
    return Percentiles(low, middle, max(found.high, middle + error))


def _tips(rig: CheckedRig) -> tuple[str, ...]:
    return tuple(dict.fromkeys(row.tip for branch in rig.branches for row in branch.rows))


def _warm(spread: float) -> tuple[float, ...]:
    """Scores of the steps of the supply temperature, spread as widely as what they stand for."""
    if spread <= 0.0:
        return (0.0,)
    steps = bell(TEMPERATURES)
    wide = math.sqrt(sum(score * score for score in steps) / TEMPERATURES)
    return tuple(score / wide for score in steps)


def _at(rig: CheckedRig, warmer: float) -> CheckedRig:
    """The rig on warmer or colder supply water, as far as that is served."""
    if warmer == 0.0:
        return rig
    supply = rig.job.supply
    temperature = min(max(supply.temperature + warmer, COLDEST), WARMEST)
    return check(replace(rig.job, supply=replace(supply, temperature=temperature), task=(rig.task,)))


def _loose(rig: CheckedRig) -> tuple[int, ...]:
    """1 for each hose whose tails nobody described, in the order of the network's pieces."""
    items = [item for run in (rig.main, *(branch.items for branch in rig.branches)) for item in run]
    hoses = rig.job.hoses
    return tuple(int(item.name in hoses and hoses[item.name].tails is None) for item in items)


def _areas(rig: CheckedRig, tips: tuple[str, ...]) -> tuple[float, ...]:
    """Of each branch its leak, then of every tip what pours, pushes along and pushes across."""
    return tuple(area for branch in rig.branches for area in (branch.leak_area, *_of_tips(branch, tips)))


def _of_tips(branch: CheckedBranch, tips: tuple[str, ...]) -> list[float]:
    areas = []
    for tip in tips:
        rows = [row for row in branch.rows if row.tip == tip]
        pushes = [(row.count, *recoil(row.area, 1.0, 1, row.angle, row.skew)) for row in rows]
        areas.append(sum(row.count * row.area for row in rows))
        areas.append(sum(count * along for count, along, _across in pushes))
        areas.append(sum(across for count, _along, across in pushes if count == 1))
    return areas


def _inputs(rig: CheckedRig, batch: Batch, drawn: Drawn) -> tuple[InputShare, ...]:
    """Every input that is spread at all, the one that decides most first."""
    tips, pump = _tips(rig), rig.job.unit.pump
    hoses = any(piece.length > 0.0 for piece in batch.pieces)
    named = [(name, "", bool(name == "pump_flow" and pump.measured)) for name in NAMES]
    named += [("tip", tip, rig.job.tips[tip].cd is not None) for tip in tips]
    named += [("inlet", tip, False) for tip in unknown_tips(rig)]
    spread = [*batch.spreads, *(tip.spread for tip in batch.tips), *(tip.half for tip in batch.tips if tip.inlet)]
    if not hoses:
        spread[many.HOSE_BORE] = spread[many.ROUGHNESS] = 0.0
    rows = [
        InputShare(what, tip, measured, tuple(float(share[place]) for share in drawn.shares))
        for place, (what, tip, measured) in enumerate(named)
        if spread[place] > 0.0
    ]
    rows = _at_most_all(rows)
    pushes = range(many.AT_TOOLS + len(batch.lines), len(drawn.shares))
    return tuple(sorted(rows, key=lambda row: -_weight(row, pushes)))


def _at_most_all(rows: list[InputShare]) -> list[InputShare]:
    """Shares of a sample may add up to a little more than all there is: then in proportion to all."""
    sums = [max(1.0, sum(column)) for column in zip(*(row.shares for row in rows), strict=True)]
    return [
        replace(row, shares=tuple(share / whole for share, whole in zip(row.shares, sums, strict=True))) for row in rows
    ]


def _weight(row: InputShare, pushes: range) -> float:
    """By what inputs are ordered: their shares of both gauges and, on average, of the recoils."""
    recoils = sum(row.shares[column] for column in pushes) / len(pushes)
    return row.shares[many.AT_GAUGE] + row.shares[many.AT_PROVING] + recoils
