"""Checks of jetwright.plan.judging.recoil and plan.left: whole tasks, with the figures of the worked cases."""

import datetime
import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from jetwright.errors import NotServedError
from jetwright.files.rules import rule_set
from jetwright.limits.limit import WORST_LAST
from jetwright.plan.answer import ProvingPoint, Tolerance
from jetwright.plan.basis import Basis
from jetwright.plan.case import Case
from jetwright.plan.judging.recoil import limits
from jetwright.plan.left import held_below, left_over
from jetwright.plan.proving import proving_point
from jetwright.plan.setting import machine_for, target_of
from jetwright.plan.tolerance import tolerance_of
from jetwright.rig.check import check
from jetwright.rig.condition import Condition
from jetwright.rig.description import Branch, Bypass, Hose, Operator, Pipe, Port, Relief, Target, Task, Tip, Tool
from jetwright.rig.order import Orders
from jetwright.solve.states import trigger_states
from jetwright.solve.steady import Levers, solve
from tests.limits.unit_a import BAR, GUN, LITRES_A_MINUTE, RPM, found, unit_a, worked
from tests.rigs import between, jobs

RULES = rule_set("eu-generic")
FREE, REST = replace(GUN, support="none"), replace(GUN, support="body rest")
SHUT = replace(FREE, release="dry shut-off", dump=None)
BACK = math.radians(150.0)
MOLE = Tool(
    "pipe nozzle", bore=0.006, loss_k=3.0, release="none", held_by="hose", ports=(Port("T8"), Port("T9", 4, BACK))
)


PROVING = ProvingPoint(2.0, 0.0, 500 * BAR)


def near(expected):
    return pytest.approx(expected, rel=0.01)


def case_of(job, index=0, rules=RULES):
    rig = check(job, index)
    machine = machine_for(rig, *target_of(rig))
    left = None
    if index > 0:
        before = check(job, index - 1)
        left = left_over(rig, before.task.name, machine_for(before, *target_of(before)))
    return Case(
        rig,
        index,
        Basis(rules, Orders("", {}, {}), datetime.date(2026, 5, 4)),
        machine,
        PROVING,
        Tolerance((0.0, 0.0), None, (0.0, 0.0), (140.0,) * len(rig.branches), ()),
        trigger_states(rig, machine.levers),
        (),
        left,
    )


def judged(job, identity, about="", index=0):
    return found(limits(case_of(job, index)), identity, about)


def ids(job, index=0):
    return [limit.id for limit in limits(case_of(job, index))]


def mole(angle=BACK, **more):
    tool = replace(MOLE, ports=(Port("T8"), Port("T9", 4, angle)))
    job = unit_a(pressure=700 * BAR, tool=tool, **more)
    return replace(job, tips={"T8": Tip(0.8e-3, "rounded"), "T9": Tip(0.9e-3, "rounded")})


def two_guns(tool, **unit):
    job = unit_a(tool=tool, **unit)
    task = Task(
        "Both", Target(nozzle_pressure=900 * BAR), ("M",), branches=(Branch("gun", ("B",)), Branch("gun", ("B",)))
    )
    return replace(job, hoses={"M": Hose(0.012, 40.0), "B": Hose(0.008, 20.0)}, task=(task,))


# ---- one gun


@worked(3)
@pytest.mark.rule("recoil.bypass_shut")
def test_a_bypass_knocked_shut_raises_the_recoil_to_the_relief():
    job = unit_a(1.0e-3, tool=FREE)
    assert judged(job, "recoil.hand").value == near(124.8)
    assert judged(job, "recoil.hand").verdict == "within"
    limit = judged(job, "recoil.bypass_shut")
    assert (limit.verdict, limit.value) == ("look", near(153))
    assert limit.facts["pump_pressure"] == near(1150 * BAR)


@worked(3)
@pytest.mark.rule("recoil.relief")
def test_a_relief_that_lifts_fully_raises_it_further():
    limit = judged(unit_a(1.0e-3, tool=FREE), "recoil.relief")
    assert (limit.verdict, limit.value) == ("look", near(168))
    assert limit.facts["pump_pressure"] == near(1265 * BAR)


@pytest.mark.rule("recoil.bypass_shut")
def test_a_hand_set_bypass_that_is_shut_as_planned_cannot_be_knocked_shut():
    assert {"recoil.bypass_shut", "recoil.relief"}.isdisjoint(ids(unit_a(1.4e-3, tool=FREE)))


@pytest.mark.rule("recoil.relief")
def test_the_relief_is_named_only_where_a_shut_bypass_reaches_it():
    regulating = Bypass("regulating", returns_to="tank", spill=0.02)
    listed = ids(unit_a(1.4e-3, tool=REST, bypass=regulating))
    assert "recoil.bypass_shut" in listed
    assert "recoil.relief" not in listed


@pytest.mark.rule("recoil.bypass_shut")
def test_a_bypass_shut_on_a_unit_whose_relief_nobody_described():
    """1.0 mm at 120 rpm stands at some pressure by itself; 0.4 mm at no pressure that is served."""
    alone = judged(unit_a(1.0e-3, tool=FREE, relief=()), "recoil.bypass_shut")
    assert alone.value > 168.0
    assert judged(unit_a(0.4e-3, tool=FREE, relief=()), "recoil.bypass_shut").missing == "unit.relief"


@worked(8)
@pytest.mark.rule("recoil.hand")
@pytest.mark.parametrize(
    ("bore", "push", "free", "rest"),
    [
        (1.09, 148.3, "within", "within"),
        (1.10, 151.0, "not_allowed", "within"),
        (1.41, 248.2, "not_allowed", "within"),
        (1.42, 251.7, "not_allowed", "not_allowed"),
    ],
)
def test_recoil_at_its_borders(bore, push, free, rest):
    for tool, verdict in ((FREE, free), (REST, rest)):
        limit = judged(unit_a(bore * 1e-3, tool=tool), "recoil.hand")
        assert (limit.value, limit.verdict) == (near(push), verdict)


@worked(10)
@pytest.mark.rule("recoil.hand")
@pytest.mark.parametrize(
    ("more", "gauge", "rpm", "push"), [(5, 941, 149, 257), (10, 873, 156, 269), (20, 760, 171, 294)]
)
def test_a_worn_tip_brought_back_to_its_pressure_by_speed(more, gauge, rpm, push):
    sound = case_of(unit_a(1.4e-3, tool=REST))
    worn = solve(sound.rig, sound.machine.levers, Condition(tip_area={"T": 1.0 + 0.01 * more}))
    assert worn.pump_pressure == near(gauge * BAR)
    restored = case_of(unit_a(1.4e-3 * math.sqrt(1.0 + 0.01 * more), tool=REST))
    assert restored.machine.speed == pytest.approx(rpm * RPM, abs=RPM)
    limit = found(limits(restored), "recoil.hand")
    assert (limit.verdict, limit.value) == ("not_allowed", near(push))


@worked(10)
@pytest.mark.rule("recoil.worn")
def test_wear_is_looked_at_before_it_comes():
    limit = judged(unit_a(1.4e-3, tool=REST), "recoil.worn")
    assert (limit.verdict, limit.value, limit.facts["wear"]) == ("look", near(269), 0.10)
    assert judged(unit_a(1.0e-3, tool=FREE), "recoil.worn").verdict == "within"


@pytest.mark.rule("recoil.cautious")
def test_the_cautious_recoil_is_the_tolerances():
    case = case_of(unit_a(1.0e-3, tool=FREE))
    proving = proving_point(case.rig, case.machine.state.pump_pressure)
    case = replace(case, tolerance=tolerance_of(case.rig, case.machine, proving))
    limit = found(limits(case), "recoil.cautious")
    assert limit.value == case.tolerance.recoil[0] > 124.8


@worked(35)
@pytest.mark.rule("recoil.body")
@pytest.mark.parametrize(
    ("lightest", "bound", "verdict"), [(55.0, 180, "look"), (60.0, 196, "look"), (75.0, 245, "within")]
)
def test_the_lightest_operator(lightest, bound, verdict):
    job = unit_a(1.3e-3, tool=REST)  # 211 N
    light = replace(job, task=(replace(job.task[0], operator=Operator(lightest=lightest)),))
    limit = judged(light, "recoil.body")
    assert (limit.bound, limit.verdict) == (near(bound), verdict)
    assert "recoil.body" not in ids(job)


# ---- pressing the trigger


@pytest.mark.rule("recoil.kick")
@pytest.mark.parametrize(
    ("bypass", "standing"),
    [
        (None, 1150),  # all of the flow has to lift the relief
        (Bypass("unloader", returns_to="tank", set=1060 * BAR), 1060),
    ],
)
def test_a_dry_shut_off_kicks_from_what_stands_in_the_line(bypass, standing):
    """Impulse of a jet: the pressure that stands, nothing lost in a hose without flow."""
    job = unit_a(1.4e-3, tool=replace(SHUT, support="body rest"), **({"bypass": bypass} if bypass else {}))
    case = case_of(job)
    limit = found(limits(case), "recoil.kick")
    planned = case.machine.state.lines[0].nozzle
    assert limit.facts["nozzle"] == pytest.approx(standing * BAR)
    assert limit.value / limit.facts["planned"] == pytest.approx(standing * BAR / planned, rel=0.01)
    assert limit.verdict == "not_allowed"  # above 250 N


@pytest.mark.rule("recoil.kick")
def test_a_regulating_valve_leaves_what_it_stands_at():
    job = unit_a(1.0e-3, tool=SHUT, bypass=Bypass("regulating", returns_to="tank"))
    case = case_of(job)
    limit = found(limits(case), "recoil.kick")
    assert limit.facts["nozzle"] == case.states[-1].pump_pressure > case.machine.state.pump_pressure
    assert limit.verdict == "within"


@pytest.mark.rule("recoil.kick")
def test_a_tool_below_the_pump_has_its_head_as_well():
    job = unit_a(1.0e-3, tool=SHUT, bypass=Bypass("regulating", returns_to="tank"))
    deep = replace(job, task=(replace(job.task[0], rise=-50.0),))
    case = case_of(deep)
    head = 50.0 * 9.80665 * case.rig.water.reference_density
    assert found(limits(case), "recoil.kick").facts["nozzle"] == pytest.approx(case.states[-1].pump_pressure + head)


@pytest.mark.rule("recoil.kick")
def test_a_dumped_line_has_to_fill_first():
    assert "recoil.kick" not in ids(unit_a(1.0e-3, tool=FREE))


# ---- plugged jets


@worked(24)
@pytest.mark.rule("recoil.pull")
@pytest.mark.parametrize(("angle", "along", "verdict"), [(BACK, -211, "within"), (math.radians(30.0), 335.7, "look")])
def test_a_hose_fed_nozzle_pulls_unless_its_jets_are_typed_forward(angle, along, verdict):
    """335.7 N: the 62.4 of the front jet and 4 × 78.9 × cos 30° of the others, all one way."""
    limit = judged(mole(angle), "recoil.pull")
    assert (limit.verdict, limit.value) == (verdict, near(along))


@worked(24)
@pytest.mark.rule("recoil.rear_plugged")
def test_rear_jets_that_plug_push_a_nozzle_out_of_the_pipe():
    limit = judged(mole(), "recoil.rear_plugged")
    assert (limit.verdict, limit.remedy) == ("look", "recoil.rear_plugged/hose")
    assert limit.facts["held"] == (near(62), pytest.approx(0.0, abs=1e-9))
    assert limit.value == near(100)
    assert limit.facts["pump_pressure"] == near(1150 * BAR)


@worked(24)
@pytest.mark.rule("recoil.plugged")
def test_one_rear_jet_that_plugs_still_leaves_it_pulling():
    """Of 211 N a quarter of the 273.5 N of the four rear jets is lost."""
    limit = judged(mole(), "recoil.plugged")
    assert (limit.verdict, limit.facts["tip"], limit.facts["count"]) == ("within", "T9", 1)
    assert limit.value == limit.facts["held"][0] == near(-142.6)


@pytest.mark.rule("recoil.rear_plugged")
def test_a_nozzle_without_a_front_jet_is_only_stilled():
    job = mole()
    tools = {"gun": replace(MOLE, ports=(Port("T9", 4, BACK),))}
    assert ids(replace(job, tools=tools)) == ["recoil.pull", "recoil.plugged"]


@pytest.mark.rule("recoil.plugged")
def test_a_gun_of_two_jets_with_one_plugged():
    """Impulse: with the bypass shut the other jet takes what the relief lets stand; with two equal jets that is more
    than half of the planned recoil and less than all of it at the relief's full lift."""
    job = unit_a(1.0e-3, tool=replace(REST, ports=(Port("T", 2),)))
    limit, planned = judged(job, "recoil.plugged"), judged(job, "recoil.hand").value
    assert planned == near(2 * 124.8)
    assert limit.facts["held"] == (near(124.8), pytest.approx(0.0, abs=1e-9))
    assert limit.facts["stands"][0] == limit.value == near(168)  # as one such jet at the relief's full lift
    assert limit.facts["pump_pressure"] == near(1265 * BAR)


@pytest.mark.rule("recoil.plugged")
def test_an_unloader_opens_before_the_relief():
    unloader = Bypass("unloader", returns_to="tank", set=1080 * BAR)
    limit = judged(unit_a(1.0e-3, tool=replace(REST, ports=(Port("T", 2),)), bypass=unloader), "recoil.plugged")
    assert limit.facts["pump_pressure"] == pytest.approx(1080 * BAR)


@pytest.mark.rule("recoil.plugged")
def test_one_jet_alone_is_only_stilled():
    assert "recoil.plugged" not in ids(unit_a(1.0e-3, tool=FREE))


@pytest.mark.rule("recoil.rear_plugged")
def test_a_hand_lance_balanced_by_rear_jets_kicks_without_them():
    """Impulse: two jets forward of 124.8 N each and as much back nearly cancel; with the rear ones gone the hand holds
    both forward ones."""
    tool = replace(REST, ports=(Port("T", 2), Port("T", 2, math.pi)))
    job = unit_a(1.0e-3, tool=tool)
    assert judged(job, "recoil.hand").value == pytest.approx(0.0, abs=1e-9)
    limit = judged(job, "recoil.rear_plugged")
    assert limit.facts["held"][0] == near(249.6)
    assert limit.verdict == "not_allowed"


# ---- inlets nobody knows, tools nobody says who holds


@pytest.mark.rule("recoil.kick")
@pytest.mark.rule("recoil.bypass_shut")
@pytest.mark.rule("recoil.relief")
@pytest.mark.rule("recoil.plugged")
@pytest.mark.rule("recoil.rear_plugged")
@pytest.mark.rule("recoil.worn")
@pytest.mark.parametrize("tool", [FREE, replace(REST, ports=(Port("T", 2), Port("T", 1, math.pi)))])
def test_what_goes_wrong_is_judged_at_the_hard_end_of_an_unknown_inlet(tool):
    """An inlet nobody knows lies between Cd 0.60 and 0.97: no fault is judged milder than where 0.97 was measured."""
    job = unit_a(0.93e-3, tool=tool)
    guessed = limits(case_of(replace(job, tips={"T": Tip(0.93e-3, "unknown")})))
    measured = limits(case_of(replace(job, tips={"T": Tip(0.93e-3, cd=0.97)})))
    middle = limits(case_of(replace(job, tips={"T": Tip(0.93e-3, cd=0.90)})))
    assert {one.id for one in measured} <= {one.id for one in guessed}
    for limit in measured:
        unknown, known = found(guessed, limit.id), found(middle, limit.id)
        if limit.id in ("recoil.hand", "recoil.body"):
            assert unknown.value == known.value  # what is planned stays planned
        else:
            assert unknown.value >= limit.value
            assert rank(unknown) >= rank(limit)


@pytest.mark.rule("recoil.worn")
def test_a_worn_tip_nobody_knows_pushes_no_less_than_one_that_is_not_worn():
    case = case_of(replace(unit_a(0.93e-3, tool=FREE), tips={"T": Tip(0.93e-3, "unknown")}))
    wide = replace(case, tolerance=replace(case.tolerance, recoil=(180.0,)))
    assert found(limits(wide), "recoil.worn").value == found(limits(wide), "recoil.cautious").value == 180.0


@pytest.mark.rule("recoil.left")
def test_what_is_left_over_is_judged_at_the_hard_end_too():
    job = head_then_gun()
    guessed, measured = (
        judged(replace(job, tips=dict(job.tips) | {"T": tip}), "recoil.left", index=1)
        for tip in (Tip(0.93e-3, "unknown"), Tip(0.93e-3, cd=0.97))
    )
    assert guessed.value >= measured.value * (1.0 - 1e-9)


@pytest.mark.rule("recoil.others")
def test_what_other_triggers_do_is_judged_at_the_hard_end_too():
    job = two_guns(SHUT)
    guessed, measured = (
        judged(replace(job, tips={"T": tip}), "recoil.others", "branch.1")
        for tip in (Tip(0.93e-3, "unknown"), Tip(0.93e-3, cd=0.97))
    )
    assert rank(guessed) >= rank(measured)
    assert guessed.value >= measured.value * (1.0 - 1e-9)


def ahead_and_back(ahead, back, **tool):
    """A nozzle with 1.4 mm ahead and four of 0.9 mm at 150 degrees, 700 bar behind them."""
    ports = (Port("F"), Port("R", 4, BACK))
    job = unit_a(pressure=700 * BAR, hose=Hose(0.012, 60.0), tool=replace(MOLE, ports=ports, **tool))
    tips = {"F": Tip(1.4e-3, "unknown", cd=ahead), "R": Tip(0.9e-3, "unknown", cd=back)}
    return replace(job, tips=tips)


@pytest.mark.rule("recoil.pull")
@pytest.mark.rule("recoil.plugged")
@pytest.mark.published("derived: 2·Cd·A·p a jet, its compressibility of under 2 % on all alike; cos 30 degrees")
def test_a_nozzle_with_unknown_inlets_is_judged_where_it_comes_out():
    """215.5 N ahead at Cd 1: 0.97 push 209.0 N out, four jets of 89.1 N at 0.60 pull 185.1 N in; 138.8 N with one
    of them plugged. At 0.90 all round it would be 193.9 and 277.7 N: 84 N in.
    """
    job = ahead_and_back(None, None)
    limit = judged(job, "recoil.pull")
    assert (limit.verdict, limit.remedy) == ("look", "recoil.pull/inlet")
    assert limit.value == pytest.approx(209.0 - 185.1, rel=0.02)
    assert limit.facts["pulled"] == pytest.approx(277.7 - 193.9, rel=0.02)
    limit = judged(job, "recoil.plugged")
    assert (limit.verdict, limit.facts["tip"]) == ("look", "R")
    assert limit.facts["held"][0] == pytest.approx(209.0 - 138.8, rel=0.02)


@pytest.mark.rule("recoil.pull")
@pytest.mark.rule("recoil.plugged")
@pytest.mark.rule("recoil.rear_plugged")
@pytest.mark.parametrize("identity", ["recoil.pull", "recoil.plugged", "recoil.rear_plugged"])
def test_a_nozzle_is_judged_no_milder_than_at_any_inlets_its_tips_may_have(identity):
    """At the bracket's own ends, measured, and anywhere between."""
    guessed = judged(ahead_and_back(None, None), identity)
    worst = judged(ahead_and_back(0.97, 0.60), identity)
    assert guessed.value == pytest.approx(worst.value, rel=1e-9)
    assert guessed.verdict == worst.verdict
    for ahead in (0.60, 0.80, 0.97):
        for back in (0.60, 0.80, 0.97):
            assert judged(ahead_and_back(ahead, back), identity).value <= guessed.value * (1.0 + 1e-9)


@pytest.mark.rule("recoil.pull")
@pytest.mark.published("derived: 2·Cd·A·p: 89.1 N × (0.97 − 4 × 0.60 × cos 30°)")
def test_one_tip_ahead_and_back_is_at_both_of_its_ends():
    job = mole()
    tool = replace(MOLE, ports=(Port("T"), Port("T", 4, BACK)))
    limit = judged(replace(job, tools={"gun": tool}, tips={"T": Tip(0.9e-3, "unknown")}), "recoil.pull")
    assert limit.value == pytest.approx(89.1 * (0.97 - 2.0785), rel=0.02)
    assert limit.verdict == "within"


@pytest.mark.rule("recoil.back_out")
@pytest.mark.parametrize("holder", ["hand", "machine", "hose"])
def test_a_lance_with_unknown_inlets_is_judged_where_it_comes_out(holder):
    named = {} if holder != "machine" else {"holder": "reel"}
    limit = judged(ahead_and_back(None, None, kind="flexible lance", held_by=holder, **named), "recoil.back_out")
    assert (limit.verdict, limit.remedy) == ("look", "recoil.back_out/inlet")
    assert limit.value == pytest.approx(209.0 - 185.1, rel=0.02)


@pytest.mark.rule("recoil.plugged")
@pytest.mark.rule("recoil.rear_plugged")
def test_a_hand_holds_what_jets_ahead_and_back_may_leave_it():
    """At any inlets they may have, measured, no jet that plugs makes it push harder than was judged."""
    tool = replace(REST, ports=(Port("F", 2), Port("R", 2, math.pi)))
    job = replace(unit_a(tool=tool), tips={"F": Tip(1.0e-3, "unknown"), "R": Tip(0.7e-3, "unknown")})
    guessed = limits(case_of(job))
    for ahead in (0.60, 0.97):
        for back in (0.60, 0.97):
            tips = {"F": Tip(1.0e-3, cd=ahead), "R": Tip(0.7e-3, cd=back)}
            measured = limits(case_of(replace(job, tips=tips)))
            for identity in ("recoil.plugged", "recoil.rear_plugged"):
                assert found(measured, identity).value <= found(guessed, identity).value * (1.0 + 1e-9), identity


# ---- plugged tubes


def in_a_tube(tool, blocked=10 * BAR):
    job = unit_a(1.0e-3, 700 * BAR, tool=tool)
    return replace(job, task=(replace(job.task[0], pipe=Pipe(0.019, 6.0, blocked=blocked)),))


@worked(42)
@pytest.mark.rule("recoil.piston")
def test_a_plugged_tube_pushes_the_lance_on_the_hand():
    """Definition of pressure: 10 bar on 19 mm are 284 N."""
    limit = judged(in_a_tube(FREE), "recoil.piston")
    assert (limit.verdict, limit.bound) == ("look", 150.0)
    assert limit.value == pytest.approx(284.0, abs=0.5)
    assert judged(in_a_tube(FREE, 5 * BAR), "recoil.piston").verdict == "within"


@pytest.mark.rule("recoil.piston")
def test_a_plug_nobody_spoke_of_is_told_at_the_whole_tip_pressure():
    """Definition of pressure: 700 bar on 19 mm are 19.85 kN."""
    limit = judged(in_a_tube(FREE, None), "recoil.piston")
    assert (limit.verdict, limit.missing) == ("not_judged", "task.pipe.blocked")
    assert limit.facts["whole"] == pytest.approx(19.85e3, abs=5.0)


@pytest.mark.rule("recoil.piston")
def test_a_plug_is_judged_where_a_hand_holds_or_may_feed_the_tool():
    unsaid = Tool("flexible lance", bore=0.006, release="none", ports=(Port("T"),))
    assert judged(in_a_tube(unsaid), "recoil.piston").missing == "tools.gun.held_by"
    assert judged(in_a_tube(replace(unsaid, held_by="hand", support="none")), "recoil.piston").verdict == "look"
    for held in (replace(unsaid, held_by="machine", holder="reel"), replace(unsaid, held_by="hose")):
        assert "recoil.piston" not in ids(in_a_tube(held))
    assert "recoil.piston" not in ids(unit_a(1.0e-3, tool=FREE))


@pytest.mark.rule("recoil.hand")
@pytest.mark.parametrize("kind", ["flexible lance", "pipe nozzle"])
def test_a_tool_that_may_be_fed_by_hand_is_not_taken_for_a_machines(kind):
    tool = Tool(kind, bore=0.006, loss_k=3.0, release="none", ports=(Port("T"),))
    limit = judged(unit_a(1.0e-3, tool=tool), "recoil.hand")
    assert (limit.verdict, limit.missing, limit.value) == ("not_judged", "tools.gun.held_by", near(124.8))
    assert "recoil.hand" not in ids(unit_a(1.0e-3, tool=replace(tool, held_by="machine", holder="reel")))


@pytest.mark.rule("recoil.back_out")
@pytest.mark.parametrize("holder", [None, "hand", "machine", "hose"])
def test_a_lance_that_pushes_itself_out_is_looked_at_whoever_holds_it(holder):
    """Momentum: one jet forward pushes out, four of the same at 150° back pull in."""
    named = {} if holder in (None, "hand", "hose") else {"holder": "reel"}
    lance = Tool("flexible lance", bore=0.006, release="none", ports=(Port("T"),), held_by=holder, **named)
    assert judged(unit_a(0.8e-3, tool=lance), "recoil.back_out").verdict == "look"
    pulling = replace(lance, ports=(Port("T"), Port("T", 4, BACK)))
    assert judged(unit_a(0.8e-3, tool=pulling), "recoil.back_out").verdict == "within"
    assert "recoil.back_out" not in ids(unit_a(0.8e-3, tool=FREE))


@pytest.mark.rule("recoil.bypass_shut")
def test_a_unit_without_a_relief_is_asked_for_it():
    limit = judged(unit_a(1.0e-3, tool=FREE, relief=()), "recoil.bypass_shut")
    assert (limit.verdict, limit.remedy) == ("not_allowed", "recoil.bypass_shut/no_relief")


def test_what_a_machine_or_a_carrier_holds_is_not_judged():
    for holder in ("machine", "carrier"):
        assert ids(unit_a(1.4e-3, tool=replace(GUN, held_by=holder, holder="frame"))) == []


# ---- several tools


@worked(14)
@pytest.mark.rule("recoil.others")
@pytest.mark.parametrize("number", [1, 2])
def test_letting_one_of_two_guns_go_lifts_the_relief_on_the_other(number):
    job = two_guns(SHUT)
    limit = judged(job, "recoil.others", f"branch.{number}")
    assert case_of(job).machine.speed == pytest.approx(144.0 * RPM, abs=RPM)
    assert limit.verdict == "not_allowed"
    assert limit.facts["from"] == near(125)
    assert limit.facts["at_set"] == near(156)
    assert limit.facts["at_set"] - limit.facts["from"] == pytest.approx(31, abs=1)
    assert limit.value == near(172)
    assert limit.facts["pump_pressure"] == near(1265 * BAR)
    assert limit.facts["let_go"] == (3 - number,)


@worked(15)
@pytest.mark.rule("recoil.others")
@pytest.mark.rule("recoil.hands")
@pytest.mark.parametrize(("accumulation", "push"), [(0.0, 125.8), (0.05, 132.0)])
def test_a_regulating_valve_keeps_two_guns_apart(accumulation, push):
    """The valve passes one gun's flow at its full accumulation."""
    one_gun = 17.84 * LITRES_A_MINUTE
    valve = Bypass("regulating", returns_to="tank", accumulation=accumulation, full_flow=one_gun, spill=0.0)
    found_ones = limits(case_of(two_guns(SHUT, bypass=valve)))
    for number in (1, 2):
        limit = found(found_ones, "recoil.others", f"branch.{number}")
        assert (limit.verdict, limit.value) == ("within", near(push))
        assert found(found_ones, "recoil.hand", f"branch.{number}").verdict == "within"
    assert found(found_ones, "recoil.hands").verdict == "look"


@pytest.mark.rule("recoil.others")
def test_a_dump_takes_the_other_gun_its_pressure():
    """Conservation of mass: the dump port is wider than both tips."""
    limit = judged(two_guns(FREE), "recoil.others", "branch.1")
    assert limit.verdict == "look"
    assert limit.facts["change"] < -100.0


@pytest.mark.rule("recoil.others")
def test_two_guns_without_a_relief_to_lift():
    job = two_guns(replace(SHUT, loss_k=0.0), relief=())
    limit = judged(job, "recoil.others", "branch.1")
    assert limit.value > 172.0  # the pump's own slip holds it, far above


@pytest.mark.rule("recoil.others")
def test_a_disc_stands_until_its_latest_burst():
    """EN ISO 4126-2: burst pressures lie within the tolerance."""
    job = two_guns(replace(SHUT, support="body rest"), relief=(Relief(1150 * BAR, "disc", tolerance=0.05),))
    limit = judged(job, "recoil.others", "branch.1")
    assert limit.facts["pump_pressure"] == pytest.approx(1.05 * 1150 * BAR)
    assert limit.verdict == "look"


def test_one_tool_has_no_others():
    assert {"recoil.others", "recoil.hands"}.isdisjoint(ids(unit_a(1.0e-3, tool=FREE)))


# ---- the setting of the task before


def head_then_gun(tool=FREE, **unit):
    """A floor head at 431.5 rpm, then a gun: the head's setting is left as it is."""
    job = unit_a(1.0e-3, tool=tool, **unit)
    head = Tool("floor head", bore=0.012, loss_k=3.0, release="none", ports=(Port("T14", 2), Port("T12", 2)))
    first = Task("Floor", Target(nozzle_pressure=700 * BAR), ("F",), "head")
    return replace(
        job,
        hoses=dict(job.hoses) | {"F": Hose(0.012, 80.0)},
        tips=dict(job.tips) | {"T14": Tip(1.4e-3, "rounded"), "T12": Tip(1.2e-3, "rounded")},
        tools=dict(job.tools) | {"head": head},
        task=(first, *job.task),
    )


@pytest.mark.rule("recoil.left")
def test_a_floor_heads_setting_left_on_a_gun_lifts_the_relief():
    case = case_of(head_then_gun(), index=1)
    limit = found(limits(case), "recoil.left")
    assert case.left.pump_speed == pytest.approx(431.5 * RPM, abs=RPM)
    assert case.left.relief_opens
    assert 1150 * BAR < case.left.gauge < 1265 * BAR
    assert (limit.verdict, limit.facts["task"], limit.facts["relief_opens"]) == ("look", "Floor", True)
    assert 153.0 < limit.value < 168.0
    assert "recoil.left" not in ids(unit_a(1.0e-3, tool=FREE))


@pytest.mark.rule("recoil.left")
def test_a_small_setting_left_on_a_larger_tip_is_within():
    job = unit_a(1.0e-3, tool=FREE)
    wide = replace(job.task[0], name="Second")
    limit = judged(replace(job, task=(job.task[0], wide)), "recoil.left", index=1)
    assert (limit.verdict, limit.value, limit.facts["relief_opens"]) == ("within", near(124.8), False)


def test_what_no_relief_holds_is_left_above_the_highest_rating():
    """The pump's 1100 bar: above it nothing is known, so a push within its bound there is not judged."""
    job = head_then_gun(relief=())
    case = case_of(job, index=1)
    assert case.left.gauge == pytest.approx(1100 * BAR)
    assert not case.left.held
    assert not case.left.relief_opens
    limit = found(limits(case), "recoil.left")
    assert (limit.verdict, limit.missing) in (("look", ""), ("not_judged", "unit.relief"))
    rested = replace(job, tools={name: replace(tool, support="body rest") for name, tool in job.tools.items()})
    limit = found(limits(case_of(rested, index=1)), "recoil.left")
    assert (limit.verdict, limit.missing, limit.value) == ("not_judged", "unit.relief", None)


def test_a_disc_holds_no_longer_than_to_its_latest_burst():
    left = case_of(head_then_gun(relief=(Relief(1150 * BAR, "disc", tolerance=0.05),)), index=1).left
    assert left.gauge == pytest.approx(1.05 * 1150 * BAR)
    assert left.relief_opens


def test_what_cannot_be_set_is_not_left_over():
    """A task that asks for more than top speed leaves top speed."""
    job = head_then_gun()
    too_much = replace(job.task[0], target=Target(nozzle_pressure=1050 * BAR))
    assert case_of(replace(job, task=(too_much, job.task[1])), index=1).left.pump_speed == pytest.approx(500 * RPM)


# ---- properties


def rank(limit):
    return WORST_LAST.index(limit.verdict)


@given(between(0.8, 1.6), st.sampled_from([FREE, SHUT, GUN]), st.booleans())
def test_a_body_rest_never_worsens_a_task(bore, tool, regulating):
    unit = {"bypass": Bypass("regulating", returns_to="tank")} if regulating else {}
    before = {limit.id: limit for limit in limits(case_of(unit_a(bore * 1e-3, tool=tool, **unit)))}
    for limit in limits(case_of(unit_a(bore * 1e-3, tool=replace(tool, support="body rest"), **unit))):
        assert rank(limit) <= rank(before[limit.id])
        assert limit.value == before[limit.id].value


@given(between(0.8, 1.5), between(1.001, 1.3))
def test_a_larger_tip_at_the_same_pressure_never_lowers_the_recoil(bore, more):
    small, large = (judged(unit_a(size * 1e-3, tool=FREE), "recoil.hand") for size in (bore, bore * more))
    assert large.value >= small.value
    assert rank(large) >= rank(small)


@given(jobs(), st.sampled_from(["hand", "hose"]))
def test_every_rig_gets_an_answer(job, holder):
    """Random rigs: numbers that are numbers, one line for each limit and part."""
    tools = {name: replace(tool, held_by=holder, support="none") for name, tool in job.tools.items()}
    try:
        case = case_of(replace(job, tools=tools))
    except NotServedError:
        return  # a target beyond what is served has no case
    assume(case.machine.speed is not None)
    told = limits(case)
    assert len({(limit.id, limit.about) for limit in told}) == len(told)
    for limit in told:
        assert limit.value is None or math.isfinite(limit.value)
        assert limit.missing in ("", "unit.relief", "rule_set") or limit.verdict == "not_judged"
    if holder == "hand":
        assert [limit.id for limit in told].count("recoil.hand") == len(case.rig.branches)


@given(jobs(), between(1.0, 6.0), between(1e7, 2e8))
def test_what_stands_never_stands_above_what_opens(job, speed, ceiling):
    state = held_below(check(job), Levers(speed), ceiling)
    assert state.pump_pressure <= ceiling * (1.0 + 1e-9)
