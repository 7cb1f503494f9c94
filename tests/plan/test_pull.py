"""Checks of jetwright.plan.pull: hauling a hose in, and what a plug pushes with."""

import math
from dataclasses import replace

import pytest

from jetwright.plan.pull import pulls_of
from jetwright.plan.setting import target_of
from jetwright.plan.task import tool_states
from jetwright.rig.check import check
from jetwright.rig.description import Fitting, Hose, Pipe, Port, Target, Tip, Tool
from jetwright.rig.example import JOB
from jetwright.solve.steady import reach

STATICS = pytest.mark.published("derived: F/(m·g·(μ·cos θ + sin θ)), each bend multiplies the tension by exp(μ·angle)")
BACK = (Port("F"), Port("R", 4, math.radians(150.0)))
TIPS = {"F": Tip(0.0008, "rounded"), "R": Tip(0.0009, "rounded")}
GRAVITY = 9.80665


def pulled(pipe, *, kind="pipe nozzle", held_by="hose", run=("A",) * 15, mass=12.0, ports=BACK, tips=TIPS):
    """What the example's pump does with a nozzle on 10 mm hose of 20 m a piece."""
    job = replace(
        JOB,
        hoses={"A": Hose(0.010, 20.0, mass=mass), "B": Hose(0.012, 20.0, mass=24.0)},
        fittings={"swivel": Fitting(0.010)},
        tips=tips,
        tools={"gun": Tool(kind, 0.006, "none", ports, held_by=held_by)},
        task=(replace(JOB.task[0], target=Target(nozzle_pressure=500e5), hose_run=run, pipe=pipe),),
    )
    rig = check(job)
    return rig, pulls_of(rig, reach(rig, *target_of(rig)))


def weight(rig, empty, bore):
    """Of a metre of hose with its water. [N/m]"""
    return GRAVITY * (empty + rig.water.reference_density * 0.25 * math.pi * bore * bore)


@STATICS
def test_a_straight_level_pipe():
    rig, [one] = pulled(Pipe(0.1, 40.0, friction=0.4))
    assert one.reach == (pytest.approx(one.pull / (0.4 * weight(rig, 0.6, 0.010)), rel=1e-12),) * 3
    assert one.needed == 40.0


@STATICS
def test_friction_nobody_gave_is_bracketed():
    """Common practice: 0.3 to 0.6 for a hose on a wet pipe."""
    rig, [one] = pulled(Pipe(0.1))
    assert one.friction == (0.3, 0.45, 0.6)
    for reached, friction in zip(one.reach, (0.6, 0.45, 0.3), strict=True):
        assert reached == pytest.approx(one.pull / (friction * weight(rig, 0.6, 0.010)), rel=1e-12)
    assert one.reach[0] < one.reach[1] < one.reach[2]


@STATICS
def test_a_climb_and_a_bend_cost_reach():
    rig, [one] = pulled(Pipe(0.1, 40.0, climb=20.0, bends=(math.pi / 4, math.pi / 4), friction=0.4))
    slope = 0.4 * math.cos(math.pi / 6) + 0.5  # 20 m on 40 m: 30 degrees
    expected = one.pull / (weight(rig, 0.6, 0.010) * slope) / math.exp(0.4 * math.pi / 2)
    assert one.reach[1] == pytest.approx(expected, rel=1e-12)


def test_a_fall_is_no_help():
    """On the cautious side: the hose may have to be hauled back, and nobody weighs the pipe's own bed."""
    assert pulled(Pipe(0.1, 40.0, climb=-10.0))[1] == pulled(Pipe(0.1, 40.0))[1]


def test_a_flooded_pipe_carries_the_water():
    """Archimedes: the water inside floats."""
    [one] = pulled(Pipe(0.1, friction=0.4, flooded=True))[1]
    assert one.reach[0] == pytest.approx(one.pull / (0.4 * GRAVITY * 0.6), rel=1e-12)


@pytest.mark.parametrize(("length", "enough"), [(5.0, True), (200.0, False), (None, None)])
def test_whether_even_the_least_is_enough(length, enough):
    [one] = pulled(Pipe(0.1, length))[1]
    assert one.enough is enough
    assert length is None or enough is (one.reach[0] >= length)


def test_the_heaviest_of_the_pieces_that_go_in_counts():
    """The pipe's 30 m take the last piece and a part of the one before."""
    rig, [both] = pulled(Pipe(0.1, 30.0, friction=0.4), run=("A", "B", "A"))
    assert both.reach[0] == pytest.approx(both.pull / (0.4 * weight(rig, 1.2, 0.012)), rel=1e-12)
    rig, [last] = pulled(Pipe(0.1, 15.0, friction=0.4), run=("A", "B", "A"))
    assert last.reach[0] == pytest.approx(last.pull / (0.4 * weight(rig, 0.6, 0.010)), rel=1e-12)


@STATICS
def test_without_the_pipes_length_the_heaviest_of_all_that_can_go_in_counts():
    """A light leader behind the nozzle hauls what comes after it: it is not the leader's weight that is dragged."""
    rig, [one] = pulled(Pipe(0.1, friction=0.4), run=("B",) * 8 + ("A",))
    assert one.reach[0] == pytest.approx(one.pull / (0.4 * weight(rig, 1.2, 0.012)), rel=1e-12)


@pytest.mark.parametrize(
    ("run", "hose"),
    [
        (("A", "A"), 40.0),
        (("A", "A", "swivel"), 40.0),
        (("A", "swivel", "A"), 20.0),
        (("B", "A", "swivel", "swivel"), 40.0),
    ],
)
def test_no_tool_reaches_farther_than_its_hose(run, hose):
    """What is not there is not hauled: pieces of 20 m, up to the first fitting, but for a swivel at the tool."""
    [one] = pulled(Pipe(0.1, 150.0, friction=0.1), run=run)[1]
    assert one.pull / (0.1 * GRAVITY * 1.4) > 2.0 * hose  # it would haul much more
    assert (one.reach, one.hose, one.enough) == ((hose,) * 3, hose, False)


@STATICS
def test_inlets_nobody_knows_widen_pull_and_reach():
    """2·Cd·A·p: one jet of 0.8 mm ahead, four of 0.9 mm at cos 30°; the least pull drags at the most friction."""
    unknown = {"F": Tip(0.0008, "unknown"), "R": Tip(0.0009, "unknown")}
    rig, [one] = pulled(Pipe(0.1), tips=unknown)
    one_at = 2.0 * 500e5 * 0.25 * math.pi * 1e-6
    back = 4.0 * 0.81 * math.cos(math.radians(30.0))
    planned, least, most = (one_at * (b * back - a * 0.64) for a, b in ((0.9, 0.9), (0.97, 0.60), (0.60, 0.97)))
    assert (one.pull, *one.ends) == pytest.approx((planned, least, most), rel=0.02)
    assert one.ends[0] < one.pull < one.ends[1]
    line = weight(rig, 0.6, 0.010)
    expected = (one.ends[0] / (0.6 * line), one.pull / (0.45 * line), one.ends[1] / (0.3 * line))
    assert one.reach == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("inlets", [(0.60, 0.60), (0.60, 0.97), (0.97, 0.60), (0.97, 0.97), (0.75, 0.9)])
def test_no_inlets_that_tips_may_have_leave_the_bracket(inlets):
    """The least reach that is told is no more than the reach of any rig it may be."""
    guessed = pulled(Pipe(0.1), tips={"F": Tip(0.0008, "unknown"), "R": Tip(0.0009, "unknown")})[1][0]
    measured = pulled(Pipe(0.1), tips={"F": Tip(0.0008, cd=inlets[0]), "R": Tip(0.0009, cd=inlets[1])})[1][0]
    assert measured.ends is None
    assert guessed.ends[0] <= measured.pull * (1.0 + 1e-9)
    assert guessed.ends[1] >= measured.pull * (1.0 - 1e-9)
    assert guessed.reach[0] <= measured.reach[0] * (1.0 + 1e-9)


def test_a_swivel_at_the_nozzle_is_hauled_with_the_hose():
    assert pulled(Pipe(0.1, 15.0), run=("A", "A", "swivel"))[1][0].reach is not None


@pytest.mark.parametrize(
    ("kind", "held_by", "mass", "run"),
    [
        ("pipe nozzle", "hose", None, ("A", "A")),
        ("other", "machine", 12.0, ("A", "A")),
        ("pipe nozzle", "hose", 12.0, ()),
    ],
)
def test_no_reach_without_a_hose_of_known_mass_to_haul(kind, held_by, mass, run):
    [one] = pulled(Pipe(0.1, 15.0), kind=kind, held_by=held_by, mass=mass, run=run)[1]
    assert (one.reach, one.enough) == (None, None)


def test_a_nozzle_that_pushes_itself_out_reaches_nowhere():
    [one] = pulled(Pipe(0.1, 15.0), ports=(Port("F"), Port("R", 4, math.radians(30.0))))[1]
    assert one.pull < 0.0
    assert one.reach == (0.0, 0.0, 0.0)
    assert one.enough is False


@pytest.mark.published("derived: sum of the jets' forces, along and across: sin 30° = 1/2 of each rear jet on the wall")
def test_pull_and_push_on_the_wall():
    rig, [one] = pulled(Pipe(0.1))
    [tool] = tool_states(rig, reach(rig, "nozzle_pressure", 500e5))
    front, rear = (jet.flow * rig.water.reference_density * jet.speed for jet in tool.jets)
    assert one.pull == pytest.approx(4.0 * rear * math.cos(math.radians(30.0)) - front, rel=1e-12)
    assert one.wall == pytest.approx(2.0 * rear, rel=1e-12)


@pytest.mark.parametrize(("blocked", "at"), [(None, 1e5), (25e5, 25e5)])
def test_a_plug_that_nobody_spoke_of_is_told_for_one_bar(blocked, at):
    """Definition of pressure: 0.1 m bore, 78.54 cm²."""
    [one] = pulled(Pipe(0.1, blocked=blocked))[1]
    assert one.blocked == at
    assert one.piston == pytest.approx(at * 78.5398e-4, rel=1e-5)


@pytest.mark.parametrize(
    ("kind", "held_by", "blocked", "told"),
    [
        ("hand lance", "hand", None, True),
        ("flexible lance", None, None, True),
        ("hand lance", "hand", 10e5, False),
        ("pipe nozzle", "hose", None, False),
    ],
)
def test_a_plug_before_a_hand_is_told_at_the_whole_tip_pressure(kind, held_by, blocked, told):
    """Definition of pressure: 500 bar on 78.54 cm²."""
    [one] = pulled(Pipe(0.1, blocked=blocked), kind=kind, held_by=held_by, ports=(Port("F"),))[1]
    assert one.most == (pytest.approx(500e5 * 78.5398e-4, rel=1e-5) if told else None)


def test_nothing_is_said_without_a_pipe():
    assert pulled(None)[1] == ()
