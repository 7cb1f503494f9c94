"""The ways to fill a tool from a tip box, the most jet power first: the places, the tips, and each next best way."""

import heapq
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Literal

from jetwright.errors import JetwrightError, Problem, RigError
from jetwright.limits.limit import EDGE
from jetwright.limits.recoil import Grip
from jetwright.parts.nozzle import jet_flow, round_area
from jetwright.plan.assess import assess
from jetwright.plan.basis import Basis
from jetwright.plan.judging.recoil import FED, held_by
from jetwright.plan.setting import target_of
from jetwright.rig.check import CheckedRig, check, tip_area
from jetwright.rig.description import Job, Port, Tip, Tool
from jetwright.solve.fill import EFFORT, LARGEST_SUM, Filling, Fillings, PortClass, Ports, best_fillings
from jetwright.solve.steady import reach
from jetwright.water.state import jet_speed_of

MICRO = 1e12
"""Areas are compared whole, in 1e-6 mm². [1/m²]"""
MILLIONTHS = 10**6
"""Of a jet's share along the axis, and micrometres in its lever arm."""
PUSH = 1.0 / (MICRO * MILLIONTHS)
"""One unit of a whole area weighted with a whole share. [m²]"""
ANY = (-LARGEST_SUM, LARGEST_SUM)
"""No bound."""
SIDEWAYS = math.radians(80.0)
"""Jets between this angle and its mirror image point to the side; what is nearer to the axis points forward or back."""
ALIKE = ""
"""Name of a tip that stands for any size: no file can hold it."""
GRID = 17
"""Areas at which it is asked which limits refuse, whatever tips make them up."""
STEPS = 33
"""Areas between which the peak of the jet power is looked for."""
ALIKE_WITHIN = 1.05
"""Push of a unit of area differs by less than this factor within a slice of areas."""
SPARE = 6
"""Ways asked for beyond those that are wished."""
MORE = 4
"""So many times as many where they do not do."""
FIRST_EFFORT = 500_000
"""Looks that the plain search takes before the compiled one is loaded, which costs about as much time again."""
BY_AREA = ("bypass", "pump", "engine", "rating", "relief", "gauge", "release", "heat", "object")
"""Topics whose limits follow from the sum of the jets' area alone, whatever tips make it up."""
BEYOND = "beyond"
"""Stands for a limit's id where a rig with some tips cannot be solved at all."""

Where = Literal["front", "side", "rear"]
Better = Literal["largest", "smallest", "between"]


@dataclass(frozen=True, slots=True)
class Places:
    """Places of a tool that point alike: angle, skew [rad] and radius [m]; `count` places for `jets` equal tips each.

    Two jets are an opposed pair, more of them a ring: they match, so that nothing pushes sideways. row: the first of
    the tool's port rows that is one of them, from 0.
    """

    angle: float
    radius: float
    skew: float
    jets: int
    count: int
    row: int

    @property
    def where(self) -> Where:
        """Which way its jets point. [-]"""
        if abs(self.angle - 0.5 * math.pi) <= 0.5 * math.pi - SIDEWAYS:
            return "side"
        return "front" if self.angle < 0.5 * math.pi else "rear"

    @property
    def share(self) -> float:
        """Part of a jet's force along the tool's axis, positive where it pushes back. [-]"""
        return math.cos(self.angle) * math.cos(self.skew)

    @property
    def lever(self) -> float:
        """Lever arm of a jet's force about the tool's axis. [m]"""
        return self.radius * math.sin(self.skew)


@dataclass(frozen=True, slots=True)
class Offer:
    """A tip on offer: Cd × area [m²], bore [m] (None: rated), pieces that one tool may get.

    carried: pieces that the task's tools carry, where that is more than the job file's count of them; else 0.
    """

    name: str
    area: float
    bore: float | None
    pieces: int
    carried: int = 0


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A tip that is not on offer, and why: "wide" (than the tool's bore) or "used" (up by other branches)."""

    name: str
    why: Literal["wide", "used"]


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked of the tips besides the limits: pull forward [N] and torque about the axis [N m]; None: nothing.

    most: how many ways are wanted.
    """

    most: int = 10
    least_pull: float | None = None
    least_torque: float | None = None


Tips = tuple[tuple[str, ...], ...]
"""Names of the tips, place by place, in the order of the tool's places."""


@dataclass(frozen=True, slots=True)
class Box:
    """A tool of a task, its places, and the tips that may go into them. number: its branch, from 1."""

    job: Job
    index: int
    number: int
    tool: str
    places: tuple[Places, ...]
    offers: tuple[Offer, ...]
    left_out: tuple[LeftOut, ...] = ()

    @property
    def jets(self) -> int:
        """Tips that it takes to fill the tool. [-]"""
        return sum(places.count * places.jets for places in self.places)

    @property
    def sizes(self) -> tuple[int, ...]:
        """Area of each tip on offer, whole. [1e-6 mm²]"""
        return tuple(max(1, round(MICRO * offer.area)) for offer in self.offers)

    @property
    def span(self) -> tuple[int, int]:
        """Areas of all jets that no way to fill the tool is below or above, whole. [1e-6 mm²]"""
        return self.jets * min(self.sizes), self.jets * max(self.sizes)

    def at_most(self, area: int) -> "Box":
        """The box without the tips that are too large to be part of a way with an area of all jets. [-]"""
        rest = (self.jets - 1) * min(self.sizes)
        return replace(
            self, offers=tuple(one for one, size in zip(self.offers, self.sizes, strict=True) if size + rest <= area)
        )

    @property
    def pulls(self) -> bool:
        """Whether the jets are what draws the tool along. [-]"""
        tool = self.job.tools[self.tool]
        return held_by(tool) == "hose" or tool.kind in FED

    def tips(self, filling: Filling) -> Tips:
        """The tips of a filling by name. [-]"""
        return tuple(tuple(self.offers[at].name for at in chosen) for chosen in filling.tips)

    def filled(self, tips: Tips) -> Job:
        """The job with these tips in the tool. [-]"""
        return self.with_ports(ports_of(self.places, tips))

    def alike(self, tip: Tip) -> Job:
        """The job with one tip in every place of the tool, owned or not. [-]"""
        stock = dict(self.job.tips) | {ALIKE: replace(tip, count=max(2, self.jets) * 8)}
        ports = tuple(replace(port, tip=ALIKE) for port in self.job.tools[self.tool].ports)
        return replace(self.with_ports(ports), tips=stock)

    def of_area(self, area: int) -> Job:
        """The job with an area of all jets together, whole, in one size of tip. [1e-6 mm²]"""
        bore = math.sqrt(4.0 * area / (MICRO * self.jets * math.pi))
        return self.alike(Tip(bore=min(bore, self.job.tools[self.tool].bore), cd=1.0))

    def with_ports(self, ports: tuple[Port, ...]) -> Job:
        """The job with these ports in the tool. [-]"""
        tool = replace(self.job.tools[self.tool], ports=ports)
        return replace(self.job, tools=dict(self.job.tools) | {self.tool: tool})

    def classes(self) -> tuple[PortClass, ...]:
        """The places as whole numbers. [-]"""
        return tuple(
            PortClass(one.count, one.jets, round(MILLIONTHS * one.share), round(MILLIONTHS * one.lever))
            for one in self.places
        )

    def ports(self, area: tuple[int, int], push: tuple[int, int] = ANY, twist: tuple[int, int] = ANY) -> Ports:
        """What is to be filled within bounds. [-]"""
        pieces = tuple(offer.pieces for offer in self.offers)
        return Ports(self.sizes, pieces, self.classes(), area, push, twist)


def places_of(tool: Tool) -> tuple[Places, ...]:
    """The places of a tool's ports: single ones, opposed pairs, and rings of an odd count. [-]

    Parameters
    ----------
    tool : Tool
        As described. [-]

    Examples
    --------
    >>> rows = (Port("A"), Port("B", 2, angle=2.6), Port("A", 4, angle=2.6), Port("A", 3, angle=1.5))
    >>> for places in places_of(Tool("pipe nozzle", 0.006, "none", rows)):
    ...     print(places.where, places.count, "of", places.jets)
    front 1 of 1
    rear 3 of 2
    side 1 of 3

    References
    ----------
    Our own convention: an even count stands in opposed pairs, each of which gets one size.
    """
    found: dict[tuple[float, float, float, int], Places] = {}
    for row, port in enumerate(tool.ports):
        jets, count = (port.count, 1) if port.count % 2 else (2, port.count // 2)
        key = (port.angle, port.radius, port.skew, jets)
        known = found.get(key)
        found[key] = Places(*key, count, row) if known is None else replace(known, count=known.count + count)
    return tuple(found.values())


def ports_of(places: Iterable[Places], tips: Tips) -> tuple[Port, ...]:
    """The port rows of a tool with these tips; pairs that are alike stand in one row. [-]

    Parameters
    ----------
    places : Iterable of Places
        Of the tool. [-]
    tips : tuple of tuple of str
        Names of the tips, place by place. [-]

    Examples
    --------
    >>> rear = places_of(Tool("pipe nozzle", 0.006, "none", (Port("A", 6, angle=2.6),)))
    >>> [(port.tip, port.count) for port in ports_of(rear, (("A", "B", "A"),))]
    [('A', 4), ('B', 2)]

    References
    ----------
    Our own convention.
    """
    rows = []
    for one, chosen in zip(places, tips, strict=True):
        if one.jets == 2:
            named = [(name, 2 * chosen.count(name)) for name in dict.fromkeys(chosen)]
        else:
            named = [(name, one.jets) for name in chosen]
        rows += [Port(name, count, one.angle, one.radius, one.skew) for name, count in named]
    return tuple(rows)


def box_of(job: Job, index: int, branch: int | None = None) -> Box:
    """A tool of a task and the tips that may go into it. [-]

    On offer is every tip that goes into the tool's bore, as many pieces as are owned less what other tools of the task
    use. A tip that nobody counted, or that was counted as one, is there once, or as often as the task's tools carry it:
    a description cannot tell the two apart, and what the tools carry is there. A tool that stands at several
    branches is filled alike at each.

    Parameters
    ----------
    job : Job
        As described. [-]
    index : int
        Which task, from 0. [-]
    branch : int | None
        Whose tool, from 1; that of the target when not given. [-]

    Examples
    --------
    >>> from jetwright.rig.example import JOB
    >>> [(offer.name, offer.pieces) for offer in box_of(JOB, 0).offers]
    [('R12', 1)]

    References
    ----------
    Our own convention.
    """
    rig = check(job, index)
    number = target_of(rig)[2] if branch is None else branch
    name = rig.branches[number - 1].tool_name
    tool = job.tools[name]
    copies = sum(one.tool_name == name for one in rig.branches)
    elsewhere = [row for one in rig.branches if one.tool_name != name for row in one.rows]
    offers: list[Offer] = []
    left_out: list[LeftOut] = []
    for tip_name, tip in job.tips.items():
        area = tip_area(tip, rig.water)
        used = sum(row.count for row in elsewhere if row.tip == tip_name)
        carried = copies * sum(port.count for port in tool.ports if port.tip == tip_name)
        owned = tip.count if tip.count > 1 else max(1, carried + used)
        pieces = max(0, owned - used) // copies
        if area > round_area(tool.bore) or (tip.bore is not None and tip.bore > tool.bore):
            left_out.append(LeftOut(tip_name, "wide"))
        elif pieces == 0:
            left_out.append(LeftOut(tip_name, "used"))
        else:
            offers.append(Offer(tip_name, area, tip.bore, pieces, owned if owned > tip.count else 0))
    return Box(job, index, number, name, places_of(tool), tuple(offers), tuple(left_out))


def fillings(ports: Ports, most: int, *, largest: bool, effort: int = EFFORT) -> Fillings:
    """What `solve.fill.best_fillings` says, compiled where the plain search would take long and numba is there. [-]

    Parameters
    ----------
    ports : Ports
        What is to be filled, with what, and within which bounds. [-]
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

    Examples
    --------
    >>> ports = Ports((10, 15), (2, 2), (PortClass(2, 1, 1),), (0, 29), ANY, ANY)
    >>> fillings(ports, 1, largest=True).best
    (Filling(tips=((0, 1),), area=25, push=25, twist=0),)

    References
    ----------
    Our own convention: both searches are one text and look in one order, so that they say the same.
    """
    found = best_fillings(ports, most, largest=largest, effort=min(effort, FIRST_EFFORT))
    if found.proven or effort <= FIRST_EFFORT:
        return found
    try:
        from jetwright.solve.fast import CompiledFill
    except ImportError:
        return best_fillings(ports, most, largest=largest, effort=effort)
    return CompiledFill(ports).best(most, largest, effort)


@dataclass(frozen=True, slots=True)
class Border:
    """An area of all jets at and beyond which every way is refused, and ids of the limits that do. [1e-6 mm²]"""

    area: int
    ids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Window:
    """Areas of all jets that may be allowed, with what refuses what is smaller and larger. [1e-6 mm²]

    always: ids of limits that refuse whatever tips are taken.
    """

    low: int
    high: int
    small: Border | None = None
    large: Border | None = None
    always: tuple[str, ...] = ()


def window_of(box: Box, basis: Basis) -> Window:
    """The areas of all jets between which a way may be allowed: beyond them a limit refuses whatever makes them up. [-]

    Each limit that refuses at one end and not at the other cuts where it begins to, looked for from that end inward; a
    limit that refuses at both ends cuts nothing, unless it says the very same everywhere.

    Parameters
    ----------
    box : Box
        The tool and its tips. [-]
    basis : Basis
        What is judged by. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.example import JOB
    >>> tips = {"R12": Tip(1.2e-3, "rounded"), "R40": Tip(4.0e-3, "rounded")}
    >>> window = window_of(box_of(replace(JOB, tips=tips), 0), basis_for(JOB))
    >>> f"up to {window.high / 1e6:.1f} mm2", window.large.ids
    ('up to 3.0 mm2', ('pump.speed',))

    References
    ----------
    Bisection; limits that follow from the sum of the jets' area alone are monotone in it.
    """
    known: dict[int, dict[tuple[str, str], tuple[float | None, float | None]]] = {}

    def refused(area: int) -> dict[tuple[str, str], tuple[float | None, float | None]]:
        if area not in known:
            try:
                limits = assess(check(box.of_area(area), box.index), box.index, basis, rough=True).limits
            except JetwrightError:
                known[area] = {(BEYOND, ""): (None, None)}
            else:
                known[area] = {
                    (one.id, one.about): (one.value, one.bound)
                    for one in limits
                    if one.verdict == "not_allowed" and one.id.split(".")[0] in BY_AREA
                }
        return known[area]

    least, most = box.span
    grid = sorted({round(least * (most / least) ** (step / (GRID - 1))) for step in range(GRID)} | {least, most})
    at_least, at_most = refused(least), refused(most)
    small, large = at_least.keys() - at_most.keys(), at_most.keys() - at_least.keys()
    everywhere = [*grid, max(1, least // 2), max(1, least // 4)]  # also where a box holds one size alone
    always = [
        key[0]
        for key, said in at_least.items()
        if key in at_most and all(refused(area).get(key) == said for area in everywhere)
    ]

    def border(inward: list[int], keys: set[tuple[str, str]]) -> Border | None:
        """From an end inward: the last area at which one of the limits still refuses."""
        if not keys:
            return None
        free = next(at for at, area in enumerate(inward) if not keys & refused(area).keys())
        near, far = inward[free - 1], inward[free]
        while abs(far - near) > 1:
            middle = (near + far) // 2
            near, far = (middle, far) if keys & refused(middle).keys() else (near, middle)
        return Border(near, tuple(dict.fromkeys(one for one, _about in refused(near) if (one, _about) in keys)))

    below, above = border(grid, small), border(grid[::-1], large)
    return Window(  # a whole area is off by half a unit for each jet: what lies so near a border is judged
        least if below is None else max(least, below.area - box.jets),
        most if above is None else min(most, above.area + box.jets),
        below,
        above,
        tuple(dict.fromkeys(always)),
    )


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

    References
    ----------
    At a target that is met, jet power rises or falls with the jets' area, or has one peak in it.
    """

    box: Box
    basis: Basis
    wish: Wish
    every: bool = False
    proven: bool = True
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
        found = self._filled(self.box.ports(area), 1, largest=largest)
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
            given = {filling.tips for filling in found if filling.area == end and filling in settled} | (
                given if found[0].area == end else set()
            )
            ports = replace(ports, area=(ports.area[0], end) if largest else (end, ports.area[1]))
            asked *= MORE

    def _filled(self, ports: Ports, most: int, *, largest: bool) -> tuple[Filling, ...]:
        try:
            found = fillings(ports, most, largest=largest)
        except ValueError as error:
            raise RigError([Problem(("tools", self.box.tool, "ports"), "too_many_ports")]) from error
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
