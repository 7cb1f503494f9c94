"""What is listed as taken because nobody said."""

from dataclasses import replace

import pytest

from jetwright.plan.judging.relief import full_flow
from jetwright.plan.setting import full_flow_pressure, target_of
from jetwright.plan.taken import taken_as
from jetwright.rig.check import check
from jetwright.rig.description import Relief
from jetwright.rig.example import JOB
from jetwright.solve.steady import reach

VALVE = Relief(1150e5)


def rig_with(*devices):
    return check(replace(JOB, unit=replace(JOB.unit, relief=devices)))


def taken(*devices):
    rig = rig_with(*devices)
    rows = taken_as(rig, reach(rig, *target_of(rig)))
    return {row.key: (row.value, row.why) for row in rows if "accumulation" in row.key}


def test_how_far_a_valve_rises_to_full_flow_is_listed_where_nobody_said():
    """A tenth of the set pressure is common practice."""
    assert taken(VALVE) == {"unit.relief.accumulation": (0.10, "default")}
    assert taken(replace(VALVE, accumulation=0.10)) == {}
    assert taken(replace(VALVE, kind="disc")) == {}  # a disc bursts: it has a tolerance
    assert list(taken(replace(VALVE, accumulation=0.05), VALVE)) == ["unit.relief.2.accumulation"]


def test_what_is_taken_is_what_a_valve_is_judged_with():
    said = replace(VALVE, accumulation=0.10, full_flow=5e-3)
    unsaid = replace(said, accumulation=None)
    assert full_flow_pressure(rig_with(unsaid)) == full_flow_pressure(rig_with(said))
    assert full_flow_pressure(rig_with(VALVE)) == pytest.approx(1265e5)
    assert full_flow(rig_with(unsaid), (unsaid,)) == full_flow(rig_with(said), (said,))
