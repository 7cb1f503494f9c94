"""The rows of the tips: the ten best fillings of a tool's ports, beside solvers of the same whole-number problem."""

import importlib.util
import itertools
import math
import random
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from ortools.sat.python import cp_model
from scipy.optimize import Bounds, LinearConstraint, milp

from jetwright.solve.fill import Fillings, PortClass, Ports, best_fillings, combinations

ANY = (-(10**15), 10**15)
PAIRS_GOAL, SINGLE_GOAL = 1.0, 200.0  # ms
SOLVER_GOAL = 1000.0  # times ours
ANGLES = (15.0, 100.0, 135.0)  # of the jets of the three classes, from straight ahead
Peer = Callable[[Ports, float], tuple[float, int | None, bool]]
"""Time taken [s], area of what was found, whether it ended by itself, given the ports and the most time [s]."""


def tool(jets: int, kinds: int, area: tuple[int, int], push: tuple[int, int], least: int = 0) -> Ports:
    """12 ports in classes of one, two and three pairs (or as many single ports), bores of 0.5 to 2.45 mm."""
    draw = random.Random(7)
    bores = [0.5 + 1.95 * number / (kinds - 1) for number in range(kinds)]
    sizes = tuple(round(1e6 * 0.25 * math.pi * bore * bore * draw.uniform(0.88, 0.95)) for bore in bores)
    stock = tuple(least or draw.choice((1, 2, 2, 3, 4, 6)) * jets for _ in sizes)
    shares = [round(1e6 * math.cos(math.radians(angle))) for angle in ANGLES]
    classes = tuple(PortClass(count * 2 // jets, jets, share) for count, share in zip((1, 2, 3), shares, strict=True))
    return Ports(sizes, stock, classes, area, push, ANY)


def median(work: Callable[[], object], rounds: int) -> float:
    """Time of one run [ms], the first not counted."""
    work()
    times = []
    for _ in range(rounds):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return 1e3 * statistics.median(times)


def constraint_programming(ports: Ports, limit: float) -> tuple[float, int | None, bool]:
    """OR-tools CP-SAT on as many workers as there are cores: how many places of each class take each size."""
    model = cp_model.CpModel()
    counts = [
        [model.new_int_var(0, min(one.places, stock // one.jets), "") for stock in ports.stock] for one in ports.classes
    ]
    for one, row in zip(ports.classes, counts, strict=True):
        model.add(sum(row) == one.places)
    for tip, stock in enumerate(ports.stock):
        model.add(sum(one.jets * row[tip] for one, row in zip(ports.classes, counts, strict=True)) <= stock)
    areas = [
        one.jets * sum(size * count for size, count in zip(ports.sizes, row, strict=True))
        for one, row in zip(ports.classes, counts, strict=True)
    ]
    model.add_linear_constraint(sum(areas), *ports.area)
    push = sum(one.weight * area for one, area in zip(ports.classes, areas, strict=True))
    model.add_linear_constraint(push, *ports.push)
    model.maximize(sum(areas))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit
    begin = time.perf_counter()
    status = solver.solve(model)
    taken = time.perf_counter() - begin
    found = round(solver.objective_value) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
    return taken, found, status == cp_model.OPTIMAL


def integer_programming(ports: Ports, limit: float) -> tuple[float, int | None, bool]:
    """HiGHS, as SciPy carries it, on the same counts."""
    kinds, many = len(ports.sizes), len(ports.classes)
    areas = np.concatenate([one.jets * np.array(ports.sizes, float) for one in ports.classes])
    shares = np.repeat([one.weight / 1e6 for one in ports.classes], kinds)
    places = [one.places for one in ports.classes]
    taken = np.hstack([one.jets * np.eye(kinds) for one in ports.classes])
    most = np.concatenate([np.minimum(one.places, np.array(ports.stock) // one.jets) for one in ports.classes])
    rules = [
        LinearConstraint(np.kron(np.eye(many), np.ones(kinds)), places, places),
        LinearConstraint(taken, -np.inf, ports.stock),
        LinearConstraint(areas, *ports.area),
        LinearConstraint(shares * areas, *(bound / 1e6 for bound in ports.push)),
    ]
    options = {"mip_rel_gap": 0.0, "time_limit": limit}
    begin = time.perf_counter()
    found = milp(-areas, integrality=np.ones(areas.size), bounds=Bounds(0, most), constraints=rules, options=options)
    seconds = time.perf_counter() - begin
    return seconds, None if found.fun is None else round(-found.fun), found.status == 0


def every_one(ports: Ports, _limit: float) -> tuple[float, int | None, bool]:
    """Every filling of three classes in turn, compiled; the stock looked at only where the sums are better."""
    from numba import njit

    kinds = range(len(ports.sizes))
    choices = [np.array(list(itertools.combinations_with_replacement(kinds, one.places))) for one in ports.classes]
    sizes, stock = np.array(ports.sizes), np.array(ports.stock)
    sums = [one.jets * sizes[those].sum(axis=1) for one, those in zip(ports.classes, choices, strict=True)]
    shares, jets = (tuple(getattr(one, name) for one in ports.classes) for name in ("weight", "jets"))

    @njit
    def fits(stock, jets, first, second, third):
        used = np.zeros_like(stock)
        for tip in first:
            used[tip] += jets[0]
        for tip in second:
            used[tip] += jets[1]
        for tip in third:
            used[tip] += jets[2]
        return np.all(used <= stock)

    @njit
    def best(sums, choices, shares, jets, stock, area, push):
        most = -1
        for i in range(sums[0].size):
            for j in range(sums[1].size):
                part = sums[0][i] + sums[1][j]
                pushed = shares[0] * sums[0][i] + shares[1] * sums[1][j]
                for k in range(sums[2].size):
                    total = part + sums[2][k]
                    if total > most and area[0] <= total <= area[1]:
                        back = pushed + shares[2] * sums[2][k]
                        if push[0] <= back <= push[1] and fits(
                            stock, jets, choices[0][i], choices[1][j], choices[2][k]
                        ):
                            most = total
        return most

    def work(least: int) -> int:
        bounds = (max(least, ports.area[0]), ports.area[1])
        return int(best(tuple(sums), tuple(choices), shares, jets, stock, bounds, ports.push))

    work(ports.area[1])
    begin = time.perf_counter()
    found = work(0)
    return time.perf_counter() - begin, found, True


@dataclass
class Rows:
    """Rows of a table, and what falls short of a goal."""

    rows: list[tuple[str, ...]]
    short: list[str]

    def judged(self, what: str, cases: list[str], told: list[str], missed: list[bool], goal: str) -> None:
        self.rows.append(
            (what, *(cell + (" ✗" if miss else "") for cell, miss in zip(told, missed, strict=True)), goal)
        )
        self.short += [
            f"{what}, {case}: {cell}, goal {goal}" for case, cell, miss in zip(cases, told, missed, strict=True) if miss
        ]


def _peers() -> dict[str, Peer]:
    found: dict[str, Peer] = {
        "OR-tools CP-SAT, one best": constraint_programming,
        "HiGHS through SciPy, one best": integer_programming,
    }
    if importlib.util.find_spec("numba") is not None:
        found["every filling in turn, compiled, one best"] = every_one
    return found


def _beside(table: Rows, cases: dict[str, Ports], areas: dict[str, int], ours: dict[str, float], limit: float) -> None:
    """The peers' rows: their times, their areas less ours, their times over ours."""
    for name, peer in _peers().items():
        taken, off, ended = {}, {}, {}
        for case, ports in cases.items():
            if peer is every_one and combinations(ports) > 10**9:
                continue
            taken[case], found, ended[case] = peer(ports, limit)
            off[case] = "nothing" if found is None else f"{found - areas[case]:+d}"
        times = {case: ("" if ended[case] else "> ") + f"{1e3 * seconds:.0f}" for case, seconds in taken.items()}
        table.rows.append((f"{name} [ms]", *(times.get(case, "") for case in cases), ""))
        table.rows.append((f"{name}: its area less ours [1e-6 mm²]", *(off.get(case, "") for case in cases), ""))
        if ours:
            ratios = {case: 1e3 * seconds / ours[case] for case, seconds in taken.items()}
            told = [("" if ended[case] else "> ") + f"{ratios[case]:.0f}" if case in ratios else "" for case in cases]
            judged = peer is constraint_programming
            missed = [judged and case in ratios and ratios[case] < SOLVER_GOAL for case in cases]
            goal = f"≥ {SOLVER_GOAL:g}" if judged else ""
            table.judged(f"{name}: its time / ours compiled", list(cases), told, missed, goal)


def hard(quick: bool) -> list[tuple[str, ...]]:
    """Rows of a table: bounds that leave little or nothing, and whether the answer is proven."""
    kinds, rounds = (8, 1) if quick else (40, 5)
    wide, push = (22_800_000, 24_000_000), -8 * 10**12
    scarce = tool(1, kinds, (0, 10**9), ANY, least=1)
    cases = {
        "one piece of each size, area unbounded": scarce,
        "the same, balanced to 0.01 mm²": replace(scarce, push=(-(10**10), 10**10)),
        "a push that cannot be": tool(1, kinds, wide, (2 * 10**13, 3 * 10**13)),
        "the push within a thousandth": tool(1, kinds, wide, (push, push + 8 * 10**9)),
        "the push within a millionth": tool(1, kinds, wide, (push, push + 8 * 10**6)),
        "the push to the last unit": tool(1, kinds, wide, (push, push)),
    }
    table: list[tuple[str, ...]] = [("12 single ports, narrow bounds", "compiled [ms]", "plain Python [ms]", "answer")]
    table.append(("---",) * 4)
    for what, ports in cases.items():
        found: list[Fillings] = []
        plain = median(lambda ports=ports, found=found: found.append(best_fillings(ports)), 1)
        fast = ""
        if importlib.util.find_spec("numba") is not None:
            from jetwright.solve.fast import CompiledFill

            fast = f"{median(lambda ports=ports: CompiledFill(ports).best(), rounds):.1f}"
        answer = f"{len(found[0].best)} found, {'proven' if found[0].proven else 'not proven: it gave up'}"
        table.append((what, fast, f"{plain:.0f}", answer))
    return table


def rows(quick: bool) -> tuple[list[tuple[str, ...]], list[str]]:
    """Rows of a table, and what falls short of a goal."""
    kinds, rounds, limit = (8, 3, 2.0) if quick else (40, 31, 30.0)
    pairs = tool(2, kinds, (15_200_000, 16_000_000), (-9 * 10**12, -8 * 10**12))
    single = tool(1, kinds, (22_800_000, 24_000_000), (-8 * 10**12, -7 * 10**12))
    top = best_fillings(pairs, 1).best[0].area
    cases = {
        "pairs": pairs,
        "pairs, the best on the bound": replace(pairs, area=(pairs.area[0], top)),
        "single ports": single,
    }
    goals = [PAIRS_GOAL, PAIRS_GOAL, SINGLE_GOAL]
    table = Rows([(f"12 ports, {kinds} sizes: the ten best", *cases, "goal"), ("---",) * (len(cases) + 2)], [])
    table.rows.append(
        ("fillings without stock and bounds", *(f"{combinations(one):.1e}" for one in cases.values()), "")
    )
    ours: dict[str, float] = {}
    if importlib.util.find_spec("numba") is not None:
        from jetwright.solve.fast import CompiledFill

        ready = {case: CompiledFill(ports) for case, ports in cases.items()}
        ours = {case: median(lambda ports=ports: CompiledFill(ports).best(), rounds) for case, ports in cases.items()}
        what = "Jetwright, compiled, multisets listed and searched [ms]"
        missed = [time > goal for time, goal in zip(ours.values(), goals, strict=True)]
        goal = f"≤ {' / '.join(f'{one:g}' for one in goals)}"
        table.judged(what, list(cases), [f"{one:.2f}" for one in ours.values()], missed, goal)
        listing = [median(lambda ports=ports: CompiledFill(ports), rounds) for ports in cases.values()]
        table.rows.append(("of which listing them", *(f"{one:.2f}" for one in listing), ""))
        searching = [median(lambda one=one: one.best(), rounds) for one in ready.values()]
        table.rows.append(("of which searching them", *(f"{one:.2f}" for one in searching), ""))
    found = {case: best_fillings(ports) for case, ports in cases.items()}
    if not all(one.proven for one in found.values()):
        table.short.append("tips: not every answer is proven")
    plain = [median(lambda ports=ports: best_fillings(ports), 1 if quick else 5) for ports in cases.values()]
    table.rows.append(("Jetwright, plain Python [ms]", *(f"{one:.1f}" for one in plain), ""))
    _beside(table, cases, {case: one.best[0].area for case, one in found.items()}, ours, limit)
    return table.rows, table.short
