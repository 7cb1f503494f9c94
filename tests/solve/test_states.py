"""What every combination of triggers does: physics' own demands on random rigs, and the compiled batch against it."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.errors import NotServedError
from jetwright.parts.nozzle import jet_flow
from jetwright.parts.pump import delivered_per_turn
from jetwright.plan.setting import machine_for, target_of
from jetwright.rig.check import check
from jetwright.rig.description import Branch, Bypass, Dump, Fitting, Hose, Port, Relief, Target, Task, Tip, Tool
from jetwright.rig.example import JOB
from jetwright.solve.push import push_of
from jetwright.solve.states import outermost_states, trigger_states
from jetwright.solve.steady import Levers, solve
from tests.rigs import between, jobs

RELEASES = ("dump", "dry shut-off", "none")


@st.composite
def stands(draw):
    """A random rig whose tools let go in every way, also through a pedal in a hose run, and its machine's setting."""
    job = draw(jobs())
    pedal = draw(st.booleans())
    fittings = {"valve": Fitting(0.008, 1.0, dump=Dump(draw(between(0.003, 0.008))))} if pedal else job.fittings
    tools = {}
    for name, tool in job.tools.items():
        release = draw(st.sampled_from(RELEASES))
        own = tool.dump
        if pedal and release == "dump" and draw(st.booleans()) and all("valve" in run for run in runs_to(job, name)):
            own = None
        tools[name] = replace(tool, release=release, dump=own if release == "dump" else None)
    set_pressure = draw(between(5e7, 2.9e8))
    reliefs = ((), (Relief(set_pressure),), (Relief(set_pressure, "disc"),), (Relief(1e8), Relief(1.2e8, "disc")))
    job = replace(job, tools=tools, fittings=fittings, unit=replace(job.unit, relief=draw(st.sampled_from(reliefs))))
    opening = draw(between(1e7, 2.5e8)) if job.unit.bypass.kind == "regulating" else 0.0
    area = draw(st.just(0.0) | between(1e-7, 2e-5)) if job.unit.bypass.kind == "hand-set" else 0.0
    return check(job), Levers(draw(between(0.5, 10.0)), area, opening)


def runs_to(job, tool):
    """Every hose run that leads to a tool."""
    task = job.task[0]
    own = [task.hose_run + branch.hose_run for branch in task.branches if branch.tool == tool]
    return own or [task.hose_run]


def in_main(rig, number):
    branch = rig.branches[number - 1]
    return branch.tool.release == "dump" and 0 <= branch.dump_item < len(rig.main)


def let_go(state):
    return [number for number, held in enumerate(state.held, start=1) if not held]


@given(stands())
def test_first_all_are_held_last_all_let_go(stand):
    """Our own convention; what is stopped at the pump stays held."""
    rig, levers = stand
    states = trigger_states(rig, levers)
    can = [branch.tool.release != "none" for branch in rig.branches]
    assert len({state.held for state in states}) == len(states) == 2 ** sum(can)
    assert all(states[0].held)
    assert states[-1].held == tuple(not one for one in can)


@given(stands())
def test_what_is_delivered_is_what_leaves(stand):
    """Conservation of mass: bypass, relief, jets and leaks take what the pump gives, and open ports the rest."""
    rig, levers = stand
    for state in trigger_states(rig, levers):
        if state.pump_pressure is None:
            continue
        delivered = levers.speed * delivered_per_turn(rig.water, rig.pump, state.pump_pressure)
        rest = delivered - state.bypass_flow - state.relief_flow - sum(tool.jets for tool in state.tools)
        for branch, tool in zip(rig.branches, state.tools, strict=True):
            rest -= jet_flow(rig.water, branch.leak_area, tool.inlet)[0]
        ports = any(rig.branches[number - 1].tool.release == "dump" for number in let_go(state))
        assert rest >= -1e-8 * delivered
        if not ports:
            assert rest == pytest.approx(0.0, abs=1e-8 * delivered)


@given(stands())
def test_a_state_is_what_the_balance_says(stand):
    """Each state by itself, the triggers put into the network one by one, to 1e-9."""
    rig, levers = stand
    for state in trigger_states(rig, levers):
        if state.unloaded or state.pump_pressure is None:
            continue
        dumping = tuple(n for n in let_go(state) if rig.branches[n - 1].tool.release == "dump")
        shut = tuple(n for n in let_go(state) if n not in dumping)
        alone = solve(rig, replace(levers, shut=shut, dumping=dumping, relief=True))
        assert state.pump_pressure == pytest.approx(alone.pump_pressure, rel=1e-9)
        if any(in_main(rig, number) for number in dumping):
            assert all(tool.jets == tool.nozzle == tool.along == 0.0 for tool in state.tools)
            continue
        for number, (tool, line) in enumerate(zip(state.tools, alone.lines, strict=True), start=1):
            if state.held[number - 1]:
                assert tool.nozzle == pytest.approx(line.nozzle, rel=1e-9, abs=1e-3)
                assert tool.jets == pytest.approx(line.jets, rel=1e-9, abs=1e-12)
                assert (tool.along, tool.across) == push_of(rig, number, tool.nozzle)
            else:
                assert (tool.nozzle, tool.jets, tool.along, tool.across) == (0.0, 0.0, 0.0, 0.0)
            assert tool.inlet == pytest.approx(line.inlet, rel=1e-9, abs=1.0)


@given(stands())
def test_a_relief_valve_passes_water_above_its_set_point_alone(stand):
    """Physics: shut below it; a disc passes nothing, and a state that would burst it does not hold."""
    rig, levers = stand
    for state in trigger_states(rig, levers):
        pressure = state.pump_pressure
        for device in rig.job.unit.relief:
            if device.kind == "disc":
                assert pressure is None or pressure < device.set * (1.0 - device.tolerance)
            elif pressure is not None:
                assert (state.relief_flow > 0.0) == (pressure > min(d.set for d in valves(rig)))
        if not valves(rig):
            assert state.relief_flow == 0.0


def valves(rig):
    return [device for device in rig.job.unit.relief if device.kind == "valve"]


@given(stands())
def test_an_unloader_opens_at_its_set_point_or_with_every_tool_shut(stand):
    """Common practice; the pump then stands at the idle pressure, 20 bar when none is given."""
    rig, levers = stand
    bypass = rig.job.unit.bypass
    for state in trigger_states(rig, levers):
        if bypass.kind != "unloader":
            assert not state.unloaded
        elif state.unloaded:
            assert state.pump_pressure == 20e5
        else:
            assert state.pump_pressure is None or state.pump_pressure < bypass.set
            assert any(state.held) or any(branch.tool.release == "dump" for branch in rig.branches)


@given(stands())
def test_compiled_equals_plain(stand):
    """One text of the physics: to 1e-12, recoil of the jets' force."""
    from jetwright.solve.fast import CompiledStates

    rig, levers = stand
    plain, fast = trigger_states(rig, levers), CompiledStates(rig, levers).settle()
    assert [tuple(row) for row in fast.held.tolist()] == [state.held for state in plain]
    for row, state in enumerate(plain):
        pressure = math.nan if state.pump_pressure is None else state.pump_pressure
        assert fast.pump_pressure[row] == pytest.approx(pressure, rel=1e-12, nan_ok=True)
        assert fast.bypass_flow[row] == pytest.approx(state.bypass_flow, rel=1e-12, abs=1e-15)
        assert fast.relief_flow[row] == pytest.approx(state.relief_flow, rel=1e-9, abs=1e-12)
        assert fast.unloaded[row] == state.unloaded
        for name in ("nozzle", "inlet", "jets"):
            wanted = [getattr(tool, name) for tool in state.tools]
            assert getattr(fast, name)[row].tolist() == pytest.approx(wanted, rel=1e-12, abs=1e-12)
        force = sum(abs(tool.jets) for tool in state.tools) * 1000.0
        for name in ("along", "across"):
            wanted = [getattr(tool, name) for tool in state.tools]
            assert getattr(fast, name)[row].tolist() == pytest.approx(wanted, rel=1e-12, abs=1e-12 * (force + 1.0))


def eight_tools(bypass, releases):
    """Eight guns, no two alike, off one manifold, at 700 bar."""
    tips = {f"T{index}": Tip((7 + index) * 1e-4, "rounded") for index in range(8)}
    tools = {
        f"gun {index}": Tool("hand lance", 0.006, release, (Port(f"T{index}"),), loss_k=3.0, dump=Dump(0.006))
        for index, release in enumerate(releases)
    }
    hoses = {f"H{index}": Hose(0.008, 10.0 + 5.0 * index) for index in range(8)} | {"main": Hose(0.013, 40.0)}
    branches = tuple(Branch(f"gun {index}", (f"H{index}",)) for index in range(8))
    unit = replace(JOB.unit, bypass=bypass, relief=(Relief(1150e5),), pump=replace(JOB.unit.pump, top_speed=40.0))
    task = Task("Eight", Target(nozzle_pressure=700e5), ("main",), branches=branches)
    return check(replace(JOB, unit=unit, hoses=hoses, tips=tips, tools=tools, task=(task,)))


@pytest.mark.parametrize(
    "bypass",
    [
        Bypass("hand-set", "tank", full_open_area=2e-5),
        Bypass("regulating", "tank"),
        Bypass("unloader", "tank", set=900e5, idle_pressure=30e5),
    ],
)
def test_eight_tools_have_256_states(bypass):
    """Compiled and plain alike, to 1e-12; a smaller batch of tools held never lowers the pressure."""
    from jetwright.solve.fast import CompiledStates

    rig = eight_tools(bypass, ("dump", "dry shut-off") * 4)
    levers = machine_for(rig, *target_of(rig)).levers
    plain, fast = trigger_states(rig, levers), CompiledStates(rig, levers).settle()
    assert len(plain) == len(fast.pump_pressure) == 256
    assert [state.pump_pressure for state in plain] == pytest.approx(fast.pump_pressure.tolist(), rel=1e-12)
    along = np.array([[tool.along for tool in state.tools] for state in plain])
    assert np.abs(fast.along - along).max() <= 1e-12 * along.max()
    if bypass.kind == "unloader":
        assert {state.pump_pressure for state in plain if state.unloaded} == {30e5}


def test_shutting_one_more_tool_never_lowers_the_pressure():
    """Physics: one way out less, at the same speed, relief and hole."""
    rig = eight_tools(Bypass("hand-set", "tank", full_open_area=2e-5), ("dry shut-off",) * 8)
    pressures = {state.held: state.pump_pressure for state in trigger_states(rig, Levers(6.0, 1e-6))}
    for held, pressure in pressures.items():
        for index, one in enumerate(held):
            if one:
                assert pressures[(*held[:index], False, *held[index + 1 :])] >= pressure * (1.0 - 1e-9)


def test_without_relief_or_way_out_nothing_holds():
    """A shut pump has no pressure that is served; the tool is told as at the highest that is."""
    tools = {"gun": replace(JOB.tools["gun"], release="dry shut-off", dump=None)}
    rig = check(replace(JOB, tools=tools))
    held, shut = trigger_states(rig, Levers(177 / 60))
    assert held.pump_pressure is not None
    assert shut.pump_pressure is None
    assert not shut.unloaded
    with pytest.raises(NotServedError):
        solve(rig, Levers(177 / 60, shut=(1,)))


def test_a_pedal_in_the_main_run_lets_go_for_all():
    """The port in the main run is the way out for every tool behind it: no jet flows anywhere."""
    from jetwright.solve.fast import CompiledStates

    job = eight_tools(Bypass("hand-set", "tank", full_open_area=2e-5), ("dump",) * 8).job
    pedal = {"pedal": Fitting(0.012, 1.0, dump=Dump(0.006))}
    tools = {name: replace(tool, dump=None if name == "gun 3" else tool.dump) for name, tool in job.tools.items()}
    task = replace(job.task[0], hose_run=("main", "pedal"))
    rig = check(replace(job, tools=tools, fittings=pedal, task=(task,)))
    states = trigger_states(rig, Levers(6.0))
    stepped = [state for state in states if not state.held[3]]
    assert len(stepped) == 128
    assert len({state.pump_pressure for state in stepped}) == 1
    assert all(tool.jets == 0.0 for state in stepped for tool in state.tools)
    assert all(
        any(tool.jets > 0.0 for tool in state.tools) for state in states if state.held[3] and any(state.held[:3])
    )
    fast = CompiledStates(rig, Levers(6.0)).settle()
    assert [state.pump_pressure for state in states] == pytest.approx(fast.pump_pressure.tolist(), rel=1e-12)


def ends_of(states, number):
    """What a limit on one tool can rest on: it held and another let go, and it let go."""
    found = []
    for held in (True, False):
        chosen = [one for one in states if one.held[number - 1] is held and (not held or not all(one.held))]
        for told in (
            [one.pump_pressure for one in chosen if one.pump_pressure is not None],
            [math.hypot(one.tools[number - 1].along, one.tools[number - 1].across) for one in chosen],
            [one.tools[number - 1].inlet for one in chosen],
            [one.relief_flow for one in chosen],
        ):
            found.append([max(told), *([min(told)] if held else [])] if told else [])
        found.append([any(one.pump_pressure is None for one in chosen)])
    return found


@given(stands())
def test_a_handful_of_states_holds_what_is_least_and_greatest_of_all(stand):
    """Against all of them, to what the search for a balance promises."""
    rig, levers = stand
    every = trigger_states(rig, levers)
    for number in range(1, len(rig.branches) + 1):
        few = outermost_states(rig, levers, number)
        assert set(few) <= set(every)
        for one, all_told in zip(ends_of(few, number), ends_of(every, number), strict=True):
            assert one == pytest.approx(all_told, rel=1e-7, abs=1e-4)


@pytest.mark.parametrize(("release", "dump"), [("dry shut-off", None), ("dump", Dump(0.006)), ("dump", Dump(2e-4))])
def test_of_eight_tools_a_handful_is_solved(release, dump):
    """256 states there are; each other one let go alone, all of them with this one and without, and none."""
    tool = replace(JOB.tools["gun"], release=release, dump=dump)
    task = replace(JOB.task[0], tool=None, branches=(Branch("gun"),) * 8, target=Target(pump_pressure=5e7))
    unit = replace(JOB.unit, relief=(Relief(9e7, full_flow=1.0),))
    rig = check(replace(JOB, unit=unit, tools={"gun": tool}, task=(task,)))
    assert len(trigger_states(rig, Levers(10.0))) == 256
    assert len(outermost_states(rig, Levers(10.0), 3)) <= 12
