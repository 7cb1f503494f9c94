"""Checks of jetwright.report.steps: every step and every reason has its words."""

from dataclasses import replace
from itertools import product

import pytest

from jetwright.files.orders import orders
from jetwright.limits.rules import RuleSet
from jetwright.plan.answer import StepAt
from jetwright.report.steps import ACTS, BRIEF, FASTER, WHYS, brief_words, openings_words, step_words
from jetwright.report.wording import stop_words
from jetwright.rig.check import check
from jetwright.rig.description import Branch, Bypass, Dump, Fitting, Gauge, Target, Task
from tests.limits.unit_a import BAR, bound
from tests.plan.test_run_up import BASIS, BYPASSES, DRIVES, GUNS, rig_of, run, slow, step

GAUGE = Gauge(1600e5, 1.6, 20e5)
STEPS = [one for order in orders().steps.values() for one in order]


def test_every_step_and_reason_has_words_and_no_word_is_left_over():
    assert {key.split("/")[0] for key in ACTS} == {one.id for one in STEPS}
    assert {key for key in ACTS if "/" not in key} == {one.id for one in STEPS}
    assert set(WHYS) == {one.why for one in STEPS}
    words = {word for key in ACTS if "/" in key for word in key.split("/")[1].split(" ")}
    assert words <= {*BYPASSES, "none", "several", "outside", "direct", "unturned"}
    assert {key.split("/")[0] for key in BRIEF} <= set(ACTS)
    assert set(FASTER) == set(BYPASSES)


@pytest.mark.parametrize(("bypass", "drive", "release"), product(BYPASSES, DRIVES, GUNS))
@pytest.mark.parametrize("system", ["si", "us"])
def test_every_step_is_told_with_its_figures(bypass, drive, release, system):
    for one in run(rig_of(bypass, drive, release)):
        act, why = step_words(one, system, GAUGE)
        if release == "none":
            assert "rigger held" not in act
        assert act.endswith(".")
        assert why.endswith(".")
        assert "{" not in act + why


def test_figures_that_a_crew_acts_on_are_in_the_words():
    steps = run(rig_of(bore=1.0e-3))
    assert "9 N" in step_words(step(steps, "water.flush"))[0]
    assert "9.0 L" in step_words(step(steps, "water.flush"))[0]
    assert "(about 6.0 turns) under 10 bar; 12.0 mm² (about 3.6 turns) 20 bar" in step_words(step(steps, "a.close"))[0]
    assert "still shows 110 bar" in step_words(step(steps, "stop.open"))[0]
    assert "“no pressure”" in step_words(step(steps, "stop.open"))[1]


def test_a_direct_drive_is_told_in_engine_speed():
    up = step_words(step(run(rig_of(drive="direct")), "a.raise"))[0]
    assert "about 1772 rpm 1020 bar" in up


@pytest.mark.parametrize("bypass", BYPASSES)
def test_a_fixed_ratio_is_not_asked_to_stand_still(bypass):
    """With the engine the pump turns: it is off before anyone touches the tip."""
    steps = run(rig_of(bypass=bypass, drive="direct", release="none"))
    words = {one.id: step_words(one)[0] for one in steps}
    assert not any("rive at zero" in act or "rive to zero" in act for act in words.values())
    assert words["water.fit_tip"].startswith("Engine off, ")
    assert step(steps, "water.engine").gauge is None


def test_an_unloader_that_a_hand_opened_is_shut_by_hand():
    told = StepAt("", "water.hold", "all", "weep", 2.0, "closed", 0.0, None, None, None, {"shut_first": True})
    assert "The bypass is shut by hand first." in step_words(told)[0]


def test_a_hold_above_start_speed_tells_the_speed_and_the_way_back():
    words = step_words(step(run(slow()), "water.hold"))[0]
    assert "Bypass shut, speed up to " in words
    assert "then back to start speed and open" in words


def test_a_second_proving_point_is_told():
    rules = RuleSet("test", "1", "", {"gauge.proving": bound(0.25)})
    words = step_words(step(run(slow(), replace(BASIS, rules=rules)), "a.raise"), "si", GAUGE)[0]
    assert "At the first of these speeds stop and prove again: 210 to 310 bar" in words


def test_a_flush_is_told_its_opening_and_its_most():
    rules = replace(BASIS, rules=RuleSet("test", "1", "", {"gauge.flush": bound(40e5, "pressure")}))
    words = step_words(step(run(rig_of(bore=1.0e-3), rules), "water.flush"), "si", GAUGE)[0]
    assert "Bypass left open by 3.19 mm² (about 0.96 turns) or more" in words
    assert "the gauge no higher than 40 bar" in words
    assert "The gauge no higher than 40 bar" in step_words(step(run(rig_of("regulating"), rules), "water.flush"))[0]


def test_nothing_low_is_said_of_a_pressure_that_is_not_low():
    steps = run(rig_of("unloader"))
    hold, release = (step_words(step(steps, f"water.{name}"))[0] for name in ("hold", "release"))
    assert "nobody near the hose" in hold
    assert "low pressure" not in release
    assert "stands no lower" not in release
    bare = step_words(step(run(rig_of("unloader", release="none")), "water.hold"))[0]
    assert " zero. Water running" in bare


def test_a_regulator_is_backed_off_and_lacks_no_key():
    job = rig_of("regulating").job
    rig = check(replace(job, unit=replace(job.unit, bypass=Bypass("regulating", "tank"))))
    words = step_words(step(run(rig), "stop.open"))[0]
    assert "falls to what the open valve needs" in words
    assert "full_open_area" not in words


def without_turns(**how):
    job = rig_of(**how).job
    return check(replace(job, unit=replace(job.unit, bypass=replace(job.unit.bypass, turns=None))))


def test_an_opening_is_asked_for_in_turns_or_not_at_all():
    """The stem's turns are all that a hand can count; without them the gauge is set, and proves nothing."""
    told = {one.id: " ".join(step_words(one, "si", GAUGE)) for one in run(rig_of(bore=1.0e-3))}
    assert "Bypass at 1.01 mm² (about 0.30 turns)." in told["a.prove"]
    assert "a weak pump, or the stem too far open. Outside the band nobody goes on." in told["a.prove"]
    blind = {one.id: " ".join(step_words(one, "si", GAUGE)) for one in run(without_turns(bore=1.0e-3))}
    assert "mm²" not in blind["a.prove"] + blind["water.hold"]
    assert blind["a.prove"].startswith("Proving point, set by the gauge alone: stop as soon as it stands in the band.")
    assert "proves no tip, hose or pump" in blind["a.prove"]
    assert "Outside the band nobody goes on." in blind["a.prove"]
    assert "count the turns from shut to fully open once, pump off and locked" in blind["a.prove"]
    assert "Bring the bypass in by the gauge." in blind["water.hold"]


def test_a_bypass_that_is_shut_is_proved_without_turns():
    steps = run(without_turns())
    assert step(steps, "a.prove").bypass == "closed"
    assert "compare the gauge with the band" in step_words(step(steps, "a.prove"))[0]


def test_a_flush_on_a_stem_without_turns_is_held_by_the_gauge():
    rules = replace(BASIS, rules=RuleSet("test", "1", "", {"gauge.flush": bound(40e5, "pressure")}))
    words = step_words(step(run(without_turns(bore=1.0e-3), rules), "water.flush"), "si", GAUGE)[0]
    assert "The gauge no higher than 40 bar." in words
    assert "mm²" not in words


@pytest.mark.parametrize("drive", DRIVES)
def test_a_step_in_which_no_gauge_is_reached_is_told_on_one_line(drive):
    """62 letters of 7.6 pt stand beside its number in the front's column of 94 mm."""
    steps = run(rig_of(drive=drive))
    brief = {one.id: brief_words(one) for one in steps if brief_words(one)}
    assert set(brief) == {"water.ready", "water.bleed", "water.engine", "a.baseline"}
    assert all(len(words) <= 62 for words in brief.values())
    assert ("pump turns" in brief["water.engine"]) == (drive == "direct")


def test_openings_are_told_apart_from_the_other_notes():
    steps = run(rig_of(bore=1.0e-3))
    assert openings_words(step(steps, "a.close"), "si", GAUGE).startswith("20.0 mm² (about 6.0 turns) under 10 bar; ")
    assert openings_words(step(steps, "a.prove"), "si", GAUGE) == ""


def test_no_drive_to_zero_is_asked_of_a_pump_that_turns_with_its_engine():
    """A direct drive turns the pump at idle: the tool is not touched while the engine cools (common practice)."""
    told = stop_words(run(rig_of(drive="direct")), "")
    assert "drive to zero" not in told
    assert "idle until it has cooled (the pump turns, nobody touches the tool), engine off; then open the tool" in told
    assert "drive to zero, engine cooled and off; then" in stop_words(run(rig_of()), "")


@pytest.mark.parametrize(("bypass", "drive"), product(BYPASSES, DRIVES))
def test_a_tool_that_is_stopped_at_the_pump_ends_at_no_pressure(bypass, drive):
    """The gauge beside a step is that of its end: start speed first, and nothing once the pump stands."""
    *_others, down, off = [one for one in run(rig_of(bypass, drive, "none")) if one.order == "letting go"]
    act = step_words(down)[0]
    assert act.startswith("No trigger: speed down to start")
    assert " off" not in act.split(".")[0].replace("backed off", "")
    assert down.gauge is None or down.gauge[1] > 0.0
    assert down.pump_speed > 0.0
    assert (off.gauge, off.pump_speed) == ((0.0, 0.0), 0.0)
    first = "Engine off: " if drive == "direct" else "Drive to zero: "
    assert step_words(off)[0] == first + "what then stands above 0 is trapped."


CLEAR = "on the work (nozzle or lance in the pipe), everyone clear; it stays there until the gauge is at zero. "


@pytest.mark.parametrize(("bypass", "drive"), product(BYPASSES, DRIVES))
def test_a_tool_without_a_trigger_is_on_the_work_before_it_has_any_pressure(bypass, drive):
    hold = step(run(rig_of(bypass, drive, "none")), "water.hold")
    for name in ("water.hold", "change.hold"):
        assert step_words(replace(hold, id=name))[0].startswith("Tool " + CLEAR)
    assert "(nozzle" not in step_words(step(run(rig_of()), "water.hold"))[0]


def several(bypass, *releases, hose_run=("H",), **parts):
    """A rig with a tool each on one hose run."""
    job = rig_of(bypass, pressure=700 * BAR).job
    tools = {name: replace(GUNS[name], rating=1400 * BAR) for name in releases}
    task = Task("Some", Target(pump_pressure=700 * BAR), hose_run, branches=tuple(map(Branch, releases)))
    return check(replace(job, tools=tools, task=(task,), **parts))


def test_one_tool_of_two_without_a_trigger_is_on_the_work_too():
    words = step_words(step(run(several("hand-set", "dump", "none")), "water.hold"))[0]
    assert words.startswith("What has no trigger " + CLEAR + "Trigger held, 10 to 20 %")


@pytest.mark.parametrize(("count", "first"), [(2, "Both triggers held. "), (3, "All triggers held. ")])
@pytest.mark.parametrize("bypass", BYPASSES)
def test_the_figures_of_more_than_one_trigger_say_that_each_is_held(bypass, count, first):
    """Every gauge of the way up is solved with every trigger held."""
    steps = {one.id: step_words(one)[0] for one in run(several(bypass, *("dump",) * count))}
    named = {"hand-set": ("a.prove",), "unloader": ("b.unloader_held", "b.prove")}
    for name in ("water.hold", *named.get(bypass, ("b.valve_held", "b.prove", "b.screw_in"))):
        assert steps[name].startswith(first)
        assert "rigger held" not in steps[name]
    for name in ("b.prove", "b.screw_in"):
        assert ("Never above the band." in steps.get(name, "")) == (bypass == "regulating")
    assert not any("riggers held" in words for words in (step_words(one)[0] for one in run(rig_of(bypass))))


def test_a_regulator_that_is_proven_shut_off_is_screwed_in_with_every_trigger_held():
    told = step_words(step(run(several("regulating", *("dry shut-off",) * 2)), "b.valve_shut_off"))[0]
    assert told.startswith("Both triggers held. Screw the regulator in until the gauge shows ")
    assert "; then let go of every trigger." in told


def test_one_pedal_for_two_tools_is_one_trigger():
    job = rig_of().job
    guns = {"dump": replace(GUNS["dump"], dump=None, rating=1400 * BAR)}
    shared = {"hose_run": ("H", "pedal"), "fittings": {"pedal": Fitting(0.012, 1400 * BAR, dump=Dump(0.006))}}
    task = Task("Some", Target(pump_pressure=700 * BAR), shared["hose_run"], branches=(Branch("dump"),) * 2)
    rig = check(replace(job, tools=guns, fittings=shared["fittings"], task=(task,)))
    assert step_words(step(run(rig), "water.hold"))[0].startswith("Trigger held, 10 to 20 %")


def test_what_the_gauge_shows_when_let_go_is_no_order_to_let_go():
    words = step_words(step(run(rig_of()), "stop.open"))[0]
    assert words.startswith("Bypass fully open. When let go, the gauge shows ")
