"""Measure, print a table, and with --write keep it: `python -m benchmarks [--quick] [--write]`."""

import argparse
import datetime
import importlib.metadata
import os
import platform
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from benchmarks import draws, process, tips
from benchmarks.rigs import Rig, eight_tools, rigs

ROOT = Path(__file__).resolve().parent.parent
KEPT = ROOT / "docs" / "proof" / "benchmarks.md"
JOB = ROOT / "examples" / "shift" / "job.toml"

Solver = Callable[[float], float]
OURS, PLAIN = "compiled", "plain Python"
SCRATCH, WARM = "EPANET's toolkit, from scratch", "EPANET's toolkit, from the state before"
CONSTANT, SAME = "fluids + scipy, constant density", "fluids + scipy, same physics"
COMPILED_GOAL = {"A": 1.5, "B": 2.0, "C": 1.5}  # µs
PLAIN_GOAL = {"A": 150.0, "B": 300.0, "C": 150.0}  # µs
BATCH_GOAL = {"A": 1.5, "B": 0.7, "C": 1.3}  # million a second
TOOLKIT_GOAL, FLUIDS_GOAL, ERROR_GOAL = 5.0, 80.0, 1e-6
STATES_GOAL = 10.0  # ms
TASK = "Noon: pump footings by gun"


def once(solve: Solver, speeds: tuple[float, ...], passes: int) -> float:
    """Time of one solve [s]."""
    begin = time.perf_counter()
    for _ in range(passes):
        for speed in speeds:
            solve(speed)
    return (time.perf_counter() - begin) / (passes * len(speeds))


def raced(solvers: dict[str, Solver], speeds: tuple[float, ...], rounds: int, span: float) -> dict[str, float]:
    """Median time of one solve [s], the contestants taking turns so that a busy machine slows them alike."""
    passes = {}
    for name, solve in solvers.items():
        once(solve, speeds, 1)
        passes[name] = max(1, int(span / (once(solve, speeds, 1) * len(speeds))))
    times: dict[str, list[float]] = {name: [] for name in solvers}
    for _ in range(rounds):
        for name, solve in solvers.items():
            times[name].append(once(solve, speeds, passes[name]))
    return {name: statistics.median(each) for name, each in times.items()}


class Table:
    """Rows of markdown, and what falls short of a goal."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.short: list[str] = []

    def row(self, *cells: str) -> None:
        self.lines.append("| " + " | ".join(cells) + " |")

    def judged(self, what: str, values: dict[str, float], form: str, goals: dict[str, float], least: bool) -> None:
        """A row with its goals; what misses one is marked."""
        sign = "≥" if least else "≤"
        missed = {k for k, v in values.items() if (v < goals[k] if least else v > goals[k])}
        cells = [form.format(v) + (" ✗" if k in missed else "") for k, v in values.items()]
        told = list(dict.fromkeys(f"{g:g}" for g in goals.values()))
        told = told if len(told) == 1 else [f"{goals[k]:g}" for k in values]
        self.row(what, *cells, f"{sign} {' / '.join(told)}")
        self.short += [f"{what}, rig {k}: {form.format(values[k])}, goal {sign} {goals[k]:g}" for k in sorted(missed)]


def contestants(rig: Rig, missing: set[str]) -> dict[str, Solver]:
    """Every way to solve a rig that this machine has."""
    found: dict[str, Solver] = {}
    try:
        from jetwright.solve.fast import CompiledRig

        compiled = CompiledRig(rig.network).settle
        found[OURS] = lambda speed: compiled(speed, 0.0)
    except ImportError:
        missing.add("numba is not installed: nothing compiled, no ratios")
    found[PLAIN] = rig.plain()
    try:
        from benchmarks import toolkit

        found[SCRATCH] = toolkit.solver(rig, warm=False)
        found[WARM] = toolkit.solver(rig, warm=True)
    except OSError as error:
        missing.add(str(error))
    from benchmarks import composed

    found[CONSTANT] = composed.solver(rig, composed.constant)
    found[SAME] = composed.solver(rig, composed.compressible)
    return found


def batch(rig: Rig, count: int, rounds: int) -> float:
    """Solves in a second on one core, in millions."""
    import numpy as np

    from jetwright.solve.fast import CompiledRig

    speeds = np.resize(np.array(rig.speeds), count)
    areas, compiled, times = np.zeros(count), CompiledRig(rig.network), []
    compiled.settle_many(speeds[:10], areas[:10])
    for _ in range(rounds):
        begin = time.perf_counter()
        compiled.settle_many(speeds, areas)
        times.append(time.perf_counter() - begin)
    return count / statistics.median(times) / 1e6


def steady(table: Table, quick: bool) -> set[str]:
    """The rows of the steady solve."""
    from benchmarks import reference

    rounds, span = (3, 0.002) if quick else (15, 0.02)
    micro: dict[str, dict[str, float]] = {}
    off: dict[str, dict[str, float]] = {}
    errors, batches, told, missing = {}, {}, [], set()
    for rig in rigs():
        told.append(f"{rig.letter}: {rig.told}.")
        solvers = contestants(rig, missing)
        ours = solvers.get(OURS, solvers[PLAIN])
        for name, seconds in raced(solvers, rig.speeds, rounds, span).items():
            micro.setdefault(name, {})[rig.letter] = 1e6 * seconds
        for name, solve in solvers.items():
            worst = max((solve(speed) / ours(speed) - 1.0 for speed in rig.speeds), key=abs)
            off.setdefault(name, {})[rig.letter] = 100.0 * worst
        judged = rig.speeds[:1] if quick else rig.speeds[:4]
        errors[rig.letter] = max(abs(ours(speed) / reference.pump_pressure(rig, speed) - 1.0) for speed in judged)
        if OURS in solvers:
            batches[rig.letter] = batch(rig, 2000 if quick else 50000, rounds)
    table.row("one steady solve", *errors, "goal")
    table.row(*["---"] * (len(errors) + 2))
    if OURS in micro:
        table.judged("Jetwright, compiled, Python's call included [µs]", micro[OURS], "{:.2f}", COMPILED_GOAL, False)
    table.judged("Jetwright, plain Python [µs]", micro[PLAIN], "{:.0f}", PLAIN_GOAL, False)
    goals = dict.fromkeys(errors, ERROR_GOAL)
    table.judged("our numerical error, share of the pump pressure", errors, "{:.0e}", goals, False)
    for name, least in ((SCRATCH, TOOLKIT_GOAL), (WARM, TOOLKIT_GOAL), (CONSTANT, 0.0), (SAME, FLUIDS_GOAL)):
        if name not in micro:
            continue
        table.row(f"{name} [µs]", *(f"{v:.1f}" for v in micro[name].values()), "")
        # the sign is kept: + is above our answer
        form = "{:+.1e} %" if name == SAME else "{:+.2f} %"
        table.row(f"{name}: its pump pressure off ours by", *(form.format(v) for v in off[name].values()), "")
        if OURS in micro:
            ratio = {k: micro[name][k] / micro[OURS][k] for k in errors}
            what = f"{name}: its time / ours compiled"
            if least:
                table.judged(what, ratio, "{:.1f}", dict.fromkeys(errors, least), True)
            else:
                table.row(what, *(f"{v:.1f}" for v in ratio.values()), "")
    if batches:
        table.judged("batch, compiled, one core [million solves/s]", batches, "{:.2f}", BATCH_GOAL, True)
    table.lines += ["", " ".join(told)]
    return missing


def states(table: Table, quick: bool) -> None:
    """The rows of the trigger states, each from the checked rig to the answer."""
    from jetwright.plan.setting import machine_for, target_of
    from jetwright.solve.states import trigger_states

    rig = eight_tools()
    levers = machine_for(rig, *target_of(rig)).levers

    def milliseconds(work: Callable[[], object], rounds: int) -> float:
        work()
        times = []
        for _ in range(rounds):
            begin = time.perf_counter()
            work()
            times.append(time.perf_counter() - begin)
        return 1e3 * statistics.median(times)

    table.row("trigger states", "median [ms]", "goal")
    table.row(*["---"] * 3)
    try:
        from jetwright.solve.fast import CompiledStates

        fast = milliseconds(lambda: CompiledStates(rig, levers).settle(), 3 if quick else 31)
        what, late = "256 trigger states of an eight-tool job, compiled", fast > STATES_GOAL
        table.row(what, f"{fast:.1f}{' ✗' if late else ''}", f"≤ {STATES_GOAL:g}")
        if late:
            table.short.append(f"{what}: {fast:.1f} ms, goal ≤ {STATES_GOAL:g}")
    except ImportError:
        pass  # the rows of the steady solve say so
    plain = milliseconds(lambda: trigger_states(rig, levers), 1 if quick else 5)
    table.row("beside it: the same in plain Python, as a plan takes it", f"{plain:.0f}", "")


def drawn(table: Table, quick: bool) -> None:
    """The rows of the draws, each from the planned rig to the answer."""
    rows, short = draws.rows(quick)
    for row in rows:
        table.row(*row)
    table.short += short


def filled(table: Table, quick: bool) -> None:
    """The rows of the tips."""
    rows, short = tips.rows(quick)
    for row in rows:
        table.row(*row)
    table.lines.append("")
    for row in tips.hard(quick):
        table.row(*row)
    table.short += short


def processes(table: Table, quick: bool) -> None:
    """The rows of the command line."""
    repeats = 2 if quick else 11
    table.row("`jetwright` as a process", "median [s]", "peak memory [MB]", "goal")
    table.row(*["---"] * 4)

    def judged(what: str, cost: process.Cost, seconds: float, megabytes: float = 80.0) -> None:
        late, large = cost.seconds > seconds, cost.memory > megabytes
        marks = [" ✗" if missed else "" for missed in (late, large)]
        goal = f"≤ {seconds:g} s, ≤ {megabytes:g} MB"
        table.row(what, f"{cost.seconds:.3f}{marks[0]}", f"{cost.memory:.0f}{marks[1]}", goal)
        if late or large:
            table.short.append(f"{what}: {cost.seconds:.3f} s and {cost.memory:.0f} MB, goal {goal}")

    judged("`jetwright plan --json`, a shift of three tasks", _plan(repeats), 0.45)
    first = process.planning(str(JOB), repeats)
    table.row("of which the plan itself", f"{first:.3f}{' ✗' if first > 0.1 else ''}", "", "≤ 0.1 s")
    if first > 0.1:
        table.short.append(f"the plan itself: {first:.3f} s, goal ≤ 0.1 s")
    with tempfile.TemporaryDirectory() as folder:
        for what, more in (("a page", ["--task", TASK]), ("a shift of three pages", [])):
            line = ["-m", "jetwright", "sheet", str(JOB), "--into", str(Path(folder) / "made"), "--overwrite", *more]
            if more:
                judged(f"`jetwright sheet`, {what}", process.cost(line, repeats), 0.6, 200.0)
            else:
                cost = process.cost(line, repeats)
                table.row(f"beside it: {what}", f"{cost.seconds:.3f}", f"{cost.memory:.0f}", "")
    judged("`jetwright --help`", process.cost(["-m", "jetwright", "--help"], repeats), 0.15)
    for what, text in (("Python, doing nothing", "pass"), ("Python, importing numba", "import numba")):
        cost = process.cost(["-c", text], repeats)
        table.row(f"beside it: {what}", f"{cost.seconds:.3f}", f"{cost.memory:.0f}", "")


def _plan(repeats: int) -> process.Cost:
    return process.cost(["-m", "jetwright", "plan", str(JOB), "--json"], repeats, allowed=(0, 3))


def processor() -> str:
    """The processor's model, as the machine names it."""
    try:
        for line in Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.split(":", 1)[1].strip()
    except OSError:
        pass
    return platform.processor() or platform.machine()


def versions() -> str:
    """What was measured with."""
    found = [f"Python {platform.python_version()}"]
    for name in ("jetwright", "numba", "numpy", "scipy", "fluids", "wntr", "ortools"):
        try:
            found.append(f"{name} {importlib.metadata.version(name)}")
        except importlib.metadata.PackageNotFoundError:
            if name == "jetwright":
                import jetwright

                found.append(f"jetwright {jetwright.__version__}")
    return ", ".join(found)


def main() -> int:
    """Measure and tell."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description="Jetwright's speed beside its peers.")
    parser.add_argument("--quick", action="store_true", help="only prove that they run; the figures mean little")
    parser.add_argument("--write", action="store_true", help="keep the table in docs/proof/benchmarks.md")
    chosen = parser.parse_args()
    if chosen.quick and chosen.write:
        parser.error("--quick measures too little to be kept")
    command, solve, let_go, many, tip = Table(), Table(), Table(), Table(), Table()
    processes(command, chosen.quick)
    missing = steady(solve, chosen.quick)
    states(let_go, chosen.quick)
    drawn(many, chosen.quick)
    filled(tip, chosen.quick)
    short = solve.short + let_go.short + many.short + tip.short + command.short
    load = f", load {os.getloadavg()[0]:.1f} at the end" if hasattr(os, "getloadavg") else ""
    text = [
        "# Benchmarks, as last measured",
        "",
        f"{datetime.date.today():%d %B %Y}; {processor()}, {os.cpu_count()} cores{load}; {versions()}.",
        "",
        *solve.lines,
        "",
        *let_go.lines,
        "",
        *many.lines,
        "",
        *tip.lines,
        "",
        *command.lines,
        "",
        *(f"Not measured here: {one}." for one in sorted(missing)),
        *([""] if missing else []),
        "**Goals not met (✗):**" if short else "Every goal is met.",
        "",
        *(f"* {one}" for one in short),
    ]
    out = "\n".join(text).rstrip() + "\n"
    sys.stdout.write(out)
    if chosen.write:
        KEPT.parent.mkdir(parents=True, exist_ok=True)
        KEPT.write_text(out, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
