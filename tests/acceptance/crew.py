"""A crew writes a job for Unit A down, plans it, and stands at the machine."""

import datetime
import json
import pathlib
import shutil
import subprocess
import sys

import pytest

from jetwright.actions.plan import basis_for
from jetwright.files.job import read_job
from jetwright.plan.task import plan_job
from jetwright.report.plan_json import plan_facts
from jetwright.rig.check import check
from jetwright.rig.condition import SOUND
from jetwright.solve.steady import Levers, solve
from jetwright.units import to

SOURCE = (
    "computed by three independent programs (IAPWS-95 water, exact Colebrook, the equations of docs/job-file.md) that "
    "agree to the digits shown"
)
DAY = datetime.date(2026, 5, 4)
YARD = pathlib.Path(__file__).with_name("unit-a.toml")


def case(number):
    """The marks of a worked case's tests."""
    marks = (pytest.mark.acceptance, pytest.mark.published(f"worked case {number}: {SOURCE}"))

    def marked(test):
        for mark in marks:
            test = mark(test)
        return test

    return marked


def near(expected, digit=0.0):
    """±1 %, or half of the last digit shown where that is more."""
    return pytest.approx(expected, rel=0.01, abs=0.5 * digit)


def rpm(expected):
    return pytest.approx(expected, abs=1.0)


def tip(name, bore, inlet="rounded"):
    return f'[tips."{name}"]\nbore = "{bore} mm"\ninlet = "{inlet}"\n'


DUMP = '"dump"\ndump = { bore = "6 mm", cd = 0.7 }'


def gun(*ports, kind="hand lance", bore="6 mm", loss=3.0, release=DUMP, more=""):
    """A tool; each port is a tip's name, how many, and at which angle."""
    rows = ", ".join(f'{{ tip = "{name}", count = {count}, angle = "{angle}" }}' for name, count, angle in ports)
    return (
        f'[tools.gun]\nkind = "{kind}"\nbore = "{bore}"\nloss_k = {loss}\nrelease = {release}\n{more}ports = [{rows}]\n'
    )


class Job:
    """One job file in a folder of its own, with Unit A as its yard."""

    def __init__(self, folder, *tables, target='nozzle_pressure = "900 bar"', run='["H"]', task='tool = "gun"'):
        folder.mkdir(parents=True, exist_ok=True)
        shutil.copy(YARD, folder / "unit-a.toml")
        self.path = folder / "job.toml"
        text = f"""title = "Worked case"
altitude = "40 m"
yard = "unit-a.toml"

[supply]
pressure = "3.5 bar"
flow = "150 L/min"
temperature = "18 degC"

{"".join(tables)}
[[task]]
name = "It"
hose_run = {run}
{task}
target = {{ {target} }}
"""
        self.path.write_text(text, encoding="utf-8")
        self.job = read_job(self.path).job
        self.rig = check(self.job)

    def plan(self):
        """The plan of the task, as its JSON says it."""
        [*_, task] = plan_facts(plan_job(self.job, basis_for(self.job, day=DAY)))["tasks"]
        return task

    def command(self, *options):
        """Exit code and plan of the task, from the command."""
        done = subprocess.run(
            [sys.executable, "-m", "jetwright", "plan", str(self.path), "--json", *options],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.stderr == ""
        [task] = json.loads(done.stdout)["tasks"]
        return done.returncode, task

    def stand(self, rpm, opening_mm2=0.0, condition=SOUND, **levers):
        """Where the rig settles with the hands there: gauge in bar, and the state."""
        state = solve(self.rig, Levers(rpm / 60.0, opening_mm2 * 1e-6, **levers), condition)
        return to(state.pump_pressure, "bar"), state


def limit(task, name, about=None):
    [found] = [one for one in task["limits"] if one["id"] == name and about in (None, one.get("about"))]
    return found


def verdicts(task, name):
    """The verdicts of every limit of that id."""
    return [one["verdict"] for one in task["limits"] if one["id"] == name]
