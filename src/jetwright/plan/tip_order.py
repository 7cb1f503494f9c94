"""The ways to fill a tool from a tip box, the most jet power first, each next best one found as it is asked for."""

import heapq
import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Literal, Protocol

from jetwright.errors import JetwrightError, Problem, RigError
from jetwright.limits.limit import EDGE
from jetwright.limits.recoil import Grip
from jetwright.parts.nozzle import jet_flow
from jetwright.plan.basis import Basis
from jetwright.plan.judging.recoil import held_by
from jetwright.plan.setting import target_of
from jetwright.plan.tip_box import ANY, MICRO, MILLIONTHS, Box
from jetwright.plan.tip_budget import Budget
from jetwright.rig.check import CheckedRig, check
from jetwright.solve.fill import Filling, Fillings, PlainFill, Ports
from jetwright.solve.steady import reach
from jetwright.water.state import jet_speed_of

PUSH = 1.0 / (MICRO * MILLIONTHS)
"""One unit of a whole area weighted with a whole share. [m²]"""
STEPS = 33
"""Areas between which the peak of the jet power is looked for."""
ALIKE_WITHIN = 1.05
"""Push of a unit of area differs by less than this factor within a slice of areas."""
SPARE = 6
"""Ways asked for beyond those that are wished."""
MORE = 4
"""So many times as many where they do not do."""
MOST_ASKED = 256
"""Ways that are asked for at most at a time: what is found is kept in order, and few are ever judged."""
FIRST_EFFORT = 250_000
"""Looks that the plain search takes before the compiled one is loaded, which costs about twice as much time again."""
LEAST_EFFORT = 20_000
"""Looks that a search is given while there are so many left; of more it gets half."""
ONE_EFFORT = 100_000
"""Looks for a single way, whatever was spent before."""

Better = Literal["largest", "smallest", "between"]


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked of the tips besides the limits: pull forward [N] and torque about the axis [N m]; None: nothing.

    most: how many ways are wanted.
    """

    most: int = 10
    least_pull: float | None = None
    least_torque: float | None = None


class _Fill(Protocol):
    def best(self, most: int, largest: bool, effort: int, within: Ports | None) -> Fillings: ...


class Filler:
    """Fills ports within one bound after the other, compiled where the plain search would take long and numba is there.

    Both searches are one text and look in one order, so that they say the same.

    Parameters
    ----------
    ports : Ports
        What is to be filled, and with what. [-]

    References
    ----------
    `solve.fill.PlainFill`.
    """

    def __init__(self, ports: Ports) -> None:
        self.ports = ports
        self._plain = PlainFill(ports)
        self._thorough: _Fill | None = None

    def best(self, within: Ports, most: int, *, largest: bool, effort: int) -> Fillings:
        """What `solve.fill.best_fillings` says, and the looks of all that was searched for it. [-]

        Parameters
        ----------
        within : Ports
            The same ports within other bounds. [-]
        most : int
            How many are asked for. [-]
        largest : bool
            Whether the largest are looked for, or the smallest. [-]
        effort : int
            Looks after which the search gives up and says so. [-]

        Raises
        ------
        ValueError
            When the description makes no sense, or its sums are too large to be told apart.
        """
        found = self._plain.best(most, largest, min(effort, FIRST_EFFORT), within)
        if found.proven or effort <= FIRST_EFFORT:
            return found
        if self._thorough is None:
            self._thorough = self._loaded()
        again = self._thorough.best(most, largest, effort, within)
        return replace(again, looks=again.looks + found.looks)

    def _loaded(self) -> _Fill:
        try:
            from jetwright.solve.fast import CompiledFill
        except ImportError:
            return self._plain
        return CompiledFill(self.ports)


@dataclass(slots=True)
class Ways:
    """The ways to fill a box that its limits on area and push do not rule out, the most jet power first. [-]

    Parameters
    ----------
    box : Box
        The tool and its tips. [-]
    basis : Basis
        What is judged by. [-]
    wish : Wish
        What is asked besides. [-]
    every : bool
        Leave nothing out for what it pushes: there are few enough to judge them all. [-]
    proven : bool
        Whether no search was broken off. [-]
    budget : Budget
        What the searches and the judging may take. [-]

    References
    ----------
    At a target that is met, jet power rises or falls with the jets' area, or has one peak in it.
    """

    box: Box
    basis: Basis
    wish: Wish
    every: bool = False
    proven: bool = True
    budget: Budget = field(default_factory=Budget)
    _fillers: list[Filler] = field(default_factory=list)
    _known: dict[int, tuple[float, float]] = field(default_factory=dict)

    @property
    def better(self) -> Better:
        """Which areas give more jet power at the target. [-]"""
        kind, _value, at = target_of(self._rig())
        if at != self.box.number or kind == "pump_pressure":
            return "between"
        return "largest" if kind == "nozzle_pressure" else "smallest"

    def worth(self, area: int) -> float:
        """Jet power of the tool at the target with an area of all jets, whole; none beyond what is served. [W]"""
        return self._at(area)[0]

    def first_found(self, area: tuple[int, int], *, largest: bool) -> Filling | None:
        """The largest or smallest way to fill the tool between two areas, whatever it pushes. [-]"""
        found = self._best(self.box.ports(area), 1, largest=largest, effort=ONE_EFFORT)
        return found[0] if found else None

    def best_first(self, low: int, high: int) -> Iterator[Filling]:
        """Every way between two areas, the most jet power first. [-]"""
        streams: list[Iterator[Filling]] = []
        for twist in self._senses():
            if self.better == "between":
                peak = self.peak(low, high)
                streams += [self._stream(low, peak, twist, largest=True)]
                streams += [self._stream(peak + 1, high, twist, largest=False)]
            else:
                streams.append(self._stream(low, high, twist, largest=self.better == "largest"))
        return heapq.merge(*streams, key=lambda filling: -self.worth(filling.area))

    def _rig(self) -> CheckedRig:
        return check(self.box.job, self.box.index)

    def _at(self, area: int) -> tuple[float, float]:
        """Jet power [W], and force of a jet on a unit of its Cd × area [N/m²]."""
        if area not in self._known:
            rig = check(self.box.of_area(area), self.box.index)
            try:
                line = reach(rig, *target_of(rig)).lines[self.box.number - 1]
            except JetwrightError:
                self._known[area] = (-math.inf, math.nan)
            else:
                speed = jet_speed_of(rig.water, line.nozzle + rig.water.ambient)
                force = jet_flow(rig.water, 1.0, line.nozzle)[0] * speed
                self._known[area] = (0.5 * line.jets * speed * speed, force)
        return self._known[area]

    def _senses(self) -> list[int]:
        """Ways round in which a torque may be wished for: +1, -1, or 0 where none is."""
        if self.every or self.wish.least_torque is None:
            return [0]
        levers = [places.lever for places in self.box.places]
        return [sense for sense in (1, -1) if any(sense * lever > 0.0 for lever in levers)]

    def peak(self, low: int, high: int) -> int:
        """The area of most jet power between two. [1e-6 mm²]"""
        if low >= high:
            return low
        grid = sorted({round(low * (high / low) ** (step / (STEPS - 1))) for step in range(STEPS)})
        best = max(range(len(grid)), key=lambda at: self.worth(grid[at]))
        left, right = grid[max(0, best - 1)], grid[min(len(grid) - 1, best + 1)]
        while right - left > 2:
            third = (right - left) // 3 or 1
            if self.worth(left + third) < self.worth(right - third):
                left += third
            else:
                right -= third
        return max(range(left, right + 1), key=self.worth)

    def _stream(self, low: int, high: int, sense: int, *, largest: bool) -> Iterator[Filling]:
        """The ways between two areas, the largest or the smallest area first."""
        slices = self._slices(low, high)
        for one in reversed(slices) if largest else slices:
            yield from self._found(self._bounded(*one, sense), largest=largest)

    def _found(self, ports: Ports, *, largest: bool) -> Iterator[Filling]:
        """Ports filled in order, asked for more at a time, equals by what they push.

        Which of equals are told last hangs on how many are asked for: they wait until all of them are told, unless
        there are too many.
        """

        def rank(filling: Filling) -> tuple[int, int]:
            return -filling.area if largest else filling.area, filling.push if self.box.pulls else abs(filling.push)

        asked = few = self.wish.most + SPARE
        given: set[tuple[tuple[int, ...], ...]] = set()
        while True:
            found = self._filled(ports, asked, largest=largest)
            fresh = [filling for filling in found if filling.tips not in given]
            if len(found) < asked:
                yield from sorted(fresh, key=rank)
                return
            end = found[-1].area
            settled = [filling for filling in fresh if filling.area != end]
            if not settled and asked > few:
                settled = fresh
            yield from sorted(settled, key=rank)
            if not fresh:  # there are more of this area than can be told: on to the next
                self.proven, given = False, set()
                end += -1 if largest else 1
            given = {filling.tips for filling in found if filling.area == end and filling in settled} | (
                given if found[0].area == end else set()
            )
            ports = replace(ports, area=(ports.area[0], end) if largest else (end, ports.area[1]))
            asked = max(few, min(MORE * asked, MOST_ASKED))

    def _filled(self, ports: Ports, most: int, *, largest: bool) -> tuple[Filling, ...]:
        """Ports filled for at most half of the looks that are left."""
        effort = min(self.budget.looks, max(self.budget.looks // 2, LEAST_EFFORT))
        if effort <= 0:
            self.proven = False
            return ()
        return self._best(ports, most, largest=largest, effort=effort)

    def _best(self, ports: Ports, most: int, *, largest: bool, effort: int) -> tuple[Filling, ...]:
        try:
            if not self._fillers:
                self._fillers.append(Filler(ports))
            found = self._fillers[0].best(ports, most, largest=largest, effort=effort)
        except ValueError as error:
            raise RigError([Problem(("tools", self.box.tool, "ports"), "too_many_ports")]) from error
        self.budget.looks -= found.looks
        self.proven &= found.proven
        return found.best

    def _slices(self, low: int, high: int) -> list[tuple[int, int]]:
        """Areas in slices within which the push of a unit of area is about the same, where it matters."""
        if low > high:
            return []
        wish, cap = self.wish, self.cap
        bounded = wish.least_pull is not None or wish.least_torque is not None or cap is not None
        if self.every or not bounded or self.better == "largest":
            return [(low, high)]
        grid = sorted({round(low * (high / low) ** (step / (4 * STEPS))) for step in range(4 * STEPS + 1)})
        edges, force = [low], self._at(low)[1]
        for here, beyond in pairwise(grid):
            if not max(force, self._at(beyond)[1]) <= ALIKE_WITHIN * min(force, self._at(beyond)[1]):
                edges.append(here)
                force = self._at(here)[1]
        edges = list(dict.fromkeys(edges))
        return [(start, end - 1) for start, end in pairwise([*edges, high + 1])]

    def _bounded(self, low: int, high: int, sense: int) -> Ports:
        """What is to be filled between two areas, with what a wish or a hand asks of the push there at the very least.

        Whole numbers are off by half a unit for each jet and each unit of area: bounds are wider by that.
        """
        forces = [self._at(area)[1] for area in (low, high)]
        if self.every or any(math.isnan(force) for force in forces):
            return self.box.ports((low, high))
        spare = high + self.box.jets * MILLIONTHS
        most, least = PUSH * max(forces), PUSH * min(forces)
        push, twist, cap = ANY, ANY, self.cap
        if cap is not None:
            reach = math.ceil(cap / least) + spare
            push = (-reach, reach)
        if self.wish.least_pull is not None:
            push = (push[0], math.ceil(-self.wish.least_pull / most) + spare)
        if sense and self.wish.least_torque is not None:
            turned = math.floor(self.wish.least_torque / most) - spare
            twist = (turned, ANY[1]) if sense > 0 else (ANY[0], -turned)
        return self.box.ports((low, high), push, twist)

    @property
    def cap(self) -> float | None:
        """The push along the axis above which a tool in a hand is refused for certain; None: nothing is cut. [N]"""
        tool, rules = self.box.job.tools[self.box.tool], self.basis.rules
        if self.every or held_by(tool) != "hand":
            return None
        bounds = rules.bound("recoil.unsupported"), rules.bound("recoil.supported")
        grip = Grip(self.box.tool, "", "hand", tool.support, *bounds)
        own = grip.supported if tool.support is None else grip.own
        return None if own is None or not own.refuses else own.value * (1.0 + EDGE)
