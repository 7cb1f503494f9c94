"""Checks of jetwright.plan.unknown: where inlets that nobody knows push a tool out the hardest."""

import math
from dataclasses import replace

import pytest

from jetwright.plan.unknown import both_ways, in_at_most, out_at_most, unknown_tips
from jetwright.rig.check import check
from jetwright.rig.description import Branch, FlowAt, Port, Task, Tip
from jetwright.rig.example import JOB

AHEAD, BACK = Port("A"), Port("B", 4, math.radians(150.0))
UNKNOWN = Tip(1.0e-3, "unknown")
AREA = 0.25 * math.pi * 1.0e-6


def rig(ports=(AHEAD, BACK), **tips):
    return check(replace(JOB, tools={"gun": replace(JOB.tools["gun"], ports=ports)}, tips=tips))


def shares(made, branch=0):
    """Discharge coefficients that a rig's rows stand at."""
    return [pytest.approx(row.area / AREA) for row in made.branches[branch].rows]


@pytest.mark.published("contract of the job file: an inlet nobody knows is taken anywhere from 0.60 to 0.97")
def test_each_row_is_at_its_own_end():
    made = rig(A=UNKNOWN, B=UNKNOWN)
    [out], [drawn_in] = out_at_most(made, 1), in_at_most(made, 1)
    assert shares(out) == [0.97, 0.60]
    assert shares(drawn_in) == [0.60, 0.97]


def test_one_tip_in_both_rows_is_at_both_ends():
    [out] = out_at_most(rig((AHEAD, replace(BACK, tip="A")), A=UNKNOWN), 1)
    assert shares(out) == [0.97, 0.60]


def test_what_is_known_stays():
    [out] = out_at_most(rig(A=UNKNOWN, B=Tip(1.0e-3, "unknown", cd=0.85)), 1)
    assert shares(out) == [0.97, 0.85]
    rated = Tip(rated=FlowAt(3e-4, 900e5))
    made = rig(A=rated, B=UNKNOWN)
    assert out_at_most(made, 1)[0].branches[0].rows[0] == made.branches[0].rows[0]


def test_where_all_is_known_there_are_no_ends():
    made = rig(A=Tip(1.0e-3, "sharp"), B=Tip(1.0e-3, cd=0.9))
    assert (unknown_tips(made), out_at_most(made, 1), in_at_most(made, 1)) == ((), (), ())


def test_a_tip_that_no_port_has_is_nobodys_doubt():
    assert unknown_tips(rig((AHEAD,), A=Tip(1.0e-3, "sharp"), B=UNKNOWN)) == ()


def test_another_tools_inlets_are_at_either_end():
    """They decide what is left for this one, and nobody knows at which end they are."""
    gun = replace(JOB.tools["gun"], ports=(AHEAD,))
    two = Task("Both", JOB.task[0].target, branches=(Branch("gun", ("S8-20",)), Branch("other", ("S8-20",))))
    tools = {"gun": gun, "other": replace(gun, ports=(Port("B"),))}
    made = check(replace(JOB, tools=tools, tips={"A": UNKNOWN, "B": UNKNOWN}, task=(two,)))
    assert [shares(one, 1) for one in out_at_most(made, 1)] == [[0.60], [0.97]]
    assert [shares(one) for one in out_at_most(made, 1)] == [[0.97], [0.97]]


@pytest.mark.parametrize(
    ("ports", "both"),
    [((AHEAD,), False), ((BACK,), False), ((AHEAD, BACK), True), ((AHEAD, Port("B", 2, 1.0)), False)],
)
def test_jets_ahead_and_back(ports, both):
    assert both_ways(rig(ports, A=UNKNOWN, B=UNKNOWN).branches[0]) is both
