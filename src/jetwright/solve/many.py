"""Many draws of one rig: every input moved at once, the rig solved again, and how much each input explains. Kernels."""

import math
from collections.abc import MutableSequence, Sequence
from dataclasses import asdict, dataclass
from types import SimpleNamespace
from typing import Any, NamedTuple

from jetwright.kernel import kernel
from jetwright.parts.bypass import Bypass
from jetwright.parts.hose import Piece
from jetwright.parts.nozzle import jet_flow
from jetwright.parts.pump import Pump, delivered_per_turn
from jetwright.parts.relief import Relief
from jetwright.solve.balance import delivery, line_inlet, reach_nozzle, settle
from jetwright.solve.network import Line
from jetwright.solve.steady import SERVED_TO
from jetwright.water.state import Water, jet_speed_of

NORMAL, UNIFORM, STEPPED = 0, 1, 2
"""How an input is spread: bell-shaped, equally likely between two ends, bell-shaped in steps."""
HOSE_BORE, ROUGHNESS, TAILS, PUMP_FLOW, SPEED, TEMPERATURE, GAUGE, TIPS = range(8)
"""Places of the inputs; from the last on the area of each tip, then the inlet of each tip whose inlet is unknown."""
NOZZLE_PRESSURE, PUMP_PRESSURE, FLOW = 0, 1, 2
"""Kinds of target."""
AT_GAUGE, AT_SPEED, AT_PROVING, AT_TOOLS = range(4)
"""Places of the answers; from the last on the nozzle pressure of each tool, then the recoil of each."""
LEAST_SHARE, MOST_SHARE = 0.5, 2.0
"""No draw makes a bore, an area, a length or a flow smaller or larger than these shares of it."""
ROUGHEST = 0.05
"""No draw makes a hose rougher than this share of its bore, the end of what Colebrook's equation is meant for."""
LEAST_HELD = 1e3
"""Least pressure that a gauge off its true value leaves to be held. [Pa]"""
NEAR = 1e-3
"""A step of Newton's this small, as a share of u, leaves less than 5e-5 of a pressure: slopes are 1 % off at worst."""
MODULUS, MULTIPLIER = 2147483647, 48271
"""Of the whole numbers that shuffle."""
WIDTH = 12**0.5  # standard deviations from end to end where anything between is equally likely


class Asked(NamedTuple):
    """What each draw is asked.

    kind and value of the target [Pa or m³/s], at: its line, from 0; speed [rev/s] and area [m²] of the proving point;
    held: what the gauge shows once the target is set [Pa]; least: speed that is never gone below [rev/s]; share: of the
    pump's flow, what goes to the tools [-].
    """

    kind: int
    value: float
    at: int
    speed: float
    area: float
    held: float
    least: float
    share: float


@dataclass(frozen=True, slots=True)
class TipSpread:
    """How a tip's Cd × area is spread: one standard deviation, middle and half-width of the inlet's share [-].

    inlet: place of the inlet's score; 0 with a half-width of 0 where the inlet is known.
    """

    spread: float
    middle: float = 1.0
    half: float = 0.0
    inlet: int = 0


class Batch(NamedTuple):
    """Everything that many draws of one rig need; compiled, the same fields as arrays.

    first: number that the shuffling starts from; shapes and spreads go by input; normal: the score of each level; warm:
    the score of each supply temperature, by which waters, pumps and areas go. areas: for each line its leak, then of
    every tip the Cd × area that pours, that pushes along and that pushes across [m²]. loose: 1 for a hose whose tails
    nobody described. worn, lines and pumps are written over by each draw.
    """

    draws: int
    first: int
    shapes: Sequence[int]
    spreads: Sequence[float]
    normal: Sequence[float]
    warm: Sequence[float]
    asked: Asked
    waters: Sequence[Water]
    pumps: Sequence[Any]
    bypass: Sequence[Bypass]
    reliefs: Sequence[Relief]
    pieces: Sequence[Piece]
    loose: Sequence[int]
    worn: Sequence[Any]
    main: int
    lines: Sequence[Any]
    tips: Sequence[TipSpread]
    areas: Sequence[Sequence[float]]


@kernel
def shuffle(order: MutableSequence[int], first: int) -> int:
    """Put whole numbers in another order, each order as likely as any other; returned is where the next begins. [-]

    Parameters
    ----------
    order : MutableSequence of int
        To be shuffled where it stands. [-]
    first : int
        1 to `MODULUS` - 1. [-]

    Examples
    --------
    >>> order = [0, 1, 2, 3, 4]
    >>> shuffle(order, 1), order
    (1914720637, [3, 4, 0, 2, 1])

    References
    ----------
    Durstenfeld, with the numbers of Park and Miller.
    """
    number = first
    for last in range(len(order) - 1, 0, -1):
        number = number * MULTIPLIER % MODULUS
        other = number % (last + 1)
        order[last], order[other] = order[other], order[last]
    return number


@kernel
def _score(batch: Batch, orders: Sequence[Any], index: int, scores: MutableSequence[float]) -> int:
    """Write every input's score in one draw, in its standard deviations, and tell which supply temperature it has."""
    step = 0
    for place in range(len(batch.shapes)):
        level = orders[place][index]
        if batch.shapes[place] == UNIFORM:
            scores[place] = WIDTH * ((level + 0.5) / batch.draws - 0.5)
        elif batch.shapes[place] == STEPPED:
            step = (level * len(batch.warm)) // batch.draws
            scores[place] = batch.warm[step]
        else:
            scores[place] = batch.normal[level]
    return step


@kernel
def _share(moved: float) -> float:
    """What is left of an input that is moved by a share of it."""
    return min(max(1.0 + moved, LEAST_SHARE), MOST_SHARE)


@kernel
def _wear(batch: Batch, step: int, scores: Sequence[float], pushes: MutableSequence[float]) -> None:
    """Give pump, pieces and lines what the scores say; pushes: Cd × area of each line, along and across."""
    spreads, tips, lines = batch.spreads, batch.tips, batch.lines
    bore = _share(spreads[HOSE_BORE] * scores[HOSE_BORE])
    rough = math.exp(spreads[ROUGHNESS] * scores[ROUGHNESS])
    longer = _share(spreads[TAILS] * scores[TAILS])
    batch.pumps[step].strength = _share(spreads[PUMP_FLOW] * scores[PUMP_FLOW])
    for index in range(len(batch.pieces)):
        if batch.pieces[index].length > 0.0:
            wide = batch.pieces[index].bore * bore
            batch.worn[index].bore = wide
            batch.worn[index].roughness = min(batch.pieces[index].roughness * rough, ROUGHEST * wide)
        if batch.loose[index] == 1:
            batch.worn[index].length = batch.pieces[index].length * longer
    areas = batch.areas[step]
    each = 1 + 3 * len(tips)
    for number in range(len(lines)):
        first = number * each
        outlet = along = across = 0.0
        for index in range(len(tips)):
            tip = tips[index]
            share = _share(tip.spread * scores[TIPS + index])
            share *= tip.middle + tip.half * scores[tip.inlet] / (0.5 * WIDTH)
            outlet += share * areas[first + 1 + 3 * index]
            along += share * areas[first + 2 + 3 * index]
            across += share * areas[first + 3 + 3 * index]
        lines[number].leak = areas[first]
        lines[number].outlet = outlet
        pushes[2 * number] = along
        pushes[2 * number + 1] = across


@kernel
def _nozzle_for(water: Water, area: float, flow: float) -> float:
    """Gauge pressure behind tips of a Cd × area that pass a mass flow, no higher than what is served."""
    if flow >= jet_flow(water, area, SERVED_TO)[0]:
        return SERVED_TO
    root = 3e3
    for _step in range(60):
        passed, steep = jet_flow(water, area, root * root)
        change = (passed - flow) / (steep * 2.0 * root)
        root = root - change if change < root else 0.1 * root
        if abs(change) <= 1e-13 * root:
            break
    return root * root


@kernel
def _begin(count: int, pressure: float, out: MutableSequence[float]) -> None:
    """From one solved state to about where another pump pressure has it: all pressures go by the same share."""
    share = math.sqrt(max(pressure, 0.0) / out[0]) if out[0] > 0.0 else 0.0
    out[1] *= share * share
    for number in range(count):
        out[3 + number] *= share


@kernel
def _balanced(
    water: Water, pump: Pump, bypass: Bypass, reliefs: Sequence[Relief], speed: float, area: float, out: Sequence[float]
) -> float:
    """About where the pump's pressure settles, from a solved state: the flow into the run goes as the jets' does."""
    pressure = out[0]
    if pressure <= 0.0 or out[2] <= 0.0:
        return 0.0
    into = out[2] / jet_flow(water, 1.0, pressure)[0]
    for _step in range(3):
        passed, steep = jet_flow(water, into, pressure)
        flow, slope = delivery(water, pump, bypass, reliefs, speed, area, pressure)
        pressure = max(0.1 * pressure, pressure + (flow - passed) / (steep - slope))
    return pressure


@kernel
def _settle_near(
    water: Water,
    pump: Pump,
    bypass: Bypass,
    reliefs: Sequence[Relief],
    pieces: Sequence[Piece],
    main: int,
    lines: Sequence[Line],
    speed: float,
    area: float,
    held: float,
    out: MutableSequence[float],
) -> None:
    """As `settle`, to 5e-5, from a state close by: a single line is there in a step or two; all else goes all the way.

    Half of the time of many draws would go into steps of the balance that only prove that it has arrived.
    """
    if len(lines) == 1 and main == 0 and out[3] > 0.0:
        for _step in range(3):
            root = out[3]
            pressure, mass, by_root, mass_by_root = line_inlet(water, lines[0], pieces, root)
            if held > 0.0:
                change = (held - pressure) / by_root
            else:
                flow, slope = delivery(water, pump, bypass, reliefs, speed, area, pressure)
                change = (flow - mass) / (mass_by_root - slope * by_root)
            out[0] = pressure + by_root * change
            out[2] = mass + mass_by_root * change
            out[3] = root + change
            if abs(change) <= NEAR * root:
                return
    settle(water, pump, bypass, reliefs, pieces, main, lines, speed, area, held, out)


@kernel
def _answer(
    batch: Batch, water: Water, pump: Pump, scores: Sequence[float], work: Sequence[Any], row: MutableSequence[float]
) -> None:
    """Solve one draw: the target met, the gauge held at it, the proving point."""
    asked, pieces, main, lines = batch.asked, batch.worn, batch.main, batch.lines
    bypass, reliefs = batch.bypass[0], batch.reliefs
    out, pushes = work[0], work[1]
    count = len(lines)
    panel = _share(batch.spreads[SPEED] * scores[SPEED])  # what it shows over what is true
    wrong = batch.spreads[GAUGE] * scores[GAUGE]
    if asked.kind == PUMP_PRESSURE:
        for index in range(len(out)):
            out[index] = 0.0
        settle(water, pump, bypass, reliefs, pieces, main, lines, 0.0, 0.0, asked.value, out)
    else:
        nozzle = asked.value
        if asked.kind == FLOW:
            nozzle = _nozzle_for(water, lines[asked.at].outlet, asked.value * water.reference_density)
        reach_nozzle(water, pieces, main, lines, asked.at, nozzle, out)
    row[AT_GAUGE] = out[0] + wrong
    turns = out[2] / max(delivered_per_turn(water, pump, out[0]), 1e-9)
    row[AT_SPEED] = max(turns / asked.share, asked.least) * panel
    if asked.held > 0.0:  # below zero a tool draws by itself
        held = max(asked.held - wrong, LEAST_HELD)
        _begin(count, held, out)
        _settle_near(water, pump, bypass, reliefs, pieces, main, lines, 0.0, 0.0, held, out)
    for number in range(count):
        nozzle = out[3 + number] * out[3 + number]
        force = jet_flow(water, 1.0, nozzle)[0] * jet_speed_of(water, nozzle + water.ambient)
        along, across = force * pushes[2 * number], force * pushes[2 * number + 1]
        row[AT_TOOLS + number] = nozzle
        row[AT_TOOLS + count + number] = math.sqrt(along * along + across * across)
    _begin(count, _balanced(water, pump, bypass, reliefs, asked.speed / panel, asked.area, out), out)
    _settle_near(water, pump, bypass, reliefs, pieces, main, lines, asked.speed / panel, asked.area, 0.0, out)
    row[AT_PROVING] = out[0] + wrong


@kernel
def draw_all(
    batch: Batch, orders: Sequence[Any], work: Sequence[Any], table: Sequence[Any], scores: Sequence[Any]
) -> None:
    """Solve every draw: a row of answers and a row of scores each. [Pa, rev/s, N]

    Parameters
    ----------
    batch : Batch
        Its worn, lines and pumps can be written to. [-]
    orders : Sequence
        For each input its levels, to be shuffled. [-]
    work : Sequence
        Work arrays: 3 + 2 × lines numbers, and 2 × lines. [-]
    table : Sequence
        A row each of gauge, speed, gauge at the proving point, nozzle pressures, recoils. [-]
    scores : Sequence
        A row each of how far every input was moved, in its standard deviations. [-]

    Examples
    --------
    >>> from jetwright.plan.draws import batch_of
    >>> from jetwright.plan.proving import proving_point
    >>> from jetwright.plan.setting import machine_for, target_of
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> batch = writable(batch_of(rig, machine, proving_point(rig, machine.state.pump_pressure), 200, 1))
    >>> table, scores = ([[0.0] * width for _ in range(200)] for width in (5, len(batch.shapes)))
    >>> draw_all(batch, [list(range(200)) for _ in batch.shapes], ([0.0] * 5, [0.0] * 2), table, scores)
    >>> f"{sum(row[0] for row in table) / 200e5:.0f} bar"
    '894 bar'

    References
    ----------
    `solve.balance`.
    """
    number = batch.first
    for place in range(len(batch.shapes)):
        number = shuffle(orders[place], number)
    for index in range(batch.draws):
        step = _score(batch, orders, index, scores[index])
        _wear(batch, step, scores[index], work[1])
        _answer(batch, batch.waters[step], batch.pumps[step], scores[index], work, table[index])


@kernel
def explained(table: Sequence[Any], column: int, scores: Sequence[Any], place: int) -> float:
    """Share of an answer's variance that a parabola in one input's score explains. [-]

    Score and squared score of an evenly spread input do not go together, so the two squared correlations add up.

    Parameters
    ----------
    table : Sequence
        A row of answers each draw. [-]
    column : int
        Which answer. [-]
    scores : Sequence
        A row of scores each draw. [-]
    place : int
        Which input. [-]

    Examples
    --------
    >>> scores = [[-1.5, 1.0], [-0.5, -1.0], [0.5, -1.0], [1.5, 1.0]]
    >>> table = [[3.0 * one + 2.0 * other] for one, other in scores]
    >>> f"{explained(table, 0, scores, 0):.3f}"  # a straight line and a parabola: all of it
    '1.000'

    References
    ----------
    Sobol': the first-order share, to second order in the score.
    """
    count = len(table)
    middle = table[0][column]
    y = yy = s = ss = q = qq = sy = qy = 0.0
    for index in range(count):
        value = table[index][column] - middle
        score = scores[index][place]
        square = score * score
        y += value
        yy += value * value
        s += score
        ss += square
        q += square
        qq += square * square
        sy += score * value
        qy += square * value
    whole = yy - y * y / count
    if whole <= 1e-20 * middle * middle * count:
        return 0.0
    share = 0.0
    straight, bent = ss - s * s / count, qq - q * q / count
    if straight > 1e-9 * count:
        share += (sy - s * y / count) ** 2 / (straight * whole)
    if bent > 1e-9 * count:
        share += (qy - q * y / count) ** 2 / (bent * whole)
    return share


def writable(batch: Batch) -> Batch:
    """The batch with parts that the plain draws can write to. [-]

    Parameters
    ----------
    batch : Batch
        With parts that nobody can. [-]

    Examples
    --------
    >>> from jetwright.parts.pump import Pump
    >>> bare = Batch(*[()] * len(Batch._fields))._replace(pumps=(Pump(1e-4, 0.0, 1.0, 0.9),))
    >>> writable(bare).pumps[0].strength
    1.0

    References
    ----------
    Our own convention.
    """
    return batch._replace(pumps=_open(batch.pumps), worn=_open(batch.worn), lines=_open(batch.lines))


def _open(parts: Sequence[Any]) -> list[SimpleNamespace]:
    return [SimpleNamespace(**asdict(part)) for part in parts]


@dataclass(frozen=True, slots=True)
class Drawn:
    """What came of many draws: answers and scores, a row each; answers by column in order; and, by answer and input,
    the share of the variance explained [-]."""

    table: Any
    scores: Any
    ordered: Any
    shares: Any


def draw(batch: Batch) -> Drawn:
    """All draws in plain Python. [-]

    Parameters
    ----------
    batch : Batch
        From `plan.draws.batch_of`. [-]

    Examples
    --------
    >>> from jetwright.plan.draws import batch_of
    >>> from jetwright.plan.proving import proving_point
    >>> from jetwright.plan.setting import machine_for, target_of
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> gauge = draw(batch_of(rig, machine, proving_point(rig, machine.state.pump_pressure), 200, 1)).ordered[0]
    >>> f"{gauge[0] / 1e5:.0f} to {gauge[-1] / 1e5:.0f} bar"
    '881 to 926 bar'

    References
    ----------
    `draw_all`.
    """
    count, lines, inputs = batch.draws, len(batch.lines), len(batch.shapes)
    table = [[0.0] * (AT_TOOLS + 2 * lines) for _draw in range(count)]
    scores = [[0.0] * inputs for _draw in range(count)]
    orders = [list(range(count)) for _input in range(inputs)]
    draw_all(writable(batch), orders, ([0.0] * (3 + 2 * lines), [0.0] * 2 * lines), table, scores)
    columns = range(AT_TOOLS + 2 * lines)
    return Drawn(
        table=table,
        scores=scores,
        ordered=[sorted(row[column] for row in table) for column in columns],
        shares=[[explained(table, column, scores, place) for place in range(inputs)] for column in columns],
    )
