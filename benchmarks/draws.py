"""The rows of the draws: ten thousand of one rig, each from the planned rig to percentiles and shares."""

import importlib.util
import statistics
import time
from collections.abc import Callable
from pathlib import Path

from benchmarks import process
from benchmarks.rigs import eight_tools
from jetwright.files.job import read_job
from jetwright.plan.draws import COUNT, draws_of
from jetwright.plan.proving import proving_point
from jetwright.plan.setting import machine_for, target_of
from jetwright.rig.check import CheckedRig, check

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
GOAL = 50.0  # ms
DRAW = """
from jetwright.plan.draws import draws_of
from jetwright.plan.proving import proving_point
from jetwright.plan.setting import machine_for, target_of
from jetwright.rig.check import check
from jetwright.rig.example import JOB
rig = check(JOB)
machine = machine_for(rig, *target_of(rig))
draws_of(rig, machine, proving_point(rig, machine.state.pump_pressure), 1000, plain={plain})
"""


def _median(work: Callable[[], object], rounds: int) -> float:
    work()
    times = []
    for _ in range(rounds):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return 1e3 * statistics.median(times)


def _rigs() -> list[tuple[str, CheckedRig, bool]]:
    """What is drawn, and whether the goal is for it."""
    shift = read_job(EXAMPLES / "shift" / "job.toml").job
    guns = read_job(EXAMPLES / "two-guns.toml").job
    return [
        ("the floor head behind 60 m of hose", check(shift, 0), True),
        ("the gun behind a reducer and three hoses with tails", check(shift, 1), True),
        ("two guns off a manifold", check(guns), False),
        ("eight guns off a manifold", eight_tools(), False),
    ]


def _drawn(rig: CheckedRig, count: int, *, plain: bool) -> Callable[[], object]:
    machine = machine_for(rig, *target_of(rig))
    proving = proving_point(rig, machine.state.pump_pressure)
    return lambda: draws_of(rig, machine, proving, count, plain=plain)


def rows(quick: bool) -> tuple[list[tuple[str, ...]], list[str]]:
    """Rows of a table, and what falls short of the goal."""
    table = [(f"{COUNT} draws of one rig", "compiled [ms]", "goal", "plain Python [ms]"), ("---",) * 4]
    short = []
    compiled = importlib.util.find_spec("numba") is not None
    few = 500 if quick else COUNT
    for told, rig, judged in _rigs():
        slow = _median(_drawn(rig, few, plain=True), 1 if quick else 3) * COUNT / few
        fast, late = "", False
        if compiled:
            taken = _median(_drawn(rig, COUNT, plain=False), 3 if quick else 15)
            late = judged and taken > GOAL
            fast = f"{taken:.0f}{' ✗' if late else ''}"
            if late:
                short.append(f"draws of {told}: {taken:.0f} ms, goal ≤ {GOAL:g}")
        table.append((told, fast, f"≤ {GOAL:g}" if judged else "", f"{slow:.0f}"))
    if compiled:
        with_it, without = (
            process.cost(["-c", DRAW.format(plain=plain)], 2 if quick else 5).seconds for plain in (False, True)
        )
        told = "beside it, once a process: numba imported, the compiled draws read from their cache"
        table.append((told, f"{1e3 * (with_it - without):.0f}", "", ""))
    return table, short
