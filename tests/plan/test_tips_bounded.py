"""What a choice of tips takes at worst, by processor time, in plain Python: jobs that a search could drown in."""

import math
import sys
import time
from dataclasses import replace

import pytest

from jetwright.actions.plan import basis_for
from jetwright.plan.tip_order import Wish
from jetwright.plan.tips import choose_tips, tips_for_job
from jetwright.rig.description import Branch, Dump, Hose, Port, Target, Task, Tip
from tests.acceptance.crew import DAY
from tests.limits.unit_a import BAR, GUN, LITRES_A_MINUTE, unit_a

SECONDS = 15.0
"""Processor time that none may take; the slowest took 3 to 4 s where this was measured."""
FLOW, PRESSURE = Target(flow=80 * LITRES_A_MINUTE), Target(nozzle_pressure=650 * BAR)


def head(sorts, rows, target, *, jets=1, bores=(0.3, 2.0), guns=0, inlet="cone", alike=False):
    """A tool of rows that all point another way, and a box of many sorts; or as many guns of it on a manifold."""
    least, most = bores
    tips = {}
    for number in range(sorts):
        bore = 1e-3 * (least + (most - least) * number / max(1, sorts - 1))
        tips[f"T{number}"] = Tip(bore, inlet, count=100)
    ways = [(0.5 * math.pi, 0.0, 0.0) if alike else (math.radians(13 * at % 170), 0.02, 0.1) for at in range(rows)]
    ports = tuple(Port("T0", jets, *way) for way in ways)
    tool = replace(GUN, kind="tank head", held_by="machine", release="none", ports=ports, bore=0.012, dump=None)
    if guns:
        tool = replace(GUN, ports=ports, bore=0.012, release="dump", dump=Dump(0.006, 0.7))
    job = unit_a(hose=Hose(0.012, 40.0), tool=tool)
    task = replace(job.task[0], target=target)
    if guns:
        branches = tuple(Branch(f"gun{number}") for number in range(guns))
        task = Task("It", replace(target, at=1), ("H",), branches=branches)
    tools = {f"gun{number}": tool for number in range(guns)} or {"gun": tool}
    return replace(job, tips=tips, tools=tools, task=(task,))


HOSTILE = {
    "30 sorts in 8 single ports at a flow": lambda: head(30, 8, FLOW),
    "60 sorts in 12 single ports at a flow": lambda: head(60, 12, FLOW),
    "200 sorts in 12 single ports at a flow": lambda: head(200, 12, FLOW),
    "200 sorts in 12 pairs": lambda: head(200, 12, PRESSURE, jets=2),
    "20 sorts in 12 rows of 5 pairs": lambda: head(20, 12, PRESSURE, jets=10, bores=(0.1, 0.6)),
    "200 sorts in 72 places alike": lambda: head(200, 12, PRESSURE, jets=12, bores=(0.1, 0.4), alike=True),
    "20 sizes that are one": lambda: head(20, 8, FLOW, bores=(0.9, 0.9)),
    "8 guns": lambda: head(4, 12, PRESSURE, bores=(0.2, 0.35), guns=8),
    "8 guns and tips too large": lambda: head(60, 12, PRESSURE, guns=8),
    "8 guns and nobody knows an inlet": lambda: head(60, 12, PRESSURE, bores=(0.05, 0.35), guns=8, inlet="unknown"),
    "8 guns and a flow": lambda: head(30, 3, FLOW, bores=(0.2, 0.9), guns=8),
}


@pytest.fixture
def plain(monkeypatch):
    """No compiled search."""
    monkeypatch.setitem(sys.modules, "jetwright.solve.fast", None)


@pytest.mark.usefixtures("plain")
@pytest.mark.parametrize("wish", [Wish(), Wish(least_torque=1e4)], ids=["best", "too much is wished"])
@pytest.mark.parametrize("name", HOSTILE)
def test_no_box_takes_long(name, wish):
    job = HOSTILE[name]()
    basis = basis_for(job, day=DAY)
    begun = time.process_time()
    choice = choose_tips(job, 0, basis, wish)
    spent = time.process_time() - begun
    assert spent < SECONDS
    assert choice.best or choice.nothing


@pytest.mark.parametrize("name", ["60 sorts in 12 single ports at a flow", "200 sorts in 12 pairs"])
def test_with_the_budget_at_an_end_the_compiled_search_says_the_same(name, monkeypatch):
    pytest.importorskip("jetwright.solve.fast", reason="no numba here: the plain path serves alone")
    job = HOSTILE[name]()
    compiled = choose_tips(job, 0, basis_for(job, day=DAY), Wish())
    monkeypatch.setitem(sys.modules, "jetwright.solve.fast", None)
    assert choose_tips(job, 0, basis_for(job, day=DAY), Wish()) == compiled
    assert not compiled.proven


def test_many_tasks_share_one_budget():
    job = HOSTILE["30 sorts in 8 single ports at a flow"]()
    tasks = tuple(replace(job.task[0], name=f"Task {number}") for number in range(12))
    job = replace(job, task=tasks)
    begun = time.process_time()
    plan = tips_for_job(job, basis_for(job, day=DAY), Wish())
    assert time.process_time() - begun < SECONDS
    assert all(choice.best for choice in plan.tasks)
