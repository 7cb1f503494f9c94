"""Which tips fill a tool's ports best: held against an independent solver on cases too large to enumerate."""

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from jetwright.solve.fill import PortClass, Ports, best_fillings
from tests.fillings import ANY, fillable, is_within, sums
from tests.tier import FILLED_PORTS, SOLVED_PORTS, SOLVER_SECONDS

FARTHEST = 2**60
"""The solver takes no larger bound; no sum comes near it."""


def solved(ports, largest):
    """Best area by constraint programming over how many places of each class take each tip: between which two it is.

    They are one where the solver ends in time; None: there is no filling.
    """
    model = cp_model.CpModel()
    kinds = range(len(ports.sizes))
    counts = [[model.new_int_var(0, one.places, "") for _ in kinds] for one in ports.classes]
    for one, row in zip(ports.classes, counts, strict=True):
        model.add(sum(row) == one.places)
    for tip in kinds:
        taken = sum(one.jets * row[tip] for one, row in zip(ports.classes, counts, strict=True))
        model.add(taken <= ports.stock[tip])
    areas = [
        one.jets * sum(size * count for size, count in zip(ports.sizes, row, strict=True))
        for one, row in zip(ports.classes, counts, strict=True)
    ]
    weights = ([1] * len(areas), [one.weight for one in ports.classes], [one.twist for one in ports.classes])
    for row, (low, high) in zip(weights, (ports.area, ports.push, ports.twist), strict=True):
        total = sum(weight * area for weight, area in zip(row, areas, strict=True))
        if (low, high) != ANY:
            model.add_linear_constraint(total, max(low, -FARTHEST), min(high, FARTHEST))
    (model.maximize if largest else model.minimize)(sum(areas))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = SOLVER_SECONDS
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.UNKNOWN)
    bound = round(solver.best_objective_bound)
    if status == cp_model.UNKNOWN:
        return sorted((bound, 0 if largest else 10**12))
    return sorted((round(solver.objective_value), bound))


def case(seed):
    """A tool of up to twelve ports in up to four classes, a box of up to 24 sizes, bounds round what some tips give."""
    draw = random.Random(seed)
    step = draw.choice((1, 100, 10_000))  # areas measured finely, or rounded
    sizes = [
        step * round(1e6 * math.pi / 4 * draw.uniform(0.5, 2.5) ** 2 * draw.uniform(0.85, 0.97) / step)
        for _ in range(draw.randint(6, 24))
    ]
    classes = [
        PortClass(
            draw.randint(1, 3),
            draw.randint(1, 2),
            round(1e6 * math.cos(math.radians(draw.randint(0, 180)))),
            draw.choice((0, 0, draw.randint(-15_000, 15_000))),
        )
        for _ in range(draw.randint(2, 4))
    ]
    like = [[draw.randrange(len(sizes)) for _ in range(one.places)] for one in classes]
    kept = draw.choice((1.0, 1.0, 0.4))
    stock = [draw.randint(0, draw.choice((1, 6))) for _ in sizes]
    for one, those in zip(classes, like, strict=True):
        for tip in those:
            stock[tip] += one.jets if draw.random() < kept else 0
    middle = sums(Ports(tuple(sizes), tuple(stock), tuple(classes), ANY, ANY, ANY), like)
    bounds = [
        draw.choice((ANY, (value - round(share * abs(value)), value + round(share * abs(value)))))
        for value, share in zip(middle, (0.05, draw.choice((0.02, 0.2, 1.0)), 0.5), strict=True)
    ]
    return Ports(tuple(sizes), tuple(stock), tuple(classes), *bounds), draw.random() < 0.7


@settings(max_examples=FILLED_PORTS)
@given(fillable(), st.booleans())
def test_a_solver_agrees_on_small_boxes(ports, largest):
    best = best_fillings(ports, 1, largest=largest).best
    assert solved(ports, largest) == (None if not best else [best[0].area] * 2)


@pytest.mark.parametrize("seed", range(SOLVED_PORTS))
def test_no_solver_finds_better(seed):
    ports, largest = case(seed)
    found = best_fillings(ports, largest=largest)
    assert found.proven
    assert all(is_within(ports, one.tips) for one in found.best)
    between = solved(ports, largest)
    if between is None:
        assert found.best == ()
    else:
        assert between[0] <= found.best[0].area <= between[1]
