"""Checks of jetwright.plan.restraints: joints counted from a rig's pieces."""

from dataclasses import replace

import pytest
from hypothesis import given

from jetwright.plan.answer import RestraintsNeeded
from jetwright.plan.restraints import restraints_of
from jetwright.rig.check import check
from jetwright.rig.description import Branch, Dump, Fitting, Hose, Port, Target, Task, Tool
from tests.acceptance.crew import SOURCE
from tests.limits.unit_a import GUN, unit_a
from tests.rigs import jobs

CARRIED = replace(GUN, held_by="carrier", holder="rail")
LANCE = Tool("flexible lance", 0.006, "none", (Port("T"),))


def rig_of(run, tool=None, branches=()):
    tools = {"gun": GUN, "lance": LANCE, "mole": replace(LANCE, kind="pipe nozzle", held_by="hose"), "carried": CARRIED}
    task = Task("It", Target(nozzle_pressure=4e7), run, tool, tuple(Branch(name, own) for own, name in branches))
    hoses = {"H": Hose(0.008, 20.0)}
    fittings = {"manifold": Fitting(0.012), "pedal": Fitting(0.008, dump=Dump(0.006))}
    return check(replace(unit_a(), task=(task,), hoses=hoses, fittings=fittings, tools=tools))


@pytest.mark.acceptance
@pytest.mark.published(f"worked case 37: {SOURCE}")
def test_a_hand_run_of_three_pieces():
    assert restraints_of(rig_of(("H", "H", "H"), "gun")) == RestraintsNeeded(whip_checks=4, shrouds=1)


@pytest.mark.acceptance
@pytest.mark.published(f"worked case 37: {SOURCE}")
def test_a_pedal_run_has_none_at_the_lances_that_travel():
    rig = rig_of(("H", "H", "manifold"), branches=[(("H", "pedal"), "lance")] * 2)
    assert restraints_of(rig) == RestraintsNeeded(whip_checks=7, shrouds=0)


@pytest.mark.acceptance
@pytest.mark.published(f"worked case 37: {SOURCE}")
def test_a_lance_whose_hose_is_written_as_a_piece_is_the_same_lance():
    rig = rig_of(("H", "H", "manifold"), branches=[(("H", "pedal", "H"), "lance")] * 2)
    assert restraints_of(rig) == RestraintsNeeded(whip_checks=7, shrouds=0)


@pytest.mark.parametrize(
    ("run", "tool", "needed"),
    [
        ((), "gun", (0, 0)),  # a gun on the unit itself
        (("pedal",), "gun", (0, 0)),  # no hose, nothing that whips
        (("H",), "gun", (2, 1)),
        (("H", "pedal"), "gun", (2, 0)),  # a pedal between hose and gun
        (("H",), "carried", (2, 0)),  # nobody's hand on it
        (("H", "H"), "mole", (2, 0)),  # its hose travels with it
        (("H", "pedal"), "lance", (2, 0)),
        (("H", "pedal", "H"), "lance", (2, 0)),  # the same lance, its hose written as a piece
        (("H", "pedal", "H", "H"), "lance", (4, 0)),  # a hose from the pedal to the opening, then the lance's own
        (("H", "pedal", "H"), "gun", (4, 1)),
    ],
)
def test_joints_counted_by_hand(run, tool, needed):
    assert restraints_of(rig_of(run, tool)) == RestraintsNeeded(*needed)


@given(jobs())
def test_no_more_than_the_rig_has_joints(job):
    rig = check(job)
    pieces = len(rig.main) + sum(len(branch.items) + 1 for branch in rig.branches)
    needed = restraints_of(rig)
    assert 0 <= needed.shrouds <= needed.whip_checks <= pieces
