"""Commands as processes: wall time and peak memory, started from a small process of its own.

A child's peak memory on Linux counts what its parent held when it started it; hence the small one between.
"""

import statistics
import subprocess
import sys
from dataclasses import dataclass

STARTER = """
import os, sys, time
for _ in range(int(sys.argv[1])):
    begin = time.perf_counter()
    pid = os.posix_spawn(sys.argv[2], sys.argv[2:], os.environ,
                         file_actions=[(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)])
    _, status, usage = os.wait4(pid, 0)
    print(time.perf_counter() - begin, usage.ru_maxrss, os.waitstatus_to_exitcode(status))
"""

PLAN = """
import sys, time
from jetwright.actions.plan import basis_for
from jetwright.files.job import read_job
from jetwright.plan.task import plan_job
job = read_job(sys.argv[1]).job
basis = basis_for(job)
begin = time.perf_counter()
plan_job(job, basis)
print(time.perf_counter() - begin)
"""


@dataclass(frozen=True)
class Cost:
    """Median wall time [s] and peak memory [MB]."""

    seconds: float
    memory: float


def cost(args: list[str], repeats: int, allowed: tuple[int, ...] = (0,)) -> Cost:
    """Of `python ARGS`, one run ahead of the counted ones."""
    line = [sys.executable, "-c", STARTER, str(repeats + 1), sys.executable, *args]
    told = subprocess.run(line, capture_output=True, text=True, check=True, timeout=300)
    rows = [row.split() for row in told.stdout.splitlines()]
    if any(int(code) not in allowed for _, _, code in rows):
        raise RuntimeError(f"{' '.join(args)} failed: {told.stderr}")
    unit = 1e6 if sys.platform == "darwin" else 1e3
    return Cost(statistics.median(float(s) for s, _, _ in rows[1:]), max(float(m) for _, m, _ in rows[1:]) / unit)


def planning(job: str, repeats: int) -> float:
    """Time of the first plan in a fresh process, its file read already [s]."""
    line = [sys.executable, "-c", PLAN, job]
    return statistics.median(
        float(subprocess.run(line, capture_output=True, text=True, check=True, timeout=60).stdout)
        for _ in range(repeats)
    )
