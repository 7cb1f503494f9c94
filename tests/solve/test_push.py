"""Checks of jetwright.solve.push."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.errors import NotServedError
from jetwright.parts.nozzle import recoil
from jetwright.rig.check import check
from jetwright.rig.condition import SOUND, Condition
from jetwright.rig.description import FlowAt, Port, Tip, Tool
from jetwright.solve.push import length_of, push_of
from jetwright.solve.steady import Levers, reach, solve
from tests.limits.unit_a import BAR, LITRES_A_MINUTE, unit_a, worked
from tests.rigs import between, jobs

BACK = math.radians(150.0)
MOLE = Tool(
    "pipe nozzle", bore=0.006, loss_k=3.0, release="none", held_by="hose", ports=(Port("T8"), Port("T9", 4, BACK))
)


def near(expected, last_digit=0.0):
    return pytest.approx(expected, rel=0.01, abs=0.5 * last_digit)


def rig_of(tool, tips, pressure=900 * BAR):
    return check(replace(unit_a(pressure=pressure, tool=tool), tips=tips))


@pytest.fixture
def mole():
    return rig_of(MOLE, {"T8": Tip(0.8e-3, "rounded"), "T9": Tip(0.9e-3, "rounded")}, 700 * BAR)


@worked(23)
@pytest.mark.parametrize(("angle", "along", "across"), [(0, 125, 0), (45, 88, 88), (90, 0, 125), (150, -108, 62)])
def test_a_single_jet_pushes_along_and_across(angle, along, across):
    tool = replace(MOLE, ports=(Port("T", 1, math.radians(angle)),))
    pushed = push_of(rig_of(tool, {"T": Tip(1.0e-3, "rounded")}), 1, 900 * BAR)
    assert pushed == (near(along, 1e-6), near(across, 1e-6))
    assert length_of(*pushed) == near(124.8)


@worked(28)
@pytest.mark.parametrize(
    ("bar", "flow", "push"), [(100, 120, 282), (1000, 20, 147), (2500, 21.8, 251), (2800, 20, 243)]
)
def test_a_rated_tip(bar, flow, push):
    tool = replace(MOLE, bore=0.012, ports=(Port("T"),))
    rig = rig_of(tool, {"T": Tip(rated=FlowAt(flow * LITRES_A_MINUTE, bar * BAR))}, bar * BAR)
    assert push_of(rig, 1, bar * BAR) == (near(push), 0.0)


@worked(24)
@pytest.mark.parametrize(
    ("plugged", "along", "across"), [({}, -211, 0), ({0: 1}, -274, 0), ({1: 2}, -74, 56), ({1: 4}, 62, 0)]
)
def test_plugged_jets_of_a_hose_fed_nozzle_at_the_planned_pressure(mole, plugged, along, across):
    assert push_of(mole, 1, 700 * BAR, plugged=plugged) == (near(along), near(across, 1e-6))


@worked(24)
@pytest.mark.parametrize(("row", "count", "along"), [(0, 1, -333), (1, 2, -104), (1, 4, 100)])
def test_plugged_jets_of_a_hose_fed_nozzle_at_the_relief(mole, row, count, along):
    left = 1.0 - count / mole.branches[0].rows[row].count
    state = reach(mole, "pump_pressure", 1150 * BAR, condition=Condition(port_area={(1, row): left}))
    assert push_of(mole, 1, state.lines[0].nozzle, plugged={row: count})[0] == near(along)


@pytest.mark.published(
    "geometry: what evenly spaced vectors leave over when neighbours are missing, added up one by one"
)
@pytest.mark.parametrize(("count", "plugged"), [(n, k) for n in range(1, 9) for k in range(n + 1)])
def test_what_is_left_across_is_the_sum_over_the_azimuths(count, plugged):
    tool = replace(MOLE, bore=0.012, ports=(Port("T", count, BACK, skew=0.3),))
    rig = rig_of(tool, {"T": Tip(0.9e-3, "rounded")})
    one = push_of(rig_of(replace(tool, ports=(Port("T", 1, BACK, skew=0.3),)), {"T": Tip(0.9e-3, "rounded")}), 1, 7e7)
    turns = [2.0 * math.pi * index / count for index in range(plugged, count)]
    across = one[1] * math.hypot(sum(map(math.cos, turns)), sum(map(math.sin, turns)))
    assert push_of(rig, 1, 7e7, plugged={0: plugged}) == (
        pytest.approx((count - plugged) * one[0]),
        pytest.approx(across, abs=1e-9),
    )


def test_single_jets_are_taken_to_point_the_same_way():
    """On the cautious side: two rows of one jet each, both to one side."""
    side = Port("T", 1, math.pi / 2)
    tips = {"T": Tip(0.9e-3, "rounded")}
    both, one = (rig_of(replace(MOLE, ports=ports), tips) for ports in ((side, side), (side,)))
    assert push_of(both, 1, 7e7)[1] == pytest.approx(2.0 * push_of(one, 1, 7e7)[1])


def test_nothing_pushes_without_pressure(mole):
    assert push_of(mole, 1, 0.0) == push_of(mole, 1, -1e5) == (0.0, 0.0)


@given(jobs(), between(1e6, 2.5e8))
def test_whole_rows_push_as_the_kernel_says(job, nozzle):
    """Impulse of the state's own jets: mass flow × speed, row by row."""
    rig = check(job)
    try:
        state = reach(rig, "nozzle_pressure", nozzle)
    except NotServedError:
        return
    for number, (branch, line) in enumerate(zip(rig.branches, state.lines, strict=True), start=1):
        pushed = push_of(rig, number, line.nozzle)
        whole = sum(row.count * row.area for row in branch.rows)
        speed = push_of(check(replace(job, tools={n: _straight(t) for n, t in job.tools.items()})), number, line.nozzle)
        rows = [
            recoil(line.jets * row.area / whole, speed[0] / line.jets, row.count, row.angle, row.skew)
            for row in branch.rows
            if line.jets > 0.0
        ]
        assert pushed[0] == pytest.approx(sum(along for along, _ in rows), rel=1e-9, abs=1e-9 * (1.0 + speed[0]))
        assert pushed[1] == pytest.approx(sum(across for _, across in rows), rel=1e-9, abs=1e-9 * (1.0 + speed[0]))


def _straight(tool):
    return replace(tool, ports=tuple(replace(port, angle=0.0, skew=0.0) for port in tool.ports))


@given(jobs(), between(1e6, 2.5e8), between(1.0, 1.5), st.integers(1, 4))
def test_a_larger_tip_at_the_same_pressure_never_pushes_less(job, nozzle, more, number):
    rig, number = check(job), min(number, len(job.tools))
    worn = Condition(tip_area={f"P{number - 1}": more})
    assert length_of(*push_of(rig, number, nozzle, worn)) >= length_of(*push_of(rig, number, nozzle, SOUND)) - 1e-12


@given(jobs(), between(0.5, 10.0))
def test_a_wholly_plugged_tool_does_not_push(job, speed):
    rig = check(job)
    condition = Condition(tip_area={"P0": 0.0})
    try:
        state = solve(rig, Levers(speed), condition)
    except NotServedError:
        return
    assert push_of(rig, 1, state.lines[0].nozzle, condition) == (0.0, 0.0)
    everything = {row: jets.count for row, jets in enumerate(rig.branches[0].rows)}
    assert push_of(rig, 1, 1e8, plugged=everything) == (pytest.approx(0.0, abs=1e-9), pytest.approx(0.0, abs=1e-9))
