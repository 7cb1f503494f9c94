"""Checks of jetwright.plan.run_up and plan.flush: every order, run through the solver."""

import datetime
import math
from dataclasses import replace
from itertools import product

import fluids
import hypothesis
import pytest
from hypothesis import strategies as st

from jetwright.errors import NotServedError
from jetwright.files.orders import orders
from jetwright.limits.rules import RuleSet
from jetwright.plan.answer import Tolerance
from jetwright.plan.basis import Basis
from jetwright.plan.flush import flush_of, flush_opening, flush_time, open_end
from jetwright.plan.proving import banded, proving_point
from jetwright.plan.run_up import SKIN, brought_in, hold_gauge, prove_again, spread_openings, steps_of
from jetwright.plan.setting import machine_for, relief_set, target_of
from jetwright.plan.tolerance import tolerance_of
from jetwright.rig.check import check
from jetwright.rig.description import Branch, Bypass, Drive, Dump, Fitting, Gauge, Hose, Relief, Target, Task
from jetwright.rig.order import Orders
from jetwright.solve.states import trigger_states
from jetwright.solve.steady import Levers, solve
from tests.acceptance.crew import near
from tests.limits.unit_a import BAR, GUN, RPM, UNIT, bound, unit_a, worked
from tests.rigs import jobs

BASIS = Basis(RuleSet("test", "1", "", {}), orders(), datetime.date(2026, 5, 4))
HAND_SET = Bypass("hand-set", "tank", full_open_area=20e-6, turns=6.0)
NO_BAND = Tolerance((0.0, 0.0), None, (0.0, 0.0), (), ())
BYPASSES = {
    "hand-set": HAND_SET,
    "regulating": Bypass("regulating", "tank", full_open_area=20e-6),
    "unloader": Bypass("unloader", "tank", set=1080 * BAR, idle_pressure=20 * BAR),
}
DRIVES = {"hydrostatic": UNIT.drive, "direct": Drive("direct", ratio=12.5)}  # lowest: 1500 rpm / 12.5 = 120 rpm
GUNS = {
    "dump": GUN,
    "dry shut-off": replace(GUN, release="dry shut-off", dump=None),
    "none": replace(GUN, release="none", dump=None, held_by="machine", holder="frame"),
}


def rig_of(bypass="hand-set", drive="hydrostatic", release="dump", bore=1.4e-3, pressure=900 * BAR, **unit):
    """Unit A with a gauge and every part rated; direct drives have their start speed from the engine."""
    made = {"bypass": BYPASSES[bypass], "drive": DRIVES[drive], "gauge": Gauge(1600 * BAR, 1.6)} | unit
    if drive == "direct":
        made["pump"] = replace(UNIT.pump, start_speed=None)
    tool = replace(GUNS[release], rating=1400 * BAR)
    return check(unit_a(bore, pressure, Hose(0.008, 60.0, 1200 * BAR), tool, **made))


def run(rig, basis=BASIS):
    """The whole order of a rig's task."""
    machine = machine_for(rig, *target_of(rig))
    proving = proving_point(rig, machine.state.pump_pressure)
    states = trigger_states(rig, machine.levers)
    return steps_of(rig, machine, proving, basis, tolerance_of(rig, machine, proving), states)


def step(steps, name):
    [found] = [one for one in steps if one.id == name]
    return found


def bars(band):
    return tuple(pressure / BAR for pressure in band)


# ---- orders are checked


BY_HAND = ("open_end", "packings", "fit_tip", "lock", "vent", "engine")
"""Steps in which somebody's hands are at an opening, or nothing may turn yet."""
PROVED = ("a.prove", "b.prove", "b.prove_spill")


def lowest_rating(rig):
    job = rig.job
    parts = [job.unit.pump, *job.hoses.values(), *job.fittings.values(), *job.tools.values()]
    return min(part.rating for part in parts if part.rating is not None)


def pressures(one):
    """Everything that a step says the gauge shows."""
    found = list(one.gauge or ())
    for key in ("held", "released", "blocked", "shut"):
        if one.facts.get(key) is not None:
            found.append(one.facts[key])
    for key in ("openings", "speeds"):
        found += [row[2] for row in one.facts.get(key, ())]
    return found


def stands(rig, one):
    """The gauge solved anew from what a step sets, the relief free to lift; None where a valve decides."""
    if not one.pump_speed or one.bypass_area is None or one.facts["trigger"] not in ("held", "released"):
        return None
    let_go = one.facts["trigger"] == "released"
    number = {name: [n for n, b in enumerate(rig.branches, 1) if b.tool.release == name] for name in GUNS}
    if rig.job.unit.bypass.kind != "hand-set" and let_go and number["dry shut-off"]:
        return None  # the valve opens
    shut, dumping = (tuple(number[name]) if let_go else () for name in ("dry shut-off", "dump"))
    return solve(rig, Levers(one.pump_speed, one.bypass_area, shut=shut, dumping=dumping, relief=True)).pump_pressure


def faults(rig, steps):
    """What is wrong in an order, step by step, as somebody who stands beside the rig would see it."""
    found = []
    ceiling, rating, target = relief_set(rig), lowest_rating(rig), machine_for(rig, *target_of(rig)).state.pump_pressure
    machine_target = next((one.gauge for one in steps if one.id.endswith(("baseline", "baseline_shut"))), None)
    tip, proved = False, False
    for one in steps:
        name, speed, act = one.id, one.pump_speed or 0.0, one.id.split(".")[1]
        here = stands(rig, one)
        shown = pressures(one) + ([here] if here is not None else [])
        if any(pressure >= ceiling for pressure in shown):
            found.append(f"{name}: the relief opens")
        if any(pressure > rating for pressure in shown):
            found.append(f"{name}: above a rating")
        if here is not None and one.gauge and one.bypass != "regulating":
            low, high = one.gauge
            if not low - 1.0 <= here <= high + 1.0:
                found.append(f"{name}: the gauge shows {here / BAR:.0f} bar")
        if one.gauge == (0.0, 0.0) and speed > 0.0:
            found.append(f"{name}: no pressure asked while the pump turns")
        if act in BY_HAND and (speed > 0.0 or max(one.gauge or (0.0, 0.0)) > 0.0):
            found.append(f"{name}: hands on it under pressure")
        if act == "fit_tip":
            tip = True
        if act in ("open_end", "tip_off"):
            tip = False
        if one.facts["trigger"] == "off" and tip:
            found.append(f"{name}: its tip is on")
        if one.facts["trigger"] == "off" and speed > rig.start_speed:
            found.append(f"{name}: faster than start speed with an open end")
        if one.facts["trigger"] in ("held", "released") and speed > 0.0 and not tip:
            found.append(f"{name}: its tip is off")
        if act == "hold" and "outside" not in one.facts and max(one.gauge) > 0.2001 * target:
            found.append(f"{name}: no low pressure")
        if name in PROVED:
            proved = True
            if "above_target" in one.facts:
                found.append(f"{name}: above the target")
        elif one.order.startswith("run-up") and not proved and one.gauge == machine_target:
            found.append(f"{name}: not proven yet")
        if one.order.startswith("run-up") and not proved and speed > rig.start_speed:
            found.append(f"{name}: raised before it is proven")
    if steps and steps[-1].gauge != (0.0, 0.0):
        found.append("it ends under pressure")
    return found


ROWS = [
    (bypass, drive, release, bore)
    for bypass, drive, release, bore in product(BYPASSES, DRIVES, GUNS, (1.0e-3, 1.4e-3))
    if not (bypass == "unloader" and bore == 1.0e-3)  # an unloader spills no part of the flow: not allowed
]


@pytest.mark.parametrize(("bypass", "drive", "release", "bore"), ROWS)
def test_orders_are_checked(bypass, drive, release, bore):
    """No step shows the relief open or a rating passed, or asks for an act that its state forbids."""
    rig = rig_of(bypass, drive, release, bore)
    steps = run(rig)
    allowed = not (bypass == "hand-set" and release == "dry shut-off")
    assert bool(steps) == allowed
    assert faults(rig, steps) == []
    run_up = "run-up A" if bypass == "hand-set" else "run-up B"
    names = list(dict.fromkeys(one.order for one in steps))
    expected = ["before water", run_up, "letting go", "planned stop", "emergency stop"]
    assert names == (expected if allowed else [])
    for one in steps:
        if one.pump_speed and drive == "direct":
            assert one.facts["engine_speed"] == pytest.approx(12.5 * one.pump_speed)


def changed(order, *ids, move=None, rows=None, **fields):
    """The orders with steps changed, moved to another place in theirs, or rows allowed."""
    steps = [replace(one, **fields) if one.id in ids else one for one in orders().steps[order]]
    if move is not None:
        [moved] = [one for one in steps if one.id in ids]
        steps.remove(moved)
        steps.insert(move, moved)
    return Orders("test", dict(orders().steps) | {order: tuple(steps)}, dict(orders().rows) | (rows or {}))


ALLOWED = {("hand-set", "hydrostatic", "dry shut-off"): "run-up A"}
WRONG = [
    ("water.flush: faster than", {}, changed("before water", "water.flush", speed="planned")),
    ("water.fit_tip: hands on it", {}, changed("before water", "water.fit_tip", speed="start", bypass="in")),
    ("water.fit_tip: no pressure asked", {}, changed("before water", "water.fit_tip", speed="start")),
    ("water.flush: its tip is on", {}, changed("before water", "water.fit_tip", move=4)),
    ("water.hold: its tip is off", {}, changed("before water", "water.hold", move=5)),
    ("water.hold: no low pressure", {}, changed("before water", "water.hold", bypass="planned", gauge="solved")),
    ("a.raise: raised before", {}, changed("run-up A", "a.raise", move=1)),
    ("a.baseline: not proven yet", {}, changed("run-up A", "a.baseline", move=0)),
    ("a.close: the gauge shows", {}, changed("run-up A", "a.first_press", "a.close", speed="planned")),
    ("stop.vent: hands on it", {}, changed("planned stop", "stop.vent", speed="start", gauge="solved")),
    ("it ends under", {}, changed("emergency stop", "emergency.vent", speed="start", gauge="solved")),
    ("emergency.let_go: the relief", {"release": "dry shut-off"}, changed("frost", rows=ALLOWED)),
    ("water.release: the relief", {"release": "dry shut-off"}, changed("before water", "water.release", speed="planned",
                                                                       bypass="planned", rows=ALLOWED)),
]  # fmt: skip


@pytest.mark.parametrize(("told", "rig", "wrong"), WRONG, ids=[told for told, _rig, _wrong in WRONG])
def test_a_wrong_order_is_found(told, rig, wrong):
    """The check above is worth something: each of these orders would hurt somebody, and it says so."""
    rig = rig_of(**rig)
    assert any(fault.startswith(told) for fault in faults(rig, run(rig, replace(BASIS, orders=wrong))))


def test_a_relief_set_low_is_seen():
    """Unit A's relief at 1020 bar: the target of 1018 bar lies below it, what a gauge may show of it does not."""
    rig = rig_of(relief=(Relief(1020 * BAR),))
    assert any("the relief opens" in fault for fault in faults(rig, run(rig)))


def test_one_tool_that_is_not_allowed_refuses_the_task():
    job = rig_of().job
    tools = {"gun": GUNS["dump"], "shut": GUNS["dry shut-off"]}
    two = Task("Two", Target(pump_pressure=700 * BAR), ("H",), branches=(Branch("gun"), Branch("shut")))
    mixed = replace(job, tools=tools, task=(two,))
    assert run(check(mixed)) == ()
    by_itself = check(replace(mixed, unit=replace(mixed.unit, bypass=BYPASSES["regulating"])))
    ids = [one.id for one in run(by_itself)]
    assert {"let_go.dump", "let_go.valve"} <= set(ids)
    assert faults(by_itself, run(by_itself)) == []


def test_a_refused_setting_has_no_run_up():
    assert run(rig_of("unloader", bore=1.0e-3)) == ()
    assert run(rig_of(bore=3.0e-3)) == ()


@hypothesis.given(jobs(), st.lists(st.sampled_from(tuple(GUNS)), min_size=4, max_size=4))
def test_any_rig_has_bands_that_make_sense(job, releases):
    named = zip(job.tools.items(), releases, strict=False)
    rig = check(replace(job, tools={name: replace(tool, release=release) for (name, tool), release in named}))
    try:
        machine = machine_for(rig, *target_of(rig))
    except NotServedError:
        return
    proving = proving_point(rig, machine.state.pump_pressure)
    states = () if machine.speed is None else trigger_states(rig, machine.levers)[-1:]
    for one in steps_of(rig, machine, proving, BASIS, NO_BAND, states):
        assert one.gauge is None or 0.0 <= one.gauge[0] <= one.gauge[1] < math.inf
        assert one.bypass in ("open", "part open", "closed", "regulating", "")
        assert one.push is None or one.push >= 0.0


# ---- what the gauge must show


@worked(4)
@pytest.mark.parametrize(("opening", "gauge"), [(10, 23), (5, 76), (3, 171), (2, 300), (1, 657)])
def test_the_bypass_is_brought_in_until_the_gauge_shows_it(opening, gauge):
    """The opening as the figures have it; a gauge printed to the bar tells it to half a bar."""
    levers = brought_in(rig_of(bore=1.0e-3), gauge * BAR)
    assert levers.speed == 120 * RPM
    assert levers.area * 1e6 == pytest.approx(opening, rel=0.01 + 0.25 / gauge)


@worked(4)
def test_openings_are_printed_against_the_gauge():
    """From 6 bar fully open, close to even factors on the gauge, to the proving point; each solved at its opening."""
    rig = rig_of(bore=1.0e-3)
    rows = step(run(rig), "a.close").facts["openings"]
    assert len(rows) == 6
    assert rows[0][0] == 20e-6
    assert rows[0][2] / BAR == near(6, 1)
    assert rows[-1][2] / BAR == pytest.approx(0.7 * 933.1, rel=0.01)
    for area, turns, gauge in rows:
        assert gauge == pytest.approx(solve(rig, Levers(120 * RPM, area)).pump_pressure)
        assert turns == pytest.approx(6.0 * area / 20e-6)
    ratios = [later[2] / earlier[2] for earlier, later in zip(rows, rows[1:], strict=False)]
    assert max(ratios) < 1.15 * min(ratios)
    stay = step(run(rig), "a.stay")
    assert stay.facts["openings"][-1][0] * 1e6 == near(0.660)
    assert stay.turns == pytest.approx(6.0 * 0.660 / 20.0, rel=0.01)


@worked(5)
def test_first_press_held_let_go_blocked_and_at_top_speed():
    """With a dump gun the gauge stands a little higher held than let go: the port is the wider way out."""
    press = step(run(rig_of(bore=1.0e-3)), "a.first_press")
    assert press.pump_speed == 120 * RPM
    assert sum(press.gauge) / 2 / BAR < 26 + 6.3  # the gauge's error, 26 bar, is cut off at zero
    assert press.gauge[1] / BAR == near(6.3 + 25.6, 0.1)
    assert press.facts["released"] / BAR == near(4.5, 0.1)
    assert press.facts["blocked"] / BAR == near(6.9, 0.1)
    assert press.facts["top"] / BAR == near(108, 1)
    assert "skin" not in press.facts


@worked(5)
def test_without_a_gauge_class_a_solved_value_stands_alone():
    press = step(run(rig_of(bore=1.0e-3, gauge=None)), "a.first_press")
    assert press.gauge[0] == press.gauge[1]
    assert press.gauge[0] / BAR == near(6.3, 0.1)


def test_nothing_above_seven_bar_is_called_free_of_pressure():
    """Skin is broken from about 7 bar (common practice). A tip of 1.0 mm leaves 6.3 bar on 20 mm², and more on 15."""
    assert SKIN == 7 * BAR
    for area, skin in ((20e-6, None), (15e-6, True)):
        steps = run(opened(area))
        assert [step(steps, name).facts.get("skin") for name in ("a.first_press", "stop.open")] == [skin, skin]


def opened(area):
    """A bypass that opens so far."""
    job = rig_of(bore=1.0e-3, gauge=None).job
    return check(replace(job, unit=replace(job.unit, bypass=replace(HAND_SET, full_open_area=area))))


@worked(7)
def test_speed_is_raised_in_even_steps_to_the_target():
    """748 bar at 120 rpm, 1018 bar at 141.8 rpm, 13 bar for a turn a minute more."""
    steps = run(rig_of())
    prove, up = step(steps, "a.prove"), step(steps, "a.raise")
    assert (prove.bypass, prove.pump_speed) == ("closed", 120 * RPM)
    assert prove.gauge[0] / BAR < 748 < prove.gauge[1] / BAR
    assert step(steps, "a.close").facts["openings"][-1][0] == 0.0
    assert step(steps, "a.close").facts["openings"][-1][2] / BAR == near(748)
    rows = up.facts["speeds"]
    assert [gauge / BAR for _speed, _engine, gauge in rows] == [near(838), near(928), near(1018)]
    assert rows[-1][0] * 60 == pytest.approx(141.8, abs=1.0)
    (slow, _, low), (fast, _, high) = rows[-2:]
    assert (high - low) / BAR / (60 * (fast - slow)) == pytest.approx(13, abs=0.5)
    assert bars(up.gauge) == (near(1018 - 25.6), near(1018 + 25.6))


@worked(17)
def test_letting_go_shows_what_the_dump_port_leaves():
    steps = run(rig_of(bore=1.0e-3))
    for name in ("let_go.dump", "emergency.let_go"):
        low, high = bars(step(steps, name).gauge)
        assert 0.5 * (low + high) == near(81, 1)
        assert high - low == pytest.approx(2 * 25.6)


@pytest.mark.parametrize("bypass", BYPASSES)
def test_the_hold_is_ten_to_twenty_per_cent(bypass):
    """Common practice; an unloader, which spills no part of the flow, cannot be brought so low."""
    hold = step(run(rig_of(bypass)), "water.hold")
    if bypass == "unloader":
        assert hold.facts["outside"] is True
        assert 0.5 * sum(hold.gauge) / BAR == near(748)
    else:
        assert bars(hold.gauge) == (near(101.8), near(203.6))


def test_a_pump_that_starts_too_slowly_for_the_hold_turns_faster():
    """Large tips: with the bypass shut, start speed gives less than a tenth of the target."""
    job = rig_of().job
    pump = replace(job.unit.pump, start_speed=30 * RPM)
    slow = check(replace(job, unit=replace(job.unit, pump=pump)))
    hold = step(run(slow), "water.hold")
    assert hold.pump_speed > 30 * RPM
    assert bars(hold.gauge) == (near(101.8), near(203.6))
    assert solve(slow, Levers(hold.pump_speed)).pump_pressure == pytest.approx(0.15 * 1018 * BAR, rel=0.01)


def test_where_the_proving_point_is_part_open_the_bypass_is_shut_before_the_speed_is_raised():
    """Shut at start speed this rig shows 748 bar, more than 70 % of a relief at 1050 bar."""
    job = rig_of(relief=(Relief(1050 * BAR),), gauge=None)
    steps = run(job)
    names = [one.id for one in steps if one.order == "run-up A"]
    assert names == ["a.first_press", "a.close", "a.prove", "a.shut", "a.raise", "a.baseline"]
    assert step(steps, "a.prove").bypass == "part open"
    shut = step(steps, "a.shut").facts["openings"]
    assert shut[-1][0] == 0.0
    assert shut[-1][2] / BAR == near(748)
    assert faults(job, steps) == []


@pytest.mark.parametrize("pressure", [900, 700])
def test_a_valve_is_proven_at_twenty_per_cent(pressure):
    """With a dry shut-off the gauge rises a little as the whole flow crosses the valve, far below the relief."""
    rig = rig_of("regulating", release="dry shut-off", pressure=pressure * BAR)
    target = machine_for(rig, *target_of(rig)).state.pump_pressure
    valve = step(run(rig), "b.valve_shut_off")
    assert valve.facts["held"] == pytest.approx(0.2 * target, rel=0.001)
    assert valve.facts["held"] < 0.5 * sum(valve.gauge) < 1.1 * valve.facts["held"]


def test_a_regulator_shows_its_spill_where_the_gauge_proves_nothing():
    """Tip 1.0 mm at start speed, by hand: at 653 bar the tip takes about half of what the pump gives."""
    prove = step(run(rig_of("regulating", bore=1.0e-3)), "b.prove_spill")
    tip = 0.9 * math.pi / 4 * 1e-6 * math.sqrt(2 * 653e5 * 0.975 / 998.6)  # some 2.5 % are lost in the hose
    pump = 5.308e-4 * (0.98 - 1.2 * 0.0287)  # swept volume a second; water is 2.87 % denser at 653 bar
    assert prove.facts["spill"] == pytest.approx(1.0 - tip / pump, abs=0.02)


def test_an_unloader_circulates_at_its_idle_pressure():
    steps = run(rig_of("unloader", release="dry shut-off"))
    for name in ("b.unloader_shut_off", "let_go.idle", "water.release"):
        assert 0.0 <= step(steps, name).gauge[0] < 20 * BAR < step(steps, name).gauge[1]


def test_a_regulator_whose_widest_opening_nobody_knows_promises_nothing():
    job = rig_of("regulating").job
    steps = run(check(replace(job, unit=replace(job.unit, bypass=Bypass("regulating", "tank")))))
    wide = step(steps, "stop.open")
    assert (wide.bypass, wide.gauge) == ("open", None)
    assert wide.facts["backed_off"] is True
    assert all("missing" not in one.facts for one in steps)


# ---- where the rig is proven


def test_a_band_ends_at_the_target():
    """A tip whose inlet nobody knows: anything from a sharp edge to a cone carries the band past the target."""
    job = rig_of(bore=1.0e-3).job
    rig = check(replace(job, tips={"T": replace(job.tips["T"], inlet="unknown")}))
    machine = machine_for(rig, *target_of(rig))
    target = machine.state.pump_pressure
    point = proving_point(rig, target)
    known = tolerance_of(rig, machine, point)
    assert known.proving[1] > target
    assert banded(point, known.proving, target).band == (known.proving[0], target)
    assert step(run(rig), "a.prove").gauge == (known.proving[0], target)
    assert banded(point, (600 * BAR, 710 * BAR), target).band == (600 * BAR, 710 * BAR)


def slow():
    """Unit A turning as slowly as 30 rpm: with its bypass shut the gauge shows some 47 bar on the way to 1018."""
    job = rig_of().job
    return check(replace(job, unit=replace(job.unit, pump=replace(job.unit.pump, start_speed=30 * RPM))))


QUARTER = bound(0.25)


def test_where_the_gauge_proves_nothing_the_first_speed_has_a_band():
    """A gauge of 1600 bar, class 1.6, is 25.6 bar wrong at most: half of 47 bar, and a tenth of 256 bar."""
    rig = slow()
    rules = RuleSet("test", "1", "", {"gauge.proving": QUARTER})
    up = step(run(rig, replace(BASIS, rules=rules)), "a.raise")
    speed, low, high = up.facts["prove_again"]
    rows = up.facts["speeds"]
    assert rows[0][0] == speed
    assert rows[0][2] == pytest.approx(256 * BAR)
    assert solve(rig, Levers(speed)).pump_pressure == pytest.approx(256 * BAR)
    assert low < 256 * BAR - 25.5 * BAR < 256 * BAR + 25.5 * BAR < high < 320 * BAR
    assert rows[-1][2] == pytest.approx(machine_for(rig, *target_of(rig)).state.pump_pressure)
    gaps = [later[2] - earlier[2] for earlier, later in zip(rows, rows[1:], strict=False)]
    assert max(gaps) == pytest.approx(min(gaps))
    assert "prove_again" not in step(run(rig), "a.raise").facts  # a rule set without that bound


def test_no_speed_proves_what_no_gauge_can():
    """Not where the point tells enough, nor where the bypass stays open, nor where the target itself is too low."""
    for rig, gauge, proves in (
        (slow(), 1600, True),
        (slow(), 16000, False),  # a tenth of 2560 bar
        (rig_of(), 1600, False),
        (rig_of(bore=1.0e-3), 1600, False),
    ):
        machine = machine_for(rig, *target_of(rig))
        point = proving_point(rig, machine.state.pump_pressure)
        again = prove_again(rig, machine, point, replace(NO_BAND, gauge_error=0.016 * gauge * BAR), QUARTER)
        assert (again is not None) == proves
    assert prove_again(rig, machine, point, NO_BAND, QUARTER) is None
    near_start = replace(NO_BAND, gauge_error=70 * BAR)  # a tenth of 700 bar, which 120 rpm passes by itself
    rig = rig_of(relief=(Relief(1050 * BAR),))
    machine = machine_for(rig, *target_of(rig))
    point = replace(proving_point(rig, machine.state.pump_pressure), gauge=600 * BAR)
    assert prove_again(rig, machine, point, near_start, bound(0.05)) is None


@pytest.mark.parametrize("bypass", ["hand-set", "regulating"])
def test_what_follows_the_proving_point_lets_through_what_it_let_through(bypass):
    """The same state a step later is not asked to be finer than it was proven; a valve rises by 1 % as it spills."""
    relief = (Relief(1050 * BAR),) if bypass == "hand-set" else UNIT.relief
    rig = rig_of(bypass, relief=relief)
    steps = run(rig)
    prove = next(one for one in steps if one.id in PROVED)
    after = step(steps, "a.shut" if bypass == "hand-set" else "b.speed")
    target = machine_for(rig, *target_of(rig)).state.pump_pressure
    assert after.gauge[0] <= 1.01 * prove.gauge[0]
    assert after.gauge[1] >= min(prove.gauge[1], target)
    if bypass == "hand-set":
        assert step(steps, "a.close").gauge[1] >= prove.gauge[1] * (1.0 - 1e-9)
    down = step(steps, "stop.speed")
    assert down.gauge[1] - down.gauge[0] > 2 * 25.6 * BAR
    assert down.gauge[1] <= target


def test_a_hold_that_start_speed_is_too_slow_for_goes_back_before_anyone_lets_go():
    steps = run(slow())
    hold, release, stops = (step(steps, f"water.{name}") for name in ("hold", "release", "stops"))
    assert hold.pump_speed > 30 * RPM
    assert hold.facts["faster"] is True
    assert [(one.bypass, one.pump_speed) for one in (release, stops)] == [("open", 30 * RPM)] * 2
    assert max(release.gauge) < min(hold.gauge)
    assert "faster" not in step(run(rig_of()), "water.hold").facts


def test_a_rig_without_a_low_pressure_says_so_at_its_release_too():
    """Unit A shut at start speed shows 748 bar, 73 % of 1018: an unloader cannot be brought lower."""
    rig = rig_of("unloader")
    assert step(run(rig), "water.release").facts["outside"] is True
    target = machine_for(rig, *target_of(rig)).state.pump_pressure
    assert hold_gauge(rig, target) / BAR == near(748)
    assert hold_gauge(rig_of(), target) == pytest.approx(0.15 * target)
    assert hold_gauge(rig, 0.0) is None


# ---- the open end


def test_flush_of_unit_a_by_hand():
    """Continuity, Darcy-Weisbach with another library's Colebrook, Bernoulli and momentum, at the pump's flow."""
    flush = flush_of(rig_of(bore=1.0e-3))
    density, viscosity = 998.6, 1.0530e-3  # water of 18 °C
    flow = 3 * math.pi / 4 * 0.032**2 * 0.110 * 2.0 * (0.98 - 1.2 * 0.0046)  # 0.46 % denser at 100 bar
    speed, end = flow / (math.pi / 4 * 0.008**2), flow / (math.pi / 4 * 0.006**2)
    factor = fluids.friction_factor(density * speed * 0.008 / viscosity, 1e-5 / 0.008)
    hose = factor * 60.0 / 0.008 * 0.5 * density * speed**2
    assert flush.push == pytest.approx(density * flow * end, rel=0.005)
    assert flush.shut == pytest.approx(hose + 4.0 * 0.5 * density * end**2, rel=0.005)
    assert flush.volume == pytest.approx(3 * math.pi / 4 * 0.008**2 * 60.0)
    assert flush.time == pytest.approx(flush.volume / (5.308e-4 * 0.98), rel=0.001)
    assert flush.open < 6.3 * BAR  # an open end is a wider way out than a tip
    shown = step(run(rig_of(bore=1.0e-3)), "water.flush")
    assert shown.push == flush.push
    assert bars(shown.gauge) == (0.0, pytest.approx(flush.shut / BAR + 25.6))
    assert shown.bypass_area is None
    within = replace(BASIS, rules=RuleSet("test", "1", "", {"gauge.flush": bound(100 * BAR, "pressure")}))
    assert bars(step(run(rig_of(bore=1.0e-3), within), "water.flush").gauge) == (0.0, 100.0)  # shut it is 99.6 bar


def test_the_opening_that_keeps_a_flush_low():
    rig = rig_of(bore=1.0e-3)
    area = flush_opening(rig, 40 * BAR)
    job = rig.job
    shut = replace(job, unit=replace(job.unit, bypass=replace(HAND_SET, full_open_area=area)))
    assert flush_of(check(shut)).open == pytest.approx(40 * BAR, rel=1e-6)
    assert flush_opening(rig, 1 * BAR) is None
    assert flush_opening(rig, 200 * BAR) == 0.0


@pytest.mark.parametrize("bypass", ["hand-set", "regulating"])
def test_a_flush_is_kept_below_its_bound(bypass):
    """By hand: loss and dynamic pressure grow with the flow squared, a little slower in the hose; 40 of 99.6 bar."""
    rig = rig_of(bypass, bore=1.0e-3)
    rules = RuleSet("test", "1", "", {"gauge.flush": bound(40 * BAR, "pressure")})
    shown = step(run(rig, replace(BASIS, rules=rules)), "water.flush")
    assert bars(shown.gauge)[1] == 40.0
    assert shown.facts["most"] == 40 * BAR
    assert shown.bypass_area == flush_opening(rig, 40 * BAR)
    assert shown.turns == (None if bypass == "regulating" else pytest.approx(6.0 * shown.bypass_area / 20e-6))
    assert shown.facts["time"] == flush_time(rig, 40 * BAR)
    full = flush_of(rig).time
    assert shown.facts["time"] == pytest.approx(full * math.sqrt(99.6 / 40.0), rel=0.04)


def test_an_unloader_that_no_hand_opens_is_flushed_as_it_is():
    rules = RuleSet("test", "1", "", {"gauge.flush": bound(40 * BAR, "pressure")})
    shown = step(run(rig_of("unloader"), replace(BASIS, rules=rules)), "water.flush")
    assert shown.gauge[1] > 99 * BAR
    assert "most" not in shown.facts


def test_each_tool_is_flushed_by_itself():
    """Two guns, one flushed and the other let go; with one pedal for both, both ends are open."""
    job = rig_of().job
    two = Task("Two", Target(pump_pressure=700 * BAR), ("H",), branches=(Branch("gun"), Branch("gun")))
    ends = [line.outlet for line in open_end(check(replace(job, task=(two,))), 1).lines]
    assert [1e6 * area for area in ends] == [pytest.approx(28.27, abs=0.01), pytest.approx(0.7 * 28.27, abs=0.01)]
    pedal = {"pedal": Fitting(0.012, dump=Dump(0.006))}
    one = replace(two, hose_run=("H", "pedal"))
    shared = replace(job, task=(one,), fittings=pedal, tools={"gun": replace(GUN, dump=None)})
    assert [1e6 * line.outlet for line in open_end(check(shared), 1).lines] == [pytest.approx(28.27, abs=0.01)] * 2
    alone = replace(two, branches=(Branch("gun"), Branch("shut")))
    shut = replace(job, task=(alone,), tools={"gun": GUN, "shut": GUNS["dry shut-off"]})
    assert [line.outlet > 0.0 for line in open_end(check(shut), 1).lines] == [True, False]


def test_openings_that_do_not_differ_are_one():
    rig = rig_of(bore=1.0e-3)
    [(area, gauge)] = spread_openings(rig, (20e-6, 20e-6), 6)
    assert (area, gauge / BAR) == (20e-6, near(6.3, 0.1))
